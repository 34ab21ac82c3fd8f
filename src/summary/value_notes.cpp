// The messages are those of the table of findings; a message that several readings share with their place is
// told once.
#include "summary/value_notes.hpp"

#include "summary/finding_codes.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace thresh::summary {

namespace {

constexpr std::size_t kMostMessages = 4;

} // namespace

void ValueNotes::clear() {
    texts_.clear();
}

void ValueNotes::add(const Finding& finding) {
    const rules::FindingPlace place = rules::place_of(finding, season_.batch);
    std::string where(place.source);
    if (!place.sheet.empty())
        where += fmt::format("[{}]", place.sheet);
    if (place.line > 0)
        where += fmt::format(":{}", place.line);
    std::string text =
        fmt::format("{}{}", rules::describe(finding, season_.judgement, season_.batch, season_.rules).message,
                    where.empty() ? "" : fmt::format(" ({})", where));
    if (std::find(texts_.begin(), texts_.end(), text) == texts_.end())
        texts_.push_back(std::move(text));
}

void ValueNotes::add_value(RowId row, ConstituentId constituent) {
    for (const Finding& finding : season_.judgement.of_row(row)) {
        if (finding.constituent != constituent || finding.settled || finding.severity == Severity::off)
            continue;
        const std::string_view code = rules::catalogue()[finding.code].code;
        if (finding.severity >= Severity::review || code == "below-expected" || code == "above-expected")
            add(finding);
    }
    // A value may be marked by what was found about a session, its own or another: a control, for one.
    for_marking_findings(season_, row, [&](const Finding& finding) {
        if (finding.constituent == constituent && !finding.settled && finding.severity >= Severity::review)
            add(finding);
    });
}

void ValueNotes::add_excluded_reading(RowId row) {
    const auto add_all = [&](std::span<const Finding> findings) {
        for (const Finding& finding : findings)
            if (finding.severity == Severity::exclude && finding.about != About::value && !finding.settled)
                add(finding);
    };
    add_all(season_.judgement.of_row(row));
    if (season_.batch.sample[row] != kNone)
        add_all(season_.judgement.of_sample(season_.batch.sample[row]));
    if (season_.batch.session[row] != kNone)
        add_all(season_.judgement.of_session(season_.batch.session[row]));
}

std::string ValueNotes::text() const {
    std::string text;
    for (std::size_t i = 0; i < std::min(kMostMessages, texts_.size()); ++i)
        text += (i > 0 ? "\n" : "") + texts_[i];
    if (texts_.size() > kMostMessages)
        text += fmt::format("\nand {} more; findings.csv has all", texts_.size() - kMostMessages);
    return text;
}

} // namespace thresh::summary
