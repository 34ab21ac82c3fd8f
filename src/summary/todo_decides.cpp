// From findings to the readings they lie on, from these to the lines. A line is asked about once for a
// finding: every packet of it answers the same.
#include "summary/todo_decides.hpp"

#include "summary/finding_codes.hpp"
#include "summary/material_order.hpp"

#include <thresh/rules/session_findings.hpp>

#include <algorithm>
#include <fmt/format.h>
#include <set>
#include <vector>

namespace thresh::summary {

namespace {

class Gathering {
  public:
    Gathering(const Season& season, const Decisions& decisions) : season_(season), decisions_(decisions) {}

    void add_packet(const TodoItem& item, const Finding& finding) {
        for (std::string& text : decisions_.decided_by(item.sample, item.material, finding.constituent))
            add(std::move(text));
    }

    // A finding of a run or of a session.
    void add_lines(const Finding& finding) {
        asked_.clear();
        if (finding.about != About::session) {
            if (finding.row != kNone)
                add_line_of(finding.row, finding.constituent);
        } else if (rules::about_whole_session(finding, Severity::review, season_.rules)) {
            for (const RowId row : season_.batch.sessions[finding.subject].rows)
                add_line_of(row, kNoConstituent);
        } else {
            for (const rules::Judgement::SessionMark& marked : season_.judgement.session_marks)
                if (marked.is_of(finding))
                    add_line_of(marked.mark.row, finding.constituent);
        }
    }

    std::string joined() const { return fmt::format("{}", fmt::join(texts_, "; ")); }

  private:
    void add_line_of(RowId row, ConstituentId constituent) {
        const std::uint32_t sample = season_.batch.sample[row];
        if (sample == kNone || season_.batch.samples[sample].line == kNone ||
            season_.judgement.verdict[row] > Verdict::review)
            return;
        const std::uint32_t line = season_.batch.samples[sample].line;
        const std::uint8_t material = season_.batch.material[row];
        if (!asked_.emplace(line, material).second)
            return;
        for (const std::string& text :
             decisions_.decided_by(sample, material_name(season_.batch, material), constituent))
            add(fmt::format("{}: {}", season_.batch.lines[line].name, text));
    }

    void add(std::string text) {
        if (std::find(texts_.begin(), texts_.end(), text) == texts_.end())
            texts_.push_back(std::move(text));
    }

    Season season_;
    const Decisions& decisions_;
    std::set<std::pair<std::uint32_t, std::uint8_t>> asked_; // line and material, by the finding at hand
    std::vector<std::string> texts_;
};

} // namespace

std::string decides_text(const TodoItem& item, const Season& season, const Decisions& decisions) {
    Gathering gathering(season, decisions);
    for (const std::uint32_t index : item.findings) {
        const Finding& finding = season.judgement.findings[index];
        if (finding.severity != Severity::review)
            continue;
        if (item.sample != kNone)
            gathering.add_packet(item, finding);
        else
            gathering.add_lines(finding);
    }
    return gathering.joined();
}

} // namespace thresh::summary
