#include <catch2/catch.hpp>

#include <set>
#include <string>
#include <thresh/core/constituent.hpp>

using namespace thresh;

TEST_CASE("every built-in constituent is found by its name at its own place") {
    const ConstituentTable table;
    REQUIRE(table.size() == constituent::kBuiltInCount);
    for (ConstituentId id = 0; id < table.size(); ++id)
        CHECK(table.find(table[id].name) == id);
    CHECK(table[constituent::linolenic].name == "linolenic");
    CHECK(table[constituent::oleic_linoleic].name == "oleic_linoleic");
    CHECK(table[constituent::peak].name == "peak");
}

TEST_CASE("no heading stands for two constituents") {
    const ConstituentTable table;
    std::set<std::string> seen;
    for (ConstituentId id = 0; id < table.size(); ++id) {
        std::set<std::string> own = {table[id].name};
        for (const auto heading : table[id].headings)
            own.emplace(heading);
        for (const auto& heading : own)
            CHECK(seen.insert(heading).second);
    }
}

TEST_CASE("fatty acids are part of the oil, amino acids of the sample, unless a heading says otherwise") {
    const ConstituentTable table;
    CHECK(table[constituent::oleic].part_of == PartOf::oil);
    CHECK(table[constituent::lysine].part_of == PartOf::sample);
    CHECK(table[constituent::iodine_value].part_of == PartOf::none);
}

TEST_CASE("a trait is added after the built-in constituents") {
    ConstituentTable table;
    const ConstituentId id =
        table.add_trait({"oil_yield", "Oil yield", "%", PartOf::none, Group::trait, 2, {}});
    CHECK(id == constituent::kBuiltInCount);
    CHECK(table.find("oil_yield") == id);
}
