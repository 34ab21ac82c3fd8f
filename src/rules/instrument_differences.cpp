// Differences between instruments. Only samples read on both tell; each sample counts once, by the difference
// of its means on the two.
#include "rules/links.hpp"
#include "rules/repeatability_sd.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <thresh/stats/distributions.hpp>
#include <thresh/stats/summary.hpp>

namespace thresh::rules {

namespace {

struct Sum {
    double total = 0;
    std::size_t n = 0;
};

using Pair = std::tuple<TextId, TextId, std::uint8_t>;

// Pairs of instruments with the samples that both read.
std::map<Pair, std::set<std::uint32_t>> pairs_of(const std::vector<Link>& all) {
    std::map<Pair, std::set<std::uint32_t>> pairs;
    for (std::size_t first = 0, last = 0; first < all.size(); first = last) {
        std::set<TextId> on;
        for (; last < all.size() && all[last].material == all[first].material &&
               all[last].sample == all[first].sample;
             ++last)
            if (all[last].stable)
                on.insert(all[last].instrument);
        for (auto a = on.begin(); a != on.end(); ++a)
            for (auto b = std::next(a); b != on.end(); ++b)
                pairs[{*a, *b, all[first].material}].insert(all[first].sample);
    }
    return pairs;
}

} // namespace

std::vector<InstrumentDifference> instrument_differences(const Evidence& evidence,
                                                         const std::vector<Link>& all,
                                                         const std::vector<SessionOffset>& offsets,
                                                         LeastShift& least) {
    const auto pairs = pairs_of(all);
    std::size_t tests = 0;
    for (const auto& [pair, samples] : pairs)
        if (samples.size() >= kFewestPairs)
            tests += drift_constituents(evidence, std::get<2>(pair)).size();
    std::vector<InstrumentDifference> found;
    if (tests == 0)
        return found;
    const Disagreeing left_out = disagreeing(evidence.so_far);
    std::set<std::tuple<std::uint32_t, std::uint8_t, ConstituentId>> off; // sessions told already
    for (const SessionOffset& offset : offsets)
        if (offset.found.shifted)
            off.emplace(offset.session, offset.material, offset.constituent);

    for (const auto& [pair, samples] : pairs) {
        const auto [first, second, material] = pair;
        if (samples.size() < kFewestPairs)
            continue;
        for (const ConstituentId id : drift_constituents(evidence, material)) {
            InstrumentDifference difference{first, second, material, id, 0, 0, 0, 0, 1, false, {}};
            ComparableValues value(evidence, id);
            std::map<std::uint32_t, std::pair<Sum, Sum>> sums;
            for (const Link& link : all) {
                if (link.material != material || !link.stable ||
                    (link.instrument != first && link.instrument != second) ||
                    !samples.contains(link.sample) || left_out.contains({link.sample, id}) ||
                    off.contains({link.session, material, id}))
                    continue;
                const auto read = value(link.row);
                if (!read)
                    continue;
                auto& [on_first, on_second] = sums[link.sample];
                Sum& sum = link.instrument == first ? on_first : on_second;
                sum.total += *read;
                ++sum.n;
                if (link.instrument == second)
                    difference.rows.push_back(link.row);
            }
            std::vector<double> differences;
            for (const auto& [sample, both] : sums)
                if (both.first.n > 0 && both.second.n > 0)
                    differences.push_back(both.second.total / static_cast<double>(both.second.n) -
                                          both.first.total / static_cast<double>(both.first.n));
            difference.samples = differences.size();
            if (differences.size() < kFewestPairs)
                continue;
            std::sort(difference.rows.begin(), difference.rows.end());
            const stats::Summary summary = stats::summarize(differences);
            const double df = static_cast<double>(differences.size() - 1);
            const double reach = stats::t_quantile(0.975, df) * *summary.se;
            difference.difference = *summary.mean;
            difference.low = *summary.mean - reach;
            difference.high = *summary.mean + reach;
            difference.p = *summary.se > 0 ? stats::t_two_sided_p(*summary.mean / *summary.se, df)
                                           : (*summary.mean == 0 ? 1.0 : 0.0);
            difference.differ =
                difference.p < evidence.rules.tests.drift_percent / 100 / static_cast<double>(tests) &&
                std::abs(difference.difference) >= least(material, id);
            found.push_back(std::move(difference));
        }
    }
    return found;
}

} // namespace thresh::rules
