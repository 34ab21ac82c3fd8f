// The parts one after the other; the answers last, because they are made from the others.
#include "summary/page/parts.hpp"

#include <algorithm>

namespace thresh::summary {

namespace {

void add_span(const Season& season, SeasonPage& page) {
    for (const Block& block : season.batch.readings.blocks)
        for (std::size_t row = 0; row < block.time.size(); ++row) {
            const Time time = block.time[row];
            if (time.missing())
                continue;
            page.first = page.first.missing() ? time : std::min(page.first, time);
            page.last = page.last.missing() ? time : std::max(page.last, time);
        }
}

} // namespace

SeasonPage season_page(const Season& season, const SampleMeans& means, const ReferenceComparison* reference,
                       const TrialModels* models) {
    SeasonPage page;
    page.overview = overview(season);
    add_span(season, page);
    page.sessions = page_sessions(season);
    page.tasks = page_tasks(season);
    const LineGroups groups = group_lines(season, {});
    add_page_lines(season, means, groups, models, page);
    page.decisions = season.batch.decisions.size();
    add_page_changes(season, means, groups, page);
    page.distributions = page_distributions(season, means);
    add_page_charts(season, page);
    if (reference != nullptr)
        add_page_agreement(season, *reference, page);
    add_page_rules(season, means, page);
    add_page_answers(page);
    return page;
}

} // namespace thresh::summary
