// The `findings` cell of readings and samples: code[:constituent], sorted, joined by `;`.
#pragma once

#include <thresh/summary/tables.hpp>

#include <string>
#include <string_view>
#include <vector>

namespace thresh::summary {

// The sample that a finding is about, or whose reading or value it is about; kNone for others.
inline std::uint32_t sample_of(const Finding& finding, const batch::Batch& batch) {
    if (finding.about == About::sample)
        return finding.subject;
    return finding.about == About::value || finding.about == About::reading ? batch.sample[finding.row]
                                                                            : kNone;
}

// Calls visit(finding) for the findings about sessions that mark a value of the reading: a control far from
// its target marks what was read since the last good one, whatever session that was in.
template <typename Visit>
void for_marking_findings(const Season& season, RowId row, const Visit& visit) {
    if (!season.judgement.has_marks(row)) // a byte
        return;
    for (const rules::Judgement::SessionMark& marked : season.judgement.session_marks_of(row)) {
        if (marked.cause == kNone || season.batch.session[marked.cause] == kNone)
            continue;
        for (const Finding& finding : season.judgement.of_session(season.batch.session[marked.cause]))
            if (marked.is_of(finding))
                visit(finding);
    }
}

// Gathers findings and spells them. One for a thread; keeps its room.
class FindingCodes {
  public:
    explicit FindingCodes(const Season& season) : season_(season) {}
    void clear() { named_.clear(); }
    // All findings of a reading: about it, its values, its sample and its session, and those about other
    // sessions that mark its values.
    void add_reading(RowId row);
    // The latter alone.
    void add_marking(RowId row);
    void add(const Finding& finding);
    bool empty() const { return named_.empty(); }
    // Sorted bytewise, each once.
    const std::string& joined();

  private:
    using NameId = std::uint16_t;
    NameId name_of(const Finding& finding);
    NameId add_name(const Finding& finding);
    void add_all(std::span<const Finding> findings);
    Season season_;
    // Names code[:constituent] that were met are spelled and ranked once: then findings are sorted by number.
    std::vector<NameId> known_; // by code and constituent: its id + 1, 0 when it was not met
    std::vector<std::string> names_;
    std::vector<NameId> rank_, by_rank_; // by id, and back
    std::vector<NameId> named_;          // of what was added: ids
    std::vector<NameId> ranks_;          // room
    std::string joined_;
};

} // namespace thresh::summary
