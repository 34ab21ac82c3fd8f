// A prediction is the median of the line's other samples, each less its environment's effect, plus the effect
// of the environment where the sample stood. Effects are medians, swept out twice (Tukey's median polish).
// Seasons hold a million stays: values lie in flat arrays, and the median of the others is picked from the
// line's sorted values. Those are sorted once: what is taken off all of a line in one environment leaves
// their order as it is.
#include "rules/queues.hpp"

#include "rules/dry_values.hpp"
#include "rules/repeatability_sd.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <thresh/core/nothing.hpp>
#include <thresh/core/parallel.hpp>
#include <thresh/stats/summary.hpp>
#include <utility>

namespace thresh::rules {

namespace {

constexpr std::size_t kFewestOthers = 2; // stays of a line's other samples
constexpr std::size_t kStaysAPiece = 16384;

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
    std::map<std::pair<std::string_view, batch::Environment>, std::uint32_t> numbers;
    std::vector<std::uint32_t> of_plot;
    for (const batch::Plot& plot : batch.plots)
        of_plot.push_back(
            numbers
                .try_emplace({batch.lines[plot.line].trial, environment_of(batch.place_of(plot))},
                             static_cast<std::uint32_t>(numbers.size()))
                .first->second);
    return of_plot;
}

// The complete stays of samples in lines: their places are in the order of lines, samples and the queue.
struct Places {
    Groups lines, environments;             // of samples
    std::vector<std::uint32_t> environment; // by sample: its number
    std::vector<std::uint32_t> begin, end;  // by sample: its places
    std::vector<std::uint32_t> stay;        // by place
    std::vector<bool> together;             // by line: all its samples stand in one environment
    std::size_t first(std::size_t line) const { return begin[lines.of(line).front()]; }
    std::size_t last(std::size_t line) const { return end[lines.of(line).back()]; }
};

Places places_of(const Queues& queues, const batch::Batch& batch) {
    const std::size_t samples = batch.samples.size();
    const std::vector<std::uint32_t> environment_of_plot = environments_of_plots(batch);
    Places places;
    places.environment.assign(samples, kNone);
    for (std::size_t s = 0; s < samples; ++s)
        if (batch.samples[s].line != kNone)
            places.environment[s] = environment_of_plot[batch.samples[s].plot];
    std::vector<std::uint32_t> stays(samples, 0);
    const auto counts = [&](std::size_t stay) {
        return places.environment[queues.stays[stay].sample] != kNone && !queues.observed(stay).empty();
    };
    for (std::size_t i = 0; i < queues.stays.size(); ++i)
        stays[queues.stays[i].sample] += counts(i);
    std::vector<std::uint32_t> present;
    for (std::uint32_t s = 0; s < samples; ++s)
        if (stays[s] > 0)
            present.push_back(s);
    places.lines =
        grouped(present, batch.lines.size(), [&](std::uint32_t s) { return batch.samples[s].line; });
    places.environments = grouped(places.lines.members, batch.plots.size(),
                                  [&](std::uint32_t s) { return places.environment[s]; });
    places.begin.resize(samples);
    std::uint32_t at = 0;
    for (const std::uint32_t s : places.lines.members) {
        places.begin[s] = at;
        at += stays[s];
    }
    places.end = places.begin;
    places.stay.resize(at);
    for (std::uint32_t i = 0; i < queues.stays.size(); ++i)
        if (counts(i))
            places.stay[places.end[queues.stays[i].sample]++] = i;
    for (std::size_t line = 0; line < places.lines.count(); ++line)
        places.together.push_back(std::ranges::all_of(places.lines.of(line), [&](std::uint32_t s) {
            return places.environment[s] == places.environment[places.lines.of(line).front()];
        }));
    return places;
}

// The places of a line in the order of their values, each counted from the line's first.
class LineOrder {
  public:
    // `value` of all places. Of equal values the earlier place comes first.
    void sort(std::span<const double> value, std::span<std::uint32_t> order) {
        pairs_.clear();
        for (std::uint32_t place = 0; place < value.size(); ++place)
            pairs_.emplace_back(value[place], place);
        std::sort(pairs_.begin(), pairs_.end());
        for (std::size_t r = 0; r < order.size(); ++r)
            order[r] = pairs_[r].second;
    }

