// Findings of a row of `lines` gathered by code: each code once, with the packets that it concerns. A finding
// about a session counts where it marks a value of the reading, or concerns the instrument as a whole.
#include "summary/finding_codes.hpp"
#include "summary/page/parts.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace thresh::summary {

void Reasons::note(const std::string& what, std::uint32_t sample, Found& found) const {
    auto& samples = found[what];
    if (sample == kNone)
        return;
    std::string name(season_.batch.samples[sample].id);
    if (std::find(samples.begin(), samples.end(), name) == samples.end())
        samples.push_back(std::move(name));
}

void Reasons::add(const Finding& finding, std::uint32_t sample, const Options& options, Found& found) const {
    if (finding.severity < options.least || finding.settled ||
        (finding.about == About::value && !options.values))
        return;
    const rules::Declaration& about = rules::catalogue()[finding.code];
    const bool of_value = finding.constituent != kNoConstituent && finding.about == About::value;
    note(fmt::format("{}{} [{}]",
                     of_value ? season_.rules.constituents[finding.constituent].name + ": " : std::string(),
                     about.title, about.code),
         sample, found);
}

void Reasons::add_reading(RowId row, const Options& options, Found& found) const {
    const rules::Judgement& judgement = season_.judgement;
    const std::uint32_t sample = season_.batch.sample[row], session = season_.batch.session[row];
    for (const Finding& finding : judgement.of_row(row))
        add(finding, sample, options, found);
    if (sample != kNone)
        for (const Finding& finding : judgement.of_sample(sample))
            add(finding, sample, options, found);
    if (session != kNone)
        for (const Finding& finding : judgement.of_session(session)) {
            const ConstituentId id = finding.constituent;
            if (id == kNoConstituent || season_.rules.constituents[id].group == Group::instrument)
                add(finding, sample, options, found);
        }
    if (options.values)
        for_marking_findings(season_, row,
                             [&](const Finding& finding) { add(finding, sample, options, found); });
    if (judgement.verdict[row] == Verdict::superseded)
        note("superseded by a later reading", sample, found);
    const auto drop = std::lower_bound(judgement.dropped.begin(), judgement.dropped.end(), row,
                                       [](const auto& one, RowId r) { return one.row < r; });
    if (drop != judgement.dropped.end() && drop->row == row)
        note("dropped by a decision", sample, found);
}

std::string Reasons::words(const LineGroups& groups, const LineGroup& group, const Options& options) const {
    constexpr std::size_t kMostNames = 3;
    Found found;
    for (std::uint32_t i = group.first; i < group.last; ++i)
        for (const RowId row : season_.batch.rows_of(groups.members[i].sample))
            if (season_.batch.material[row] == group.material_index)
                add_reading(row, options, found);
    std::string text;
    for (const auto& [what, samples] : found)
        text += fmt::format("{}{}{}", text.empty() ? "" : "; ", what,
                            samples.empty() ? "" : fmt::format(" ({})", few_names(samples, kMostNames)));
    return text;
}

} // namespace thresh::summary
