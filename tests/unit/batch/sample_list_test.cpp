#include <catch2/catch.hpp>

#include <fmt/format.h>
#include <thresh/batch/sample_list.hpp>

using namespace thresh;
using namespace thresh::batch;

namespace {

ListEntry entry(std::uint32_t row_line, std::string sample, std::string line) {
    ListEntry made;
    made.row_line = row_line;
    made.sample = std::move(sample);
    made.line = std::move(line);
    return made;
}

} // namespace

TEST_CASE("a text that few rows of the list state stays in its row") {
    SampleList list;
    CHECK(list.empty());
    list.add(entry(2, "S1", "L1"));
    ListEntry second = entry(3, "S2", "L1");
    second.due = "2026-09-01";
    second.sheet = "Field 2";
    second.mass_g = 12.5;
    second.treated = true;
    list.add(second);
    list.add(entry(5, "S3", ""));
    ListEntry last = entry(6, "S4", "L1");
    last.keep_whole = last.is_check = true;
    last.due = "2026-09-01";
    list.add(last);
    REQUIRE(list.size() == 4);
    const auto texts = [&](ListText which) {
        std::string all;
        for (std::uint32_t row = 0; row < list.size(); ++row)
            all += fmt::format("{}|", list.text(row, which));
        return all;
    };
    CHECK(texts(ListText::sample) == "S1|S2|S3|S4|");
    CHECK(texts(ListText::line) == "L1|L1||L1|");
    CHECK(texts(ListText::due) == "|2026-09-01||2026-09-01|");
    CHECK(texts(ListText::trial) == "||||");
    CHECK(list.states(ListText::due));
    CHECK_FALSE(list.states(ListText::trial));
    for (std::uint32_t row = 0; row < list.size(); ++row) {
        CHECK(list.sheet(row) == (row == 1 ? "Field 2" : ""));
        CHECK(list.mass_g(row) == (row == 1 ? std::optional(12.5) : std::nullopt));
        CHECK(list.treated(row) == (row == 1));
        CHECK(list.keep_whole(row) == (row == 3));
        CHECK(list.is_check(row) == (row == 3));
    }
    CHECK(list.row_line(2) == 5);
}

TEST_CASE("a sample that is not listed states nothing, with a list and without") {
    SampleList list;
    for (int i = 0; i < 2; ++i) {
        CHECK(list.text(kNone, ListText::sample).empty());
        CHECK(list.sheet(kNone).empty());
        CHECK_FALSE(list.mass_g(kNone));
        CHECK_FALSE(list.keep_whole(kNone));
        CHECK_FALSE(list.treated(kNone));
        CHECK_FALSE(list.is_check(kNone));
        ListEntry full = entry(2, "S1", "L1");
        full.sheet = "1";
        full.mass_g = 3;
        full.keep_whole = full.treated = full.is_check = true;
        list.add(full);
    }
}

TEST_CASE("what a list of any length said can be read after more rows came and after it was moved") {
    SampleList list;
    std::vector<std::string_view> seen;
    const auto id_of = [](std::uint32_t i) { return fmt::format("S{}{}", i, std::string(i % 40, 'x')); };
    for (std::uint32_t i = 0; i < 3000; ++i) {
        list.add(entry(i + 2, id_of(i), fmt::format("L{}", i / 9)));
        seen.push_back(list.text(i, ListText::sample));
    }
    const SampleList moved = std::move(list);
    for (std::uint32_t i = 0; i < 3000; ++i) {
        REQUIRE(seen[i] == id_of(i));
        REQUIRE(moved.text(i, ListText::sample) == id_of(i));
        REQUIRE(moved.text(i, ListText::line) == fmt::format("L{}", i / 9));
    }
}