  private:
    std::vector<std::pair<double, std::uint32_t>> pairs_;
};

// Takes the median of each line off its values. `order`: of the values of lines that stand together.
void sweep_lines(const Places& places, const std::vector<std::uint32_t>& order,
                 std::vector<double>& residual) {
    for (std::size_t line = 0; line < places.lines.count(); ++line) {
        const std::size_t first = places.first(line), n = places.last(line) - first;
        const auto of_line = std::span(residual).subspan(first, n);
        const auto ranked = [&](std::size_t rank) { return of_line[order[first + rank]]; };
        const double middle = !places.together[line] ? *stats::median(of_line)
                              : n % 2 == 1           ? ranked(n / 2)
                                                     : 0.5 * (ranked(n / 2 - 1) + ranked(n / 2));
        for (double& value : of_line)
            value -= middle;
    }
}

// The same for each environment, whose effect it adds to. `work`: memory that one call leaves to the next.
void sweep_environments(const Places& places, std::vector<double>& residual, std::vector<double>& effect,
                        std::vector<double>& work) {
    for (std::size_t g = 0; g < places.environments.count(); ++g) {
        const auto samples = places.environments.of(g);
        work.clear();
        for (const std::uint32_t s : samples)
            work.insert(work.end(), residual.begin() + places.begin[s], residual.begin() + places.end[s]);
        const double middle = *stats::median_in_place(work);
        for (const std::uint32_t s : samples)
            for (std::uint32_t place = places.begin[s]; place < places.end[s]; ++place)
                residual[place] -= middle;
        effect[places.environment[samples.front()]] += middle;
    }
}

// The median of `sorted` without the places `out`, which ascend; at least one must be left.
double median_without(const std::vector<double>& sorted, const std::vector<std::uint32_t>& out) {
    const auto value = [&](std::size_t place) {
        for (const std::size_t gone : out)
            place += gone <= place ? 1 : 0;
        return sorted[place];
    };
    const std::size_t left = sorted.size() - out.size();
    return (value((left - 1) / 2) + value(left / 2)) / 2;
}

} // namespace

