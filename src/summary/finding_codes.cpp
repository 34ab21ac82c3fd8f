#include "summary/finding_codes.hpp"

#include <algorithm>

namespace thresh::summary {

void FindingCodes::add(const Finding& finding) {
    if (finding.severity == Severity::off)
        return;
    std::string text(rules::catalogue()[finding.code].code);
    if (finding.constituent != kNoConstituent)
        text += ":" + season_.rules.constituents[finding.constituent].name;
    texts_.push_back(std::move(text));
}

void FindingCodes::add_all(std::span<const std::uint32_t> findings) {
    for (const std::uint32_t index : findings)
        add(season_.judgement.findings[index]);
}

void FindingCodes::add_reading(RowId row) {
    add_all(season_.judgement.of_row(row));
    if (season_.batch.sample[row] != kNone)
        add_all(season_.judgement.of_sample(season_.batch.sample[row]));
    if (season_.batch.session[row] != kNone)
        add_all(season_.judgement.of_session(season_.batch.session[row]));
}

const std::string& FindingCodes::joined() {
    joined_.clear();
    std::sort(texts_.begin(), texts_.end());
    texts_.erase(std::unique(texts_.begin(), texts_.end()), texts_.end());
    for (const std::string& text : texts_) {
        if (!joined_.empty())
            joined_ += ';';
        joined_ += text;
    }
    return joined_;
}

} // namespace thresh::summary
