#include <catch2/catch.hpp>

#include <fmt/format.h>
#include <map>
#include <set>
#include <thresh/batch/list_reader.hpp>

using namespace thresh;
using namespace thresh::batch;

namespace {

using Cells = std::map<std::string, std::string>;

std::vector<TextRow> text_rows(const std::vector<ListHeading>& headings, const std::vector<Cells>& cells) {
    std::vector<TextRow> rows;
    for (std::size_t i = 0; i < cells.size(); ++i) {
        TextRow row;
        row.line = static_cast<std::uint32_t>(i + 2);
        row.cell = [&headings, &cells, i](std::size_t column) -> std::string_view {
            const auto at = cells[i].find(std::string(headings[column].name));
            return at == cells[i].end() ? std::string_view{} : std::string_view(at->second);
        };
        rows.push_back(row);
    }
    return rows;
}

Result<SampleList> list_of(const std::vector<Cells>& cells) {
    const auto& headings = sample_list_headings();
    return make_sample_list("list.csv", text_rows(headings, cells), [&](std::size_t column) {
        for (const Cells& row : cells)
            if (row.contains(std::string(headings[column].name)))
                return true;
        return false;
    });
}

Result<std::vector<Decision>> decisions_of(const std::vector<Cells>& cells) {
    return make_decisions("decisions.csv", text_rows(decision_headings(), cells));
}

} // namespace

TEST_CASE("no heading stands for two columns of one list") {
    for (const auto* headings : {&sample_list_headings(), &decision_headings()}) {
        std::set<std::string_view> seen;
        for (const ListHeading& column : *headings) {
            CHECK(seen.insert(column.name).second);
            for (const std::string_view heading : column.headings)
                if (heading != column.name)
                    CHECK((seen.insert(heading).second || heading == column.name));
        }
    }
}

TEST_CASE("a sample list is taken as it stands, blanks around cells removed") {
    const auto list = list_of({{{"sample", " S1 "},
                                {"line", "L1"},
                                {"trial", "T"},
                                {"mass_g", "12,5"},
                                {"treated", "Thiram"},
                                {"keep_whole", "nein"},
                                {"check", "x"}},
                               {{"sample", "S2"}, {"line", "L2"}, {"trial", "T"}, {"kind", "Check"}},
                               {{"sample", "S3"}, {"line", "L3"}, {"check", "no"}},
                               {}});
    REQUIRE(list);
    CHECK(list->given());
    REQUIRE(list->size() == 3);
    CHECK(list->text(0, ListText::sample) == "S1");
    CHECK(list->row_line(0) == 2);
    CHECK(list->mass_g(0) == 12.5);
    CHECK(list->treated(0));
    CHECK_FALSE(list->keep_whole(0));
    CHECK(list->is_check(0));
    CHECK(list->is_check(1));
    CHECK_FALSE(list->is_check(2));
    CHECK(list->has_trial);
    CHECK_FALSE(list->has_plot);
}

TEST_CASE("a list's row without sample is an error with its line") {
    const auto list = list_of({{{"sample", "S1"}, {"line", "L1"}}, {{"line", "L2"}}});
    REQUIRE_FALSE(list);
    CHECK(list.error().file == "list.csv");
    CHECK(list.error().line == 3);
    CHECK(list.error().help != "");
}

TEST_CASE("one sample in two lines is an error that names both rows") {
    const auto list = list_of({{{"sample", "S1"}, {"line", "L1"}}, {{"sample", "S1"}, {"line", "L2"}}});
    REQUIRE_FALSE(list);
    CHECK(list.error().line == 3);
    CHECK(list.error().message.find("line 2") != std::string::npos);
}

TEST_CASE("a row pasted twice is taken once") {
    const auto list = list_of({{{"sample", "S1"}, {"line", "L1"}}, {{"sample", "S1"}, {"line", "L1"}}});
    REQUIRE(list);
    CHECK(list->size() == 1);
}

TEST_CASE("a sample listed again is found wherever in the list, sorted or not") {
    const auto samples = [](const std::string& letters) {
        std::vector<Cells> rows;
        for (const char letter : letters)
            rows.push_back({{"sample", std::string(1, letter)}, {"line", "L"}});
        return rows;
    };
    for (const std::string& letters :
         std::vector<std::string>{"ABCC", "ABCA", "ABCB", "ACBA", "ACBC", "CBAC", "CBBA"}) {
        CAPTURE(letters);
        std::vector<Cells> rows = samples(letters);
        const auto list = list_of(rows);
        REQUIRE(list);
        CHECK(list->size() == 3);
        for (std::size_t again = 1; again < rows.size(); ++again)
            if (const std::size_t first = letters.find(letters[again]); first < again) {
                rows[again]["line"] = "M";
                const auto refused = list_of(rows);
                REQUIRE_FALSE(refused);
                CHECK(refused.error().line == again + 2);
                CHECK(refused.error().message.find(fmt::format("line {}", first + 2)) != std::string::npos);
            }
    }
}

TEST_CASE("a duplicate must lead to a listed original") {
    CHECK(list_of({{{"sample", "B"}, {"duplicate_of", "A"}}, {{"sample", "A"}, {"line", "L"}}}));
    const auto unlisted = list_of({{{"sample", "A"}}, {{"sample", "B"}, {"duplicate_of", "C"}}});
    REQUIRE_FALSE(unlisted);
    CHECK(unlisted.error().line == 3);
    CHECK_FALSE(list_of({{{"sample", "A"}, {"duplicate_of", "A"}}}));
    CHECK_FALSE(
        list_of({{{"sample", "A"}, {"duplicate_of", "B"}}, {{"sample", "B"}, {"duplicate_of", "A"}}}));
    CHECK_FALSE(list_of({{{"sample", "C"}, {"duplicate_of", "A"}},
                         {{"sample", "A"}, {"duplicate_of", "B"}},
                         {{"sample", "B"}, {"duplicate_of", "A"}}}));
}

