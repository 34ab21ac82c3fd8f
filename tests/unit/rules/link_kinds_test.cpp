// Kinds of links counted through remembered places, held against a plain map.
#include "rules/link_kinds.hpp"

#include <catch2/catch.hpp>
#include <map>
#include <thresh/stats/random.hpp>

using namespace thresh::rules;

TEST_CASE("kinds of links are counted as a map counts them, however many are met in turn") {
    std::vector<double> z(4 * 20000);
    thresh::stats::random_normals(5, 0, z);
    const auto number = [&](std::size_t at) { return static_cast<std::uint32_t>(std::abs(z[at]) * 12); };
    LinkKinds kinds;
    std::map<LinkKind, std::size_t> plain;
    std::vector<LinkKind> in_order;
    for (std::uint32_t sample = 0; sample < 20000; ++sample) {
        const std::size_t at = 4 * sample;
        const std::uint32_t first = number(at);
        in_order.push_back(z[at + 3] > 2 ? always_kind(1)
                                         : link_kind(z[at + 1] > 1 ? 1 : 0, first, first + 1 + number(at + 2),
                                                     z[at + 3] > 0));
        kinds.add(sample, in_order.back());
        ++plain[in_order.back()];
    }
    REQUIRE(kinds.kinds().size() == plain.size());
    CHECK(plain.size() > 1000); // more than are remembered
    for (std::size_t kind = 0; kind < plain.size(); ++kind)
        CHECK(kinds.counts()[kind] == plain.at(kinds.kinds()[kind]));
    REQUIRE(kinds.entries().size() == in_order.size());
    for (std::uint32_t sample = 0; sample < in_order.size(); ++sample) {
        CHECK(kinds.entries()[sample].sample == sample);
        CHECK(kinds.kinds()[kinds.entries()[sample].kind] == in_order[sample]);
    }
}
