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

Result<SampleList> list_of(const std::vector<Cells>& cells, const Settings* settings = nullptr) {
    const auto& headings = sample_list_headings();
    const auto has = [&](std::size_t column) {
        for (const Cells& row : cells)
            if (row.contains(std::string(headings[column].name)))
                return true;
        return false;
    };
    return make_sample_list("list.csv", text_rows(headings, cells), has, settings);
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

TEST_CASE("a list's row with an error word or a mark for its sample is an error, a word may be an ID") {
    for (const char* none : {"#N/A", "#REF!", "-", "\u2013"}) {
        const auto list = list_of({{{"sample", "S1"}}, {{"sample", none}}});
        REQUIRE_FALSE(list);
        CHECK(list.error().line == 3);
        CHECK(list.error().message == fmt::format("`{}` is no sample ID", none));
    }
    CHECK(list_of({{{"sample", "NA"}}}));
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
                      {{"code", "basis-assumed"}, {"decision", "keep"}},
                      {{"source", "a.csv"}, {"code", "instruments-differ"}, {"decision", "keep"}}});
    REQUIRE(decisions);
    REQUIRE(decisions->size() == 5);
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
                                    {{"source", "a.csv"}, {"decision", "drop"}}, // the whole file
                                    {{"source", "a.csv"}, {"decision", "rename"}, {"to", "S2"}},
                                    {{"source", "a.csv"}, {"decision", "keep"}},
                                    {{"source", "a.csv"}, {"row", "three"}, {"decision", "drop"}},
                                    {{"time", "3.8.2026"}, {"decision", "drop"}}};
    for (const Cells& row : bad) {
        const auto decisions = decisions_of({row});
        REQUIRE_FALSE(decisions);
        CHECK(decisions.error().line == 2);
        CHECK(decisions.error().help != "");
    }
}

TEST_CASE("a word for yes or no is known in any case, and another text is refused with its cell") {
    for (const char* yes : {"yes", " YES ", "Ja", "x", "1", "TRUE", "oui", "Sí", "sim"}) {
        CAPTURE(yes);
        CHECK(list_of({{{"sample", "S"}, {"check", yes}}})->is_check(0));
        CHECK(list_of({{{"sample", "S"}, {"keep_whole", yes}}})->keep_whole(0));
        CHECK(list_of({{{"sample", "S"}, {"treated", yes}}})->treated(0));
    }
    for (const char* no : {"", " ", "no", "NO", "Nein", "0", "false", "-", "Não"}) {
        CAPTURE(no);
        CHECK_FALSE(list_of({{{"sample", "S"}, {"check", no}}})->is_check(0));
        CHECK_FALSE(list_of({{{"sample", "S"}, {"treated", no}}})->treated(0));
    }
    for (const char* column : {"check", "keep_whole", "treated"})
        for (const char* doubt :
             {"maybe", "n/a", "No.", "unknown", "2", "?", "Unknown", "not sure?", "#NAME?"}) {
            CAPTURE(column, doubt);
            const auto refused = list_of({{{"sample", "S"}}, {{"sample", "T"}, {column, doubt}}});
            REQUIRE_FALSE(refused);
            CHECK(refused.error().file == "list.csv");
            CHECK(refused.error().line == 3);
            CHECK(refused.error().message ==
                  fmt::format("`{}` of sample `T` is `{}`, which is neither yes nor no", column, doubt));
            CHECK(refused.error().help.find("yes (y, true, 1, x) or no") != std::string::npos);
        }
}

TEST_CASE("a treatment may be named, and a check by its own line, but nothing else") {
    CHECK(list_of({{{"sample", "S"}, {"treated", "Maxim XL 035"}}})->treated(0));
    CHECK(list_of({{{"sample", "S"}, {"line", "Essex"}, {"check", "essex"}}})->is_check(0));
    CHECK_FALSE(list_of({{{"sample", "S"}, {"line", "Lee"}, {"check", "Essex"}}}));
    CHECK_FALSE(list_of({{{"sample", "S"}, {"keep_whole", "Thiram"}}}));
}

