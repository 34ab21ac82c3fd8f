// Constituents that change with moisture though the seed is the same. On dry basis they must not; where one
// does, the calibration sees the water. The slope is common to all samples, each about its
// own mean, from the means of a sample in its sessions.
#include "rules/links.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <thresh/core/parallel.hpp>
#include <thresh/stats/distributions.hpp>

namespace thresh::rules {

namespace {

constexpr std::size_t kFewestSamples = 5;

// A sample in one session.
struct Mean {
    std::uint32_t sample = kNone, session = kNone;
    double value = 0, moisture = 0;
    std::size_t n = 0;
};

struct SlopeSums {
    double xx = 0, xy = 0, yy = 0;
    std::size_t samples = 0, cells = 0;
    double low = 1e300, high = -1e300;
};

// Adds the cells [first, last) of one sample when their moistures differ enough.
void add(const std::vector<Mean>& cells, std::size_t first, std::size_t last, SlopeSums& sums) {
    double low = 1e300, high = -1e300, x_mean = 0, y_mean = 0;
    const auto n = static_cast<double>(last - first);
    for (std::size_t i = first; i < last; ++i) {
        low = std::min(low, cells[i].moisture);
        high = std::max(high, cells[i].moisture);
        x_mean += cells[i].moisture / n;
        y_mean += cells[i].value / n;
    }
    if (last - first < 2 || high - low <= kMoistureChange)
        return;
    ++sums.samples;
    sums.low = std::min(sums.low, low);
    sums.high = std::max(sums.high, high);
    for (std::size_t i = first; i < last; ++i) {
        const double x = cells[i].moisture - x_mean, y = cells[i].value - y_mean;
        sums.xx += x * x;
        sums.xy += x * y;
        sums.yy += y * y;
        ++sums.cells;
    }
}

// Of sessions told already.
using Offsets = std::map<std::tuple<std::uint32_t, std::uint8_t, ConstituentId>, double>;

// One constituent of the links of an instrument and material.
struct Task {
    const std::vector<const Link*>* group;
    std::size_t k; // of drift_constituents
    MoistureSlope slope;
};

// The means of samples in sessions, offsets taken off.
std::vector<Mean> cells_of(const Links& links, const Offsets& off, const Task& task) {
    std::vector<Mean> cells;
    cells.reserve(task.group->size());
    for (const Link* link : *task.group) {
        const double read = links.value(*link, task.k);
        if (std::isnan(read))
            continue;
        if (cells.empty() || cells.back().sample != link->sample || cells.back().session != link->session)
            cells.push_back({link->sample, link->session});
        const auto shift =
            off.empty() ? off.end() : off.find({link->session, link->material, task.slope.constituent});
        cells.back().value += read - (shift == off.end() ? 0 : shift->second);
        cells.back().moisture += link->moisture;
        ++cells.back().n;
    }
    for (Mean& cell : cells) {
        cell.value /= static_cast<double>(cell.n);
        cell.moisture /= static_cast<double>(cell.n);
    }
    return cells;
}

// Fills the slope of enough samples; else only their number.
void estimate(const Links& links, const Offsets& off, Task& task) {
    const std::vector<Mean> cells = cells_of(links, off, task);
    SlopeSums sums;
    for (std::size_t first = 0, last = 0; first < cells.size(); first = last) {
        while (last < cells.size() && cells[last].sample == cells[first].sample)
            ++last;
        add(cells, first, last, sums);
    }
    MoistureSlope& slope = task.slope;
    slope.samples = sums.samples;
    if (sums.samples < kFewestSamples)
        return;
    const double df = static_cast<double>(sums.cells - sums.samples) - 1;
    slope.slope = sums.xy / sums.xx;
    const double se = std::sqrt(std::max(0.0, sums.yy - sums.xy * slope.slope) / df / sums.xx);
    const double reach = stats::t_quantile(0.975, df) * se;
    slope.low = slope.slope - reach;
    slope.high = slope.slope + reach;
    slope.p = se > 0 ? stats::t_two_sided_p(slope.slope / se, df) : (slope.slope == 0 ? 1.0 : 0.0);
    slope.span = sums.high - sums.low;
    slope.row = task.group->front()->row;
    for (const Link* link : *task.group)
        slope.row = std::min(slope.row, link->row);
}

} // namespace

std::vector<MoistureSlope> moisture_slopes(const Evidence& evidence, const Links& links,
                                           const std::vector<SessionOffset>& offsets) {
    std::map<std::pair<TextId, std::uint8_t>, std::vector<const Link*>> groups;
    for (const Link& link : links.all)
        if (!std::isnan(link.moisture))
            groups[{link.instrument, link.material}].push_back(&link);
    Offsets off;
    for (const SessionOffset& offset : offsets)
        if (offset.found.shifted)
            off[{offset.session, offset.material, offset.constituent}] = offset.found.offset;

    std::vector<Task> tasks;
    for (const auto& [key, group] : groups) {
        const std::vector<ConstituentId> ids = drift_constituents(evidence, key.second);
        for (std::size_t k = 0; k < ids.size(); ++k)
            tasks.push_back({&group, k, {key.first, key.second, ids[k], 0}});
    }
    parallel_for(tasks.size(), evidence.rules.batch.threads,
                 [&](std::size_t t) { estimate(links, off, tasks[t]); });
    std::vector<MoistureSlope> found;
    for (Task& task : tasks)
        if (task.slope.samples >= kFewestSamples)
            found.push_back(std::move(task.slope));
    for (MoistureSlope& slope : found)
        slope.depends =
            slope.p < evidence.rules.tests.drift_percent / 100 / static_cast<double>(found.size()) &&
            std::abs(slope.slope) * slope.span >=
                least_shift(evidence.so_far, slope.material, slope.constituent);
    return found;
}

} // namespace thresh::rules