TEST_CASE("a list without any sample is refused: every reading would look mistyped") {
    const auto refused = list_of({});
    REQUIRE_FALSE(refused);
    CHECK(refused.error().message == "the sample list names no sample");
}

TEST_CASE("a packet's kind is known however it is written, and an unknown word is refused with its cell") {
    for (const char* written : {"single_plant", "Single plant", "single-plants", "SINGLE_PLANT"})
        CHECK(list_of({{{"sample", "S"}, {"kind", written}}})->text(0, ListText::kind) == "single_plant");
    CHECK(list_of({{{"sample", "S"}, {"kind", "Check"}}})->is_check(0));
    CHECK(list_of({{{"sample", "S"}, {"kind", ""}}})->text(0, ListText::kind).empty());
    const auto refused = list_of({{{"sample", "S"}, {"kind", "singel plant"}}});
    REQUIRE_FALSE(refused);
    CHECK(refused.error().message == "the kind of sample `S` is `singel plant`, which is none");
    CHECK(refused.error().help ==
          "write one of plot, bulk, single_plant, check, remnant, or leave the cell blank");
    CHECK(refused.error().line == 2);
}

TEST_CASE("a mass is a plain number of grams, and an ambiguous one is refused") {
    for (const auto& [text, grams] :
         std::map<std::string, double>{{"250", 250}, {"12.5", 12.5}, {"12,5", 12.5}, {"80 g", 80}})
        CHECK(list_of({{{"sample", "S"}, {"mass_g", text}}})->mass_g(0) == grams);
    for (const char* text : {"1,234", "heavy", "-3", "1.234,5", "1e3"})
        CHECK_FALSE(list_of({{{"sample", "S"}, {"mass_g", text}}}));
}

TEST_CASE("decisions are read with what they are about") {
    const auto decisions =
        decisions_of({{{"sample", "S1"}, {"decision", "Drop"}, {"reason", "spilled"}},
                      {{"source", "a.csv"}, {"row", "17"}, {"decision", "rename"}, {"to", "S2"}},
                      {{"time", "2026-08-03T07:41"}, {"decision", "keep"}},
                      {{"code", "basis-assumed"}, {"decision", "keep"}}});
    REQUIRE(decisions);
    REQUIRE(decisions->size() == 4);
    CHECK((*decisions)[0].action == Decision::Action::drop);
    CHECK((*decisions)[1].row == 17U);
    CHECK((*decisions)[1].to == "S2");
    CHECK(to_text((*decisions)[2].time) == "2026-08-03T07:41");
}

TEST_CASE("a decision pasted twice is taken once, one that says something else is not") {
    const Cells rename = {{"sample", "S1"}, {"decision", "rename"}, {"to", "S2"}};
    Cells other = rename;
    other["reason"] = "seen again";
    Cells spaced = rename;
    spaced["to"] = " S2 ";
    const auto decisions = decisions_of({rename, other, rename, spaced});
    REQUIRE(decisions);
    REQUIRE(decisions->size() == 2);
    CHECK((*decisions)[0].row_line == 2);
    CHECK((*decisions)[1].reason == "seen again");
}

TEST_CASE("decisions that contradict each other are an error that names both lines") {
    const Cells rename = {{"sample", "S1"}, {"decision", "rename"}, {"to", "S2"}};
    Cells elsewhere = rename, drop = {{"sample", "S1"}, {"decision", "drop"}};
    elsewhere["to"] = "S3";
    const auto two = decisions_of({rename, elsewhere});
    REQUIRE_FALSE(two);
    CHECK(two.error().line == 3);
    CHECK(two.error().message == "the decision contradicts the one in line 2: it renames to `S2`");
    CHECK_FALSE(decisions_of({rename, drop}));
    CHECK_FALSE(decisions_of({{{"sample", "S1"}, {"decision", "keep"}}, drop}));
    // A finding that is kept says nothing about a reading that is dropped; other readings are others.
    CHECK(decisions_of({{{"sample", "S1"}, {"decision", "keep"}, {"code", "sum-off"}}, drop}));
    CHECK(decisions_of({rename, {{"sample", "S9"}, {"decision", "drop"}}}));
}

TEST_CASE("a decision that cannot be carried out is an error with its line") {
    const std::vector<Cells> bad = {{{"sample", "S1"}, {"decision", "maybe"}},
                                    {{"sample", "S1"}},
                                    {{"sample", "S1"}, {"decision", "rename"}},
                                    {{"decision", "drop"}, {"code", "sum-off"}},
                                    {{"decision", "keep"}, {"constituent", "oil"}},
                                    {{"row", "3"}, {"decision", "drop"}},
                                    {{"source", "a.csv"}, {"row", "three"}, {"decision", "drop"}},
                                    {{"time", "3.8.2026"}, {"decision", "drop"}}};
    for (const Cells& row : bad) {
        const auto decisions = decisions_of({row});
        REQUIRE_FALSE(decisions);
        CHECK(decisions.error().line == 2);
        CHECK(decisions.error().help != "");
    }
}
