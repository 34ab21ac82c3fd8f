// The layout of a text: what is told without cutting its rows must be what cutting them tells.
#include "intake/detect_layout.hpp"
#include "unit/intake/reading_help.hpp"

#include <catch2/catch.hpp>

using namespace intake_test;
using namespace thresh;
using namespace thresh::intake;

namespace {

Layout layout_of(const std::string& text, const ExportOptions& options = {}, bool whole = true) {
    const std::vector<ColumnRule> no_rules; // must outlive the dictionary
    const HeadingDictionary dictionary(table(), no_rules);
    const auto found = detect_layout(text, whole, dictionary, options);
    REQUIRE(found.has_value());
    return *found;
}

std::string described(const Layout& layout) {
    std::string words =
        fmt::format("{} mark {} trailing {} first {} line {}", delimiter_name(layout.dialect.delimiter),
                    layout.mark, layout.trailing_delimiter, layout.heading.first, layout.heading.line);
    for (std::size_t i = 0; i < layout.heading.first; ++i)
        words += "|" + layout.head[i].raw;
    for (const HeadRow& row : layout.head)
        words += fmt::format(" {}{}", row.line, row.numbers ? "n" : row.blank() ? "b" : "t");
    return words;
}

// The same table with the last heading in quotes: then every candidate is held against all rows.
std::string by_cutting(std::string text, const ExportOptions& options = {}) {
    const std::size_t at = text.find("Operator");
    text.replace(at, 8, "\"Operator\"");
    return described(layout_of(text, options));
}

} // namespace

TEST_CASE("a layout told by the heading alone is the one that holding all rows against it tells") {
    const std::string heading = "Sample,Protein,Oil,Fiber,Ash,Operator";
    const std::string full = "A1,38.1,20.25,4,5,x\n", empty = "A1,38.1,20.25,4,5,\n",
                      more = "A1,38.1,20.25,4,5,x,\n", crlf = "A1,38.1,20.25,4,5,x,\r\n";
    for (const std::string& rows :
         {full, full + full, empty, empty + empty + full, more, more + full, more + full + full,
          more + more + full, crlf + crlf + full, more + "\n\n\n\n", more + more + ",,,,,\n" + full + full,
          std::string("A1,38.1,20.25,4,5,x,\rA1,38.1,20.25,4,5,x,\rA1,38.1,20.25,4,5,x\n"),
          more + more + "   \n   \n", full + "A2,n.a.,,,,\n+1\n" + full, full + "A1,38.1\r\r\n" + full,
          full + more + more.substr(0, more.size() - 1), std::string()})
        for (const std::string& above : {std::string(), std::string("Trial 7, 2026\n\n12.5,3\r\n")}) {
            CAPTURE(rows, above);
            const std::string text = above + heading + "\n" + rows;
            CHECK(described(layout_of(text)) == by_cutting(text));
        }
    CHECK(layout_of(heading + "\n" + more + more + full).trailing_delimiter);
    CHECK_FALSE(layout_of(heading + "\n" + more + empty + full).trailing_delimiter);
}

TEST_CASE("decimal commas between semicolons are seen, and a mark that is given stands") {
    const std::string text = "Sample;Protein;Oil;Operator\nA1;38,1;20,25;x\nA2;37;1.234,5;\nA3;<0,1;n/a;\n";
    CHECK(layout_of(text).mark == ',');
    CHECK(described(layout_of(text)) == by_cutting(text));
    ExportOptions options;
    options.decimal = '.';
    CHECK(layout_of(text, options).mark == '.');
    CHECK(described(layout_of(text, options)) == by_cutting(text, options));
}

TEST_CASE("a row of numbers is no heading, whatever their decimal mark") {
    // Without the mark these are names of fatty acids: 18:1, 18:2, 16:0.
    for (const std::string delimiter : {";", "\t", "|"})
        for (const std::string mark : {".", ","})
            for (const std::string above : {"", "Lamp;"}) {
                std::string text = above + "18#1;18#2;16#0\nSample;Oil;Protein\nA1;18#1;18#2\nA2;18#1;18#2\n";
                for (char& c : text)
                    c = c == '#' ? mark[0] : c == ';' ? delimiter[0] : c;
                CAPTURE(text);
                const Layout layout = layout_of(text);
                CHECK(layout.heading.line == 2);
                CHECK(layout.heading.headings == std::vector<std::string>{"Sample", "Oil", "Protein"});
                CHECK(layout.heading.rows == 1);
            }
}

TEST_CASE("a table of one column below a crowded line is found") {
    const Layout layout = layout_of("exported by, a, b, c, d, e, f, g, h, i, j\nProtein\n38.1\n37.2\n");
    CHECK(layout.heading.headings == std::vector<std::string>{"Protein"});
    const Layout old_ends = layout_of("by, a, b, c, d, e, f, g, h, i, j\rProtein\r38.1\r37.2\r");
    CHECK(old_ends.heading.headings == std::vector<std::string>{"Protein"});
    for (const char* const end : {"\n", "\r", "\r\n"}) {
        const std::string top =
            std::string("by, a, b, c, d, e, f, g, h, i, j") + end + "Protein" + end + "38.1" + end + "3";
        CHECK(layout_of(top, {}, false).heading.headings == std::vector<std::string>{"Protein"});
    }
    CHECK(layout.head[0].raw == "exported by, a, b, c, d, e, f, g, h, i, j");
}
