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

TEST_CASE("characters that look like others or cannot be seen are one typing error, and are named") {
    const auto told = [](std::string_view id) {
        CAPTURE(id);
        CHECK(near(id, {"SB-1040", "SB-1041", "SB-1042", "SB-2000"}) == Ids{"SB-1042"});
        return rules::unseen_difference(id, "`SB-1042`");
    };
    CHECK(told("SB\u20131042") == "U+2013, another dash than `-`");
    CHECK(told("SB\u20111042") == "U+2011, another dash than `-`");
    CHECK(told("SB\u22121042") == "U+2212, another dash than `-`");
    CHECK(told("S\u0412-1042") == "U+0412, which looks like `B`");
    CHECK(told("\u0405B-1042") == "U+0405, which looks like `S`");
    CHECK(told("SB-1042\u200b") == "U+200B, which cannot be seen");
    CHECK(told("\ufeffSB-1042") == "U+FEFF, which cannot be seen");
    CHECK(told("SB\u00ad-1042") == "U+00AD, which cannot be seen");
    CHECK(told("SB\u00a01042") == "U+00A0, another blank than the usual one");
    CHECK(rules::unseen_difference("SB-1043", "`SB-1042`").empty());
    CHECK(near("SB-1042", {"SB\u20131042"}) == Ids{"SB\u20131042"});
}

TEST_CASE("an error in a character of several bytes is one error") {
    CHECK(near("\u7532-141", {"\u4e59-141"}) == Ids{"\u4e59-141"});
    CHECK(near("\u7532-141", {"\u4e59-142"}).empty());
    CHECK(near("141\u7532", {"141"}) == Ids{"141"});
    CHECK(near("M\u00fcller-1", {"Muller-1"}) == Ids{"Muller-1"});
    CHECK(near("\xff-1", {"\xfe-1"}) != Ids{"X"}); // broken text does no harm
}
