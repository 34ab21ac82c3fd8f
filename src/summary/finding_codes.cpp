// A million readings have half a million findings, but only some dozens of names.
#include "summary/finding_codes.hpp"

#include <algorithm>

namespace thresh::summary {

FindingCodes::NameId FindingCodes::add_name(const Finding& finding) {
    std::string name(rules::catalogue()[finding.code].code);
    if (finding.constituent != kNoConstituent)
        name += ":" + season_.rules.constituents[finding.constituent].name;
    const auto id = static_cast<NameId>(names_.size());
    const auto at =
        std::lower_bound(by_rank_.begin(), by_rank_.end(), name,
                         [&](NameId known, const std::string& text) { return names_[known] < text; });
    by_rank_.insert(at, id);
    names_.push_back(std::move(name));
    rank_.resize(names_.size());
    for (std::size_t rank = 0; rank < by_rank_.size(); ++rank)
        rank_[by_rank_[rank]] = static_cast<NameId>(rank);
    return id;
}

FindingCodes::NameId FindingCodes::name_of(const Finding& finding) {
    const std::size_t constituents = season_.rules.constituents.size();
    if (known_.empty())
        known_.resize(rules::catalogue().size() * (constituents + 1));
    const std::size_t which = finding.constituent == kNoConstituent ? constituents : finding.constituent;
    NameId& known = known_[finding.code * (constituents + 1) + which];
    if (known == 0)
        known = static_cast<NameId>(add_name(finding) + 1);
    return static_cast<NameId>(known - 1);
}

void FindingCodes::add(const Finding& finding) {
    if (finding.severity != Severity::off)
        named_.push_back(name_of(finding));
}

void FindingCodes::add_all(std::span<const Finding> findings) {
    for (const Finding& finding : findings)
        add(finding);
}

void FindingCodes::add_reading(RowId row) {
    if (season_.judgement.may_be_told(row)) // a byte, where the list of findings lies far away
        add_all(season_.judgement.of_row(row));
    if (season_.batch.sample[row] != kNone)
        add_all(season_.judgement.of_sample(season_.batch.sample[row]));
    if (season_.batch.session[row] != kNone)
        add_all(season_.judgement.of_session(season_.batch.session[row]));
    add_marking(row);
}

void FindingCodes::add_marking(RowId row) {
    for_marking_findings(season_, row, [&](const Finding& finding) { add(finding); });
}

const std::string& FindingCodes::joined() {
    joined_.clear();
    ranks_.clear();
    for (const NameId id : named_)
        ranks_.push_back(rank_[id]);
    std::sort(ranks_.begin(), ranks_.end());
    ranks_.erase(std::unique(ranks_.begin(), ranks_.end()), ranks_.end());
    for (const NameId rank : ranks_) {
        if (!joined_.empty())
            joined_ += ';';
        joined_ += names_[by_rank_[rank]];
    }
    return joined_;
}

} // namespace thresh::summary