TEST_CASE("words that deny are no name of a treatment, and a dash has no letters") {
    for (const char* doubt :
         {"untreated", "Untreated", "not treated", "no treatment", "ungebeizt", "unbehandelt",
          "non trait\u00e9", "Nein.", "pas de traitement", "sin tratar", "nao tratado", "non-treated",
          "seed not treated", "\u2014\u2014\u2014", "\u00e9"}) {
        CAPTURE(doubt);
        CHECK_FALSE(list_of({{{"sample", "S"}, {"treated", doubt}}}));
    }
    for (const char* no : {"\u2013", "\u2014"})
        CHECK_FALSE(list_of({{{"sample", "S"}, {"treated", no}}})->treated(0));
    for (const char* yes : {"Thiram", "Noxfire", "Undine 3", "Pr\u00e4parat", "Apron-XL"}) {
        CAPTURE(yes);
        CHECK(list_of({{{"sample", "S"}, {"treated", yes}}})->treated(0));
    }
}

TEST_CASE("a sample listed twice with another seed coat, oil type, kind, mass or due date is refused") {
    const std::pair<const char*, std::pair<const char*, const char*>> cells[] = {
        {"seed_coat", {"yellow", "black"}},
        {"oil_type", {"normal", "high oleic"}},
        {"kind", {"plot", "single plant"}},
        {"mass_g", {"50", "60"}},
        {"due", {"2026-11-01", ""}}};
    for (const auto& [column, said] : cells) {
        CAPTURE(column);
        const auto refused =
            list_of({{{"sample", "S"}, {column, said.first}}, {{"sample", "S"}, {column, said.second}}});
        REQUIRE_FALSE(refused);
        CHECK(refused.error().line == 3);
        CHECK(refused.error().message ==
              fmt::format("sample `S` is listed twice with a different {}: here and in line 2", column));
    }
    CHECK(list_of({{{"sample", "S"}, {"seed_coat", "Black"}, {"mass_g", "50"}},
                   {{"sample", "S"}, {"seed_coat", "black"}, {"mass_g", "50 g"}}}));
}

TEST_CASE("a line that is a check in one row and says no in another is refused") {
    const Cells yes = {{"sample", "A"}, {"line", "L"}, {"check", "yes"}};
    const auto other = [](const char* line, const char* said) {
        return Cells{{"sample", "B"}, {"line", line}, {"check", said}};
    };
    const auto refused = list_of({yes, other("L", "no")});
    REQUIRE_FALSE(refused);
    CHECK(refused.error().line == 3);
    CHECK(refused.error().message == "line `L` is no check here, and one in line 2 of the list");
    CHECK(list_of({yes, other("L", "")})); // says nothing
    CHECK(list_of({yes, other("M", "no")}));
    CHECK_FALSE(list_of({{{"sample", "A"}, {"kind", "check"}, {"check", "no"}}}));
    CHECK(list_of({{{"sample", "A"}, {"kind", "check"}, {"check", ""}}})->is_check(0));
}

TEST_CASE("a sample listed with yes and with no is an error that names both rows") {
    for (const char* column : {"check", "keep_whole", "treated"}) {
        CAPTURE(column);
        CHECK(list_of({{{"sample", "S"}, {column, "yes"}}, {{"sample", "S"}, {column, "x"}}}));
        const auto refused = list_of({{{"sample", "S"}, {column, "yes"}}, {{"sample", "S"}, {column, "no"}}});
        REQUIRE_FALSE(refused);
        CHECK(refused.error().line == 3);
        CHECK(refused.error().message ==
              fmt::format("sample `S` is listed twice with a different {}: here and in line 2", column));
    }
}

