// With sample means swept out, the model of one session's offset has one column, x = (in the session) less
// its sample's mean of that, so estimate and sum of squares are sums over cells: no equation is solved, and
// all sessions are tested in one pass. Cells weigh equally whatever their number of readings, because what
// differs between sessions (packing, storage) is not averaged away within one. Samples that were mixed up
// would pass for offsets or hide them; they are seen by their residuals after sample and session medians
// (median polish, Tukey 1977) and left out before.
#include <thresh/stats/distributions.hpp>
#include <thresh/stats/sessions.hpp>
#include <thresh/stats/summary.hpp>

#include <algorithm>
#include <cmath>

namespace thresh::stats {
namespace {

// Mean of one sample in one session.
struct SampleSession {
    int sample, session;
    double value;
    double residual = 0.0; // from the mean of the sample's cells
    double weight = 0.0;   // 1 - 1 / cells of the sample
};

std::vector<SampleSession> cells_of(std::span<const LinkedReading> readings) {
    const auto before = [](const LinkedReading& a, const LinkedReading& b) {
        return std::pair(a.sample, a.session) < std::pair(b.sample, b.session);
    };
    std::span<const LinkedReading> sorted = readings; // mostly they are
    std::vector<LinkedReading> copy;
    if (!std::is_sorted(readings.begin(), readings.end(), before)) {
        copy.assign(readings.begin(), readings.end());
        std::stable_sort(copy.begin(), copy.end(), before);
        sorted = copy;
    }
    std::vector<SampleSession> cells;
    cells.reserve(sorted.size());
    for (std::size_t first = 0, last = 0; first < sorted.size(); first = last) {
        double sum = 0.0;
        for (; last < sorted.size() && sorted[last].sample == sorted[first].sample &&
               sorted[last].session == sorted[first].session;
             ++last)
            sum += sorted[last].value;
        cells.push_back(
            {sorted[first].sample, sorted[first].session, sum / static_cast<double>(last - first)});
    }
    return cells;
}

// Takes off the median of each group of cells; `order` has groups together.
template <typename Same>
void take_off_medians(std::vector<SampleSession>& cells, const std::vector<std::size_t>& order,
                      const Same& same) {
    std::vector<double> values;
    for (std::size_t first = 0, last = 0; first < order.size(); first = last) {
        values.clear();
        for (; last < order.size() && same(cells[order[last]], cells[order[first]]); ++last)
            values.push_back(cells[order[last]].residual);
        const double middle = *median(values);
        for (std::size_t i = first; i < last; ++i)
            cells[order[i]].residual -= middle;
    }
}

// Removes samples with a cell farther out than `limit` robust SDs; returns the removed cells' sessions.
std::vector<int> drop_wrong_samples(std::vector<SampleSession>& cells, double limit) {
    std::vector<std::size_t> by_sample(cells.size()), by_session(cells.size());
    for (std::size_t i = 0; i < cells.size(); ++i) {
        by_sample[i] = by_session[i] = i;
        cells[i].residual = cells[i].value;
    }
    std::stable_sort(by_session.begin(), by_session.end(),
                     [&](std::size_t a, std::size_t b) { return cells[a].session < cells[b].session; });
    constexpr int kSweeps = 6;
    for (int sweep_number = 0; sweep_number < kSweeps; ++sweep_number) {
        take_off_medians(cells, by_sample, [](const auto& a, const auto& b) { return a.sample == b.sample; });
        take_off_medians(cells, by_session,
                         [](const auto& a, const auto& b) { return a.session == b.session; });
    }
    // The cells that are medians themselves have residual 0 and say nothing of the spread.
    std::vector<double> residuals;
    for (const SampleSession& cell : cells)
        if (std::abs(cell.residual) > 1e-9 * std::abs(cell.value))
            residuals.push_back(std::abs(cell.residual));
    const auto spread = median(residuals);
    std::vector<int> sessions;
    if (!spread || *spread <= 0.0)
        return sessions;
    std::vector<int> wrong;
    for (const SampleSession& cell : cells)
        if (std::abs(cell.residual) > limit * 1.4826 * *spread)
            wrong.push_back(cell.sample);
    std::erase_if(cells, [&](const SampleSession& cell) {
        const bool is_wrong = std::binary_search(wrong.begin(), wrong.end(), cell.sample);
        if (is_wrong)
            sessions.push_back(cell.session);
        return is_wrong;
    });
    return sessions;
}

// Leaves the cells of samples that several sessions read, with residual and weight; returns the degrees of
// freedom that samples leave.
double sweep(std::vector<SampleSession>& cells) {
    std::size_t kept = 0, samples = 0;
    for (std::size_t first = 0, last = 0; first < cells.size(); first = last) {
        double sum = 0.0;
        for (; last < cells.size() && cells[last].sample == cells[first].sample; ++last)
            sum += cells[last].value;
        const auto n = static_cast<double>(last - first);
        if (last - first < 2)
            continue;
        ++samples;
        for (std::size_t i = first; i < last; ++i) {
            cells[i].residual = cells[i].value - sum / n;
            cells[i].weight = 1.0 - 1.0 / n;
            cells[kept++] = cells[i];
        }
    }
    cells.resize(kept);
    return static_cast<double>(kept) - static_cast<double>(samples);
}

struct Sums {
    double xx = 0.0, xy = 0.0;
    std::size_t links = 0;
};

// Whether the samples of a session were read in one other session only, and that one's in this only.
bool only_two(const std::vector<SampleSession>& cells, int session) {
    int other = -1;
    std::vector<int> samples;
    for (const SampleSession& cell : cells)
        if (cell.session == session)
            samples.push_back(cell.sample);
    std::vector<int> around;
    for (const SampleSession& cell : cells)
        if (cell.session != session && std::binary_search(samples.begin(), samples.end(), cell.sample)) {
            if (other >= 0 && cell.session != other)
                return false;
            other = cell.session;
        }
    for (const SampleSession& cell : cells)
        if (cell.session == other && !std::binary_search(samples.begin(), samples.end(), cell.sample))
            return false;
    return other >= 0;
}

} // namespace

std::vector<ShiftedSession> shifted_sessions(std::span<const LinkedReading> readings, int sessions,
                                             const ShiftOptions& options) {
    std::vector<ShiftedSession> found(static_cast<std::size_t>(std::max(0, sessions)));
    std::vector<SampleSession> cells = cells_of(readings);
    sweep(cells);
    std::vector<std::size_t> left_out(found.size(), 0);
    if (options.wrong_sample > 0.0)
        for (const int session : drop_wrong_samples(cells, options.wrong_sample))
            ++left_out[static_cast<std::size_t>(session)];
    for (bool again = true; again;) {
        again = false;
        const double left = sweep(cells);
        std::vector<Sums> sums(found.size());
        double squares = 0.0;
        for (const SampleSession& cell : cells) {
            Sums& of = sums[static_cast<std::size_t>(cell.session)];
            of.xx += cell.weight;
            of.xy += cell.residual;
            ++of.links;
            squares += cell.residual * cell.residual;
        }
        const double df = left - 1.0;
        const double t_limit = df >= 1.0 ? t_quantile(1.0 - 0.5 * options.alpha, df) : 0.0;
        std::size_t worst = found.size();
        for (std::size_t s = 0; s < found.size(); ++s) {
            ShiftedSession& session = found[s];
            if (session.shifted)
                continue;
            session = {};
            session.links = sums[s].links;
            session.left_out = left_out[s];
            if (session.links == 0) {
                session.reason = "shares no sample with another session";
                continue;
            }
            if (df < 1.0) {
                session.reason = "shares too few samples to tell an offset from error";
                continue;
            }
            session.known = true;
            session.offset = sums[s].xy / sums[s].xx;
            const double error = std::max(0.0, squares - sums[s].xy * session.offset) / df;
            session.se = std::sqrt(error / sums[s].xx);
            session.low = session.offset - t_limit * session.se;
            session.high = session.offset + t_limit * session.se;
            if (session.se > 0.0)
                session.p = t_two_sided_p(session.offset / session.se, df);
            else
                session.p = session.offset == 0.0 ? 1.0 : 0.0;
            // Of two that cannot be told apart the later one.
            if (session.p < options.level && std::abs(session.offset) >= options.least &&
                session.links >= options.fewest &&
                (worst == found.size() || session.p <= found[worst].p * (1.0 + 1e-9)))
                worst = s;
        }
        if (worst < found.size()) {
            found[worst].shifted = true;
            found[worst].either = only_two(cells, static_cast<int>(worst));
            std::erase_if(cells,
                          [&](const SampleSession& cell) { return cell.session == static_cast<int>(worst); });
            again = true;
        }
    }
    return found;
}

} // namespace thresh::stats
