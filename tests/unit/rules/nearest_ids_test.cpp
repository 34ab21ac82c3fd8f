// Listed IDs near to mistyped ones.
#include "rules/nearest_ids.hpp"

#include <catch2/catch.hpp>
#include <fmt/format.h>

#include <deque>
#include <string>

using namespace thresh;

namespace {

std::vector<std::string_view> near(std::string_view id, const std::vector<std::string_view>& listed,
                                   unsigned threads = 1) {
    return rules::NearestIds({id}).among(listed, 3, threads).front();
}
using Ids = std::vector<std::string_view>;

} // namespace

TEST_CASE("one wrong, missing, added or swapped character is near, two are not") {
    CHECK(near("EP-141", {"EP-142"}) == Ids{"EP-142"});
    CHECK(near("EP-11", {"EP-111", "EP-1111"}) == Ids{"EP-111"});
    CHECK(near("EP-1411", {"EP-141"}) == Ids{"EP-141"});
    CHECK(near("EP-411", {"EP-141"}) == Ids{"EP-141"});
    CHECK(near("P-141", {"EP-141"}) == Ids{"EP-141"});
    CHECK(near("EP-141", {"EP-232", "EP-114X", "FQ-141"}).empty());
    CHECK(near("EP-141", {"EP-141"}).empty()); // itself is no neighbour
}

TEST_CASE("look-alike characters and lost leading zeros are near however many there are") {
    CHECK(near("OBI-5", {"0810S"}).empty());
    CHECK(near("EP-OO1", {"EP-001"}) == Ids{"EP-001"});
    CHECK(near("ep 1", {"EP-0001"}) == Ids{"EP-0001"});
    CHECK(near("B15-Z", {"8IS-2"}) == Ids{"8IS-2"});
}

TEST_CASE("the first three of the list are named, whatever the number of threads") {
    std::deque<std::string> ids;
    for (int i = 0; i < 40000; ++i)
        ids.push_back(fmt::format("S{:05}", i));
    const std::vector<std::string_view> listed(ids.begin(), ids.end());
    for (const unsigned threads : {1U, 4U})
        CHECK(near("S3999", listed, threads) == Ids{"S03999", "S13999", "S23999"});
    CHECK(rules::NearestIds({}).among(listed, 3, 2).empty());
    const auto found = rules::NearestIds({"S0001", "X"}).among(listed, 3, 2);
    REQUIRE(found.size() == 2);
    CHECK(found[0].front() == "S00001");
    CHECK(found[1].empty());
}