std::vector<Queues> queues_of(const Evidence& evidence) {
    const batch::Batch& batch = evidence.batch;
    std::vector<Queues> found(batch.material_names.size());
    std::vector<std::size_t> rows(found.size());
    for (const std::uint8_t material : batch.material)
        if (material != batch::kNoMaterial)
            ++rows[material];
    for (std::size_t m = 0; m < found.size(); ++m) {
        found[m].rows.reserve(rows[m]);
        found[m].stays.reserve(rows[m]); // memory that is not reached costs nothing
    }
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

std::span<const double> Queues::row(const double* values, std::size_t which) const {
    const double* of = values + which * variables;
    return {of, std::isnan(*of) ? 0 : variables};
}

void Queues::read(const Evidence& evidence, const std::vector<ConstituentId>& ids) {
    variables = ids.size();
    observed_ = std::make_unique_for_overwrite<double[]>(stays.size() * variables);
    parallel_for((stays.size() + kStaysAPiece - 1) / kStaysAPiece, evidence.rules.batch.threads,
                 [&](std::size_t piece) {
                     DryValues values(evidence.batch, evidence.so_far, ids);
                     std::vector<double> read(variables);
                     std::vector<std::size_t> n(variables);
                     const std::size_t end = std::min(stays.size(), (piece + 1) * kStaysAPiece);
                     for (std::size_t i = piece * kStaysAPiece; i < end; ++i) {
                         double* to = observed_.get() + i * variables;
                         std::fill_n(to, variables, 0.0);
                         std::fill(n.begin(), n.end(), std::size_t{0});
                         for (const RowId row : rows_of(stays[i])) {
                             if (evidence.so_far.verdict[row] > Verdict::review)
                                 continue;
                             values.read(row, read.data());
                             for (std::size_t v = 0; v < variables; ++v) {
                                 const bool there = !std::isnan(read[v]);
                                 to[v] += there ? read[v] : 0.0;
                                 n[v] += there ? 1U : 0U;
                             }
                         }
                         for (std::size_t v = 0; v < variables; ++v)
                             to[v] /= static_cast<double>(n[v]);
                         if (std::find(n.begin(), n.end(), std::size_t{0}) != n.end())
                             to[0] = kNothing; // incomplete
                     }
                 });
    predict(evidence);
}

void Queues::predict(const Evidence& evidence) {
    const Places places = places_of(*this, evidence.batch);
    const std::size_t count = places.stay.size();
    predicted_.assign(evidence.batch.samples.size() * variables, kNothing);
    // Each variable's values together, for one look at each stay.
    const auto values = std::make_unique_for_overwrite<double[]>(count * variables);
    parallel_for((count + kStaysAPiece - 1) / kStaysAPiece, evidence.rules.batch.threads,
                 [&](std::size_t piece) {
                     const std::size_t end = std::min(count, (piece + 1) * kStaysAPiece);
                     for (std::size_t place = piece * kStaysAPiece; place < end; ++place)
                         for (std::size_t v = 0; v < variables; ++v)
                             values[v * count + place] = observed_[places.stay[place] * variables + v];
                 });
    parallel_for(variables, evidence.rules.batch.threads, [&](std::size_t v) {
        const std::span value(values.get() + v * count, count);
        std::vector<double> residual(value.begin(), value.end()), effect(evidence.batch.plots.size());
        std::vector<std::uint32_t> order(count);
        LineOrder line_order;
        const auto of_line = [&](auto&& all, std::size_t line) {
            return std::span(all).subspan(places.first(line), places.last(line) - places.first(line));
        };
        for (std::size_t line = 0; line < places.lines.count(); ++line)
            if (places.together[line])
                line_order.sort(of_line(value, line), of_line(order, line));
        std::vector<double> work;
        work.reserve(count); // what is not reached costs nothing
        for (int round = 0; round < 2; ++round) {
            sweep_lines(places, order, residual);
            sweep_environments(places, residual, effect, work);
        }
        std::vector<double> adjusted, sorted; // by place of a line; by rank
        std::vector<std::uint32_t> rank, out;
        for (std::size_t line = 0; line < places.lines.count(); ++line) {
            const std::size_t first = places.first(line);
            adjusted.clear();
            for (const std::uint32_t s : places.lines.of(line))
                for (std::size_t place = places.begin[s]; place < places.end[s]; ++place)
                    adjusted.push_back(value[place] - effect[places.environment[s]]);
            const auto ordered = of_line(order, line);
            if (!places.together[line])
                line_order.sort(adjusted, ordered);
            sorted.resize(ordered.size());
            rank.resize(ordered.size());
            for (std::uint32_t r = 0; r < ordered.size(); ++r) {
                sorted[r] = adjusted[ordered[r]];
                rank[ordered[r]] = r;
            }
            for (const std::uint32_t s : places.lines.of(line)) {
                out.assign(rank.begin() + static_cast<std::ptrdiff_t>(places.begin[s] - first),
                           rank.begin() + static_cast<std::ptrdiff_t>(places.end[s] - first));
                if (sorted.size() - out.size() < kFewestOthers)
                    continue;
                std::sort(out.begin(), out.end());
                predicted_[s * variables + v] = median_without(sorted, out) + effect[places.environment[s]];
            }
        }
    });
}

} // namespace thresh::rules
