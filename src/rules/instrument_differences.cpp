// Differences between instruments. Only samples read on both tell; each sample counts once, by the difference
// of its means on the two.
#include "rules/links.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <span>
#include <thresh/core/parallel.hpp>
#include <thresh/stats/distributions.hpp>
#include <thresh/stats/summary.hpp>

namespace thresh::rules {

namespace {

struct Sum {
    double total = 0;
    std::size_t n = 0;
};

using Pair = std::tuple<TextId, TextId, std::uint8_t>;

// Calls take(links) for the links of each sample and material.
template <typename Take>
void by_sample(const std::vector<Link>& all, const Take& take) {
    for (std::size_t first = 0, last = 0; first < all.size(); first = last) {
        while (last < all.size() && all[last].material == all[first].material &&
               all[last].sample == all[first].sample)
            ++last;
        take(std::span(all).subspan(first, last - first));
    }
}

// Pairs of instruments with the number of samples that both read.
std::map<Pair, std::size_t> pairs_of(const std::vector<Link>& all) {
    std::map<Pair, std::size_t> pairs;
    std::vector<TextId> on;
    by_sample(all, [&](std::span<const Link> links) {
        on.clear();
        for (const Link& link : links)
            if (link.stable && std::find(on.begin(), on.end(), link.instrument) == on.end())
                on.push_back(link.instrument);
        std::sort(on.begin(), on.end());
        for (std::size_t a = 0; a < on.size(); ++a)
            for (std::size_t b = a + 1; b < on.size(); ++b)
                ++pairs[{on[a], on[b], links.front().material}];
    });
    return pairs;
}

// Sessions told already.
using Off = std::set<std::tuple<std::uint32_t, std::uint8_t, ConstituentId>>;

// Second less first of each sample that both read; counts the readings on the second.
std::vector<double> differences_of(const Links& links, const Off& off, std::size_t k,
                                   InstrumentDifference& pair) {
    std::vector<double> differences;
    by_sample(links.all, [&](std::span<const Link> of_sample) {
        if (of_sample.front().material != pair.material)
            return;
        bool both[2] = {false, false};
        for (const Link& link : of_sample) {
            both[0] = both[0] || (link.stable && link.instrument == pair.first);
            both[1] = both[1] || (link.stable && link.instrument == pair.second);
        }
        if (!both[0] || !both[1])
            return;
        Sum on_first, on_second;
        for (const Link& link : of_sample) {
            if (!link.stable || (link.instrument != pair.first && link.instrument != pair.second) ||
                (!off.empty() && off.contains({link.session, pair.material, pair.constituent})))
                continue;
            const double read = links.value(link, k);
            if (std::isnan(read))
                continue;
            Sum& sum = link.instrument == pair.first ? on_first : on_second;
            sum.total += read;
            ++sum.n;
            if (link.instrument == pair.second) {
                ++pair.readings;
                pair.row = std::min(pair.row, link.row);
            }
        }
        if (on_first.n > 0 && on_second.n > 0)
            differences.push_back(on_second.total / static_cast<double>(on_second.n) -
                                  on_first.total / static_cast<double>(on_first.n));
    });
    return differences;
}

// One constituent of a pair of instruments.
struct Test {
    std::size_t k; // of drift_constituents
    InstrumentDifference difference;
};

// Fills what is to be told of enough samples; else only their number.
void run(const Evidence& evidence, const Links& links, const Off& off, double level, Test& test) {
    InstrumentDifference& of = test.difference;
    const std::vector<double> differences = differences_of(links, off, test.k, of);
    of.samples = differences.size();
    if (differences.size() < kFewestPairs)
        return;
    const stats::Summary summary = stats::summarize(differences);
    const double mean = *summary.mean, se = *summary.se;
    const double df = static_cast<double>(differences.size() - 1);
    const double reach = stats::t_quantile(0.975, df) * se;
    of.difference = mean;
    of.low = mean - reach;
    of.high = mean + reach;
    of.p = se > 0 ? stats::t_two_sided_p(mean / se, df) : (mean == 0 ? 1.0 : 0.0);
    of.differ =
        of.p < level && std::abs(of.difference) >= least_shift(evidence.so_far, of.material, of.constituent);
}

} // namespace

std::vector<InstrumentDifference> instrument_differences(const Evidence& evidence, const Links& links,
                                                         const std::vector<SessionOffset>& offsets) {
    const auto pairs = pairs_of(links.all);
    std::size_t tests = 0;
    for (const auto& [pair, samples] : pairs)
        if (samples >= kFewestPairs)
            tests += drift_constituents(evidence, std::get<2>(pair)).size();
    std::vector<InstrumentDifference> found;
    if (tests == 0)
        return found;
    Off off;
    for (const SessionOffset& offset : offsets)
        if (offset.found.shifted)
            off.emplace(offset.session, offset.material, offset.constituent);

    std::vector<Test> wanted;
    for (const auto& [pair, samples] : pairs) {
        if (samples < kFewestPairs)
            continue;
        const auto [first, second, material] = pair;
        const std::vector<ConstituentId> ids = drift_constituents(evidence, material);
        for (std::size_t k = 0; k < ids.size(); ++k) {
            InstrumentDifference difference;
            difference.first = first;
            difference.second = second;
            difference.material = material;
            difference.constituent = ids[k];
            wanted.push_back({k, std::move(difference)});
        }
    }
    const double level = evidence.rules.tests.drift_percent / 100 / static_cast<double>(tests);
    parallel_for(wanted.size(), evidence.rules.batch.threads,
                 [&](std::size_t i) { run(evidence, links, off, level, wanted[i]); });
    for (Test& test : wanted)
        if (test.difference.samples >= kFewestPairs)
            found.push_back(std::move(test.difference));
    return found;
}

} // namespace thresh::rules
