// A million readings have half a million findings: names stay views, and only what is joined is copied.
#include "summary/finding_codes.hpp"

#include <algorithm>

namespace thresh::summary {

void FindingCodes::add(const Finding& finding) {
    if (finding.severity == Severity::off)
        return;
    named_.push_back({rules::catalogue()[finding.code].code,
                      finding.constituent == kNoConstituent
                          ? std::string_view()
                          : std::string_view(season_.rules.constituents[finding.constituent].name)});
}

// Bytewise by code[:constituent]. No code holds a colon.
bool FindingCodes::before(const Name& a, const Name& b) {
    if (a.code == b.code)
        return a.constituent < b.constituent;
    const std::size_t common = std::min(a.code.size(), b.code.size());
    if (const int order = a.code.substr(0, common).compare(b.code.substr(0, common)); order != 0)
        return order < 0;
    // One code begins with the other: what follows there decides, the end before all.
    const auto next = [common](const Name& name) {
        if (name.code.size() > common)
            return static_cast<int>(static_cast<unsigned char>(name.code[common]));
        return name.constituent.empty() ? -1 : static_cast<int>(':');
    };
    return next(a) < next(b);
}

void FindingCodes::add_all(std::span<const std::uint32_t> findings) {
    for (const std::uint32_t index : findings)
        add(season_.judgement.findings[index]);
}

void FindingCodes::add_reading(RowId row) {
    if (season_.judgement.may_be_told(row)) // a byte, where the list of findings lies far away
        add_all(season_.judgement.of_row(row));
    if (season_.batch.sample[row] != kNone)
        add_all(season_.judgement.of_sample(season_.batch.sample[row]));
    if (season_.batch.session[row] != kNone)
        add_all(season_.judgement.of_session(season_.batch.session[row]));
}

const std::string& FindingCodes::joined() {
    joined_.clear();
    if (named_.size() > 1) {
        std::sort(named_.begin(), named_.end(), before);
        named_.erase(std::unique(named_.begin(), named_.end()), named_.end());
    }
    for (const Name& name : named_) {
        if (!joined_.empty())
            joined_ += ';';
        joined_ += name.code;
        if (!name.constituent.empty()) {
            joined_ += ':';
            joined_ += name.constituent;
        }
    }
    return joined_;
}

} // namespace thresh::summary
