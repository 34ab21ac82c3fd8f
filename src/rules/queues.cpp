// A prediction is the median of the line's other samples, each less its environment's effect, plus the effect
// of the environment where the sample stood. Effects are medians, swept out twice (Tukey's median polish).
// Seasons hold a million stays: values lie in flat arrays, and the median of the others is picked from the
// line's sorted values.
#include "rules/queues.hpp"

#include "rules/repeatability_sd.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <numeric>
#include <thresh/core/parallel.hpp>
#include <thresh/stats/summary.hpp>
#include <utility>

namespace thresh::rules {

namespace {

constexpr std::size_t kFewestOthers = 2; // stays of a line's other samples
constexpr std::size_t kStaysAPiece = 16384;
constexpr double kNothing = std::numeric_limits<double>::quiet_NaN();

// Members in groups that are not empty: of group g, members[begin[g]] to members[begin[g + 1]].
struct Groups {
    std::vector<std::uint32_t> members, begin = {0};
    std::size_t count() const { return begin.size() - 1; }
    std::span<const std::uint32_t> of(std::size_t group) const {
        return std::span(members).subspan(begin[group], begin[group + 1] - begin[group]);
    }
};

// A counting sort. `group_of(member)` is below `groups`; members keep their order within a group.
template <typename GroupOf>
Groups grouped(const std::vector<std::uint32_t>& members, std::size_t groups, const GroupOf& group_of) {
    std::vector<std::uint32_t> at(groups + 1, 0);
    for (const std::uint32_t member : members)
        ++at[group_of(member) + 1];
    Groups made;
    for (std::size_t g = 1; g <= groups; ++g) {
        at[g] += at[g - 1];
        if (at[g] != at[g - 1])
            made.begin.push_back(at[g]);
    }
    made.members.resize(members.size());
    for (const std::uint32_t member : members)
        made.members[at[group_of(member)]++] = member;
    return made;
}

// Trial and environment of each plot, numbered.
std::vector<std::uint32_t> environments_of_plots(const batch::Batch& batch) {
    std::map<std::pair<std::string_view, std::string_view>, std::uint32_t> numbers;
    std::vector<std::uint32_t> of_plot;
    for (const batch::Plot& plot : batch.plots)
        of_plot.push_back(
            numbers.try_emplace({plot.trial, plot.environment}, static_cast<std::uint32_t>(numbers.size()))
                .first->second);
    return of_plot;
}

// Takes the median of each group off its members, and adds it to `effect` where there is one.
void sweep(const Groups& groups, std::vector<double>& residual, std::vector<double>* effect,
           std::vector<double>& work) {
    for (std::size_t g = 0; g < groups.count(); ++g) {
        work.clear();
        for (const std::uint32_t place : groups.of(g))
            work.push_back(residual[place]);
        const double middle = *stats::median(work);
        for (const std::uint32_t place : groups.of(g)) {
            residual[place] -= middle;
            if (effect != nullptr)
                (*effect)[place] += middle;
        }
    }
}

// The median of `sorted` without the places `out`, which ascend; at least one must be left.
double median_without(const std::vector<std::pair<double, std::uint32_t>>& sorted,
                      const std::vector<std::size_t>& out) {
    const auto value = [&](std::size_t place) {
        for (const std::size_t gone : out)
            place += gone <= place ? 1 : 0;
        return sorted[place].first;
    };
    const std::size_t left = sorted.size() - out.size();
    return (value((left - 1) / 2) + value(left / 2)) / 2;
}

} // namespace

std::vector<Queues> queues_of(const Evidence& evidence) {
    const batch::Batch& batch = evidence.batch;
    std::vector<Queues> found(batch.material_names.size());
    for (std::uint32_t s = 0; s < batch.sessions.size(); ++s)
        for (const RowId row : batch.sessions[s].rows) {
            const std::uint8_t material = batch.material[row];
            if (batch.kind[row] != Kind::seed || batch.sample[row] == kNone || material == batch::kNoMaterial)
                continue;
            Queues& of = found[material];
            if (of.stays.empty() || of.stays.back().session != s ||
                of.stays.back().sample != batch.sample[row])
                of.stays.push_back({s, batch.sample[row], static_cast<std::uint32_t>(of.rows.size()), 0});
            ++of.stays.back().rows;
            of.rows.push_back(row);
        }
    return found;
}

std::span<const double> Queues::row(const std::vector<double>& values, std::size_t stay) const {
    const std::span all(values);
    return std::isnan(all[stay * variables]) ? all.first(0) : all.subspan(stay * variables, variables);
}

void Queues::read(const Evidence& evidence, const std::vector<ConstituentId>& ids) {
    variables = ids.size();
    observed_.assign(stays.size() * variables, kNothing);
    predicted_.assign(stays.size() * variables, kNothing);
    parallel_for((stays.size() + kStaysAPiece - 1) / kStaysAPiece, evidence.rules.batch.threads,
                 [&](std::size_t piece) {
                     std::vector<ComparableValues> value_of;
                     for (const ConstituentId id : ids)
                         value_of.emplace_back(evidence, id);
                     const std::size_t end = std::min(stays.size(), (piece + 1) * kStaysAPiece);
                     for (std::size_t i = piece * kStaysAPiece; i < end; ++i) {
                         double* to = observed_.data() + i * variables;
                         for (std::size_t v = 0; v < variables; ++v) {
                             double sum = 0;
                             std::size_t n = 0;
                             for (const RowId row : rows_of(stays[i]))
                                 if (evidence.so_far.verdict[row] <= Verdict::review)
                                     if (const auto read = value_of[v](row)) {
                                         sum += *read;
                                         ++n;
                                     }
                             if (n == 0) {
                                 to[0] = kNothing; // incomplete
                                 break;
                             }
                             to[v] = sum / static_cast<double>(n);
                         }
                     }
                 });
    predict(evidence);
}

// Everything is worked out line by line, over places in this order: line, sample, place in the queues.
void Queues::predict(const Evidence& evidence) {
    const batch::Batch& batch = evidence.batch;
    const auto sample_of = [&](std::uint32_t stay) -> const batch::Sample& {
        return batch.samples[stays[stay].sample];
    };
    std::vector<std::uint32_t> known;
    for (std::uint32_t i = 0; i < stays.size(); ++i)
        if (!observed(i).empty() && sample_of(i).line != kNone)
            known.push_back(i);
    const Groups samples =
        grouped(known, batch.samples.size(), [&](std::uint32_t stay) { return stays[stay].sample; });
    Groups lines = grouped(samples.members, batch.lines.size(),
                           [&](std::uint32_t stay) { return sample_of(stay).line; });
    std::vector<std::uint32_t> places(known.size());
    std::iota(places.begin(), places.end(), 0U);
    const std::vector<std::uint32_t> stay_at = std::exchange(lines.members, places);
    const std::vector<std::uint32_t> environment_of_plot = environments_of_plots(batch);
    const Groups environments = grouped(places, batch.plots.size(), [&](std::uint32_t place) {
        return environment_of_plot[sample_of(stay_at[place]).plot];
    });

    parallel_for(variables, evidence.rules.batch.threads, [&](std::size_t v) {
        std::vector<double> value(places.size()), effect(places.size()), work;
        for (const std::uint32_t place : places)
            value[place] = observed_[stay_at[place] * variables + v];
        std::vector<double> residual = value;
        for (int round = 0; round < 2; ++round) {
            sweep(lines, residual, nullptr, work);
            sweep(environments, residual, &effect, work);
        }
        std::vector<std::pair<double, std::uint32_t>> sorted; // value, place among the line's members
        std::vector<std::size_t> rank, out;
        for (std::size_t g = 0; g < lines.count(); ++g) {
            const std::size_t begin = lines.begin[g], size = lines.begin[g + 1] - begin;
            sorted.clear();
            for (std::uint32_t m = 0; m < size; ++m)
                sorted.emplace_back(value[begin + m] - effect[begin + m], m);
            std::sort(sorted.begin(), sorted.end());
            rank.resize(size);
            for (std::size_t r = 0; r < size; ++r)
                rank[sorted[r].second] = r;
            for (std::size_t first = 0, last = 0; first < size; first = last) {
                const std::uint32_t sample = stays[stay_at[begin + first]].sample;
                out.clear();
                while (last < size && stays[stay_at[begin + last]].sample == sample)
                    out.push_back(rank[last++]);
                if (size - out.size() < kFewestOthers)
                    continue;
                std::sort(out.begin(), out.end());
                const double others = median_without(sorted, out);
                for (std::size_t m = first; m < last; ++m)
                    predicted_[stay_at[begin + m] * variables + v] = others + effect[begin + m];
            }
        }
    });
}

} // namespace thresh::rules