TEST_CASE("an oil type is spelled as the list spelled it first, whatever the case of its letters") {
    const auto list = list_of({{{"sample", "A"}, {"oil_type", "High-Oleic"}},
                               {{"sample", "B"}, {"oil_type", ""}},
                               {{"sample", "C"}, {"oil_type", "high-oleic"}},
                               {{"sample", "D"}, {"oil_type", "normal"}}});
    REQUIRE(list);
    CHECK(list->text(2, ListText::oil_type) == "High-Oleic");
    CHECK(list->text(1, ListText::oil_type).empty());
    CHECK(list->text(3, ListText::oil_type) == "normal");
}

TEST_CASE("a material is spelled as the rules do, and one that no rule is about is refused with its cell") {
    Settings settings;
    settings.material_names = {"soybean", "soybean-whole", "peanut-whole"};
    settings.materials = {{"soybean-whole", {}}};
    settings.materials[0].when.material = {"ganze *"};
    const auto material = [&](const char* written) {
        const auto list = list_of({{{"sample", "S"}, {"material", written}}}, &settings);
        return list ? std::string(list->text(0, ListText::material)) : list.error().help;
    };
    CHECK(material(" Soybean-Whole ") == "soybean-whole");
    CHECK(material("SOYBEAN") == "soybean");
    CHECK(material("Ganze Bohnen") == "soybean-whole");
    CHECK(material("Peanut") == "peanut"); // the crop of peanut-whole
    CHECK(material("") == "");
    CHECK(material("soyabean") == "did you mean `soybean`?");
    CHECK(material("ground") == "known here: soybean, soybean-whole, peanut-whole");
    CHECK(material("soy") != "soy");
    const auto refused = list_of(
        {{{"sample", "S"}, {"material", "soybean"}}, {{"sample", "T"}, {"material", "ground"}}}, &settings);
    REQUIRE_FALSE(refused);
    CHECK(refused.error().line == 3);
    CHECK(refused.error().message == "the material of sample `T` is `ground`, for which there are no rules");
}

TEST_CASE("a plot with two lines is noted with both rows, unless something tells the plots apart") {
    const Cells first = {{"sample", "A"},      {"line", "L1"}, {"trial", "T"},
                         {"environment", "E"}, {"rep", "1"},   {"plot", "7"}};
    const auto with = [&](Cells second) {
        for (const auto& [name, text] : first)
            second.emplace(name, text);
        return shared_plots(
            list_of({first, {{"sample", "Z"}, {"line", "L1"}, {"plot", "8"}}, second}).value());
    };
    const auto notes = with({{"sample", "B"}, {"line", "L2"}});
    REQUIRE(notes.size() == 1);
    CHECK(notes[0].code == "plot-shared");
    CHECK(notes[0].line == 4);
    CHECK(notes[0].list == "list.csv");
    CHECK(notes[0].message ==
          "plot `7`, rep `1`, environment `E`, trial `T` is given to line `L2` here and to `L1` "
          "in line 2");
    CHECK(with({{"sample", "B"}}).empty()); // two packets of one plot
    for (const char* field : {"trial", "environment", "rep", "block", "year", "plot"})
        CHECK(with({{"sample", "B"}, {"line", "L2"}, {field, "other"}}).empty());
    CHECK(with({{"sample", "B"}, {"line", "L2"}, {"plot", ""}}).empty());
    CHECK(with({{"sample", "B"}, {"line", "L2"}, {"kind", "single plant"}}).empty());
    CHECK(with({{"sample", "B"}, {"line", "L2"}, {"duplicate_of", "A"}}).empty());
    CHECK(with({{"sample", "B"}, {"line", ""}}).size() == 1);
}

TEST_CASE("of very many plots with two lines the first are told and the others counted") {
    std::vector<Cells> cells;
    for (int i = 0; i < 60; ++i)
        cells.push_back({{"sample", fmt::format("S{}", i)},
                         {"line", fmt::format("L{}", i)},
                         {"plot", std::to_string(i % 30)}});
    const auto notes = shared_plots(list_of(cells).value());
    REQUIRE(notes.size() == 21);
    CHECK(notes.back().message.ends_with("; so are 9 more rows"));
}
