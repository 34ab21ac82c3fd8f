// Files that share a heading: what is told by the heading of an earlier file must be what each file tells.
#include "intake/known_layouts.hpp"
#include "intake/source_text.hpp"
#include "unit/intake/same_readings.hpp"

#include <catch2/catch.hpp>

using namespace intake_test;
using namespace thresh;
using namespace thresh::intake;

namespace {

const std::string kHeading = "Sample,Date,Time,Protein,Oil,Fiber,Ash,Sucrose,Stachyose,Operator,Moisture\n";
const std::string kRow = "A1,2026-08-03,07:41,38.1,20.25,4,5.5,6.1,3.2,me,7.25\n";

std::string described(const Layout& layout) {
    std::string words = fmt::format("{} {} mark {} trailing {} rows {} {} {} line {} known {} margin {} {}",
                                    delimiter_name(layout.dialect.delimiter), layout.dialect.quote,
                                    layout.mark, layout.trailing_delimiter, layout.heading.first,
                                    layout.heading.rows, layout.heading.unit_rows, layout.heading.line,
                                    layout.heading.known, layout.margin, layout.unclosed);
    for (const std::string& heading : layout.heading.headings)
        words += "|" + heading;
    for (const std::string& key : layout.heading.row_keys.at(0))
        words += "|" + key;
    return words;
}

// Rows below kHeading. Of the first, reading can only end in one way.
const std::vector<std::string> kPlain = {
    kRow,
    kRow + kRow,
    kRow + ",,,,,,,,,,7.3\n",                                 // nothing but a number
    "A1,x,y,38.1,,,,,,,\n" + kRow,                            // ends in a comma
    kRow + "\xC3\x84,,,1e3,,,,,,x,-0.5\n",                    // beyond ASCII
    kRow + "A1,2026-08-03,07:41,38.1,20.25,4,5.5,6.1,3.2,me", // no line end
    kRow + "Sample,Date,Time,Protein,Oil,Fiber,Ash,Sucrose,Stachyose,Operator,5\n",
};
const std::vector<std::string> kOther = {
    "",
    "\n",
    kRow + "\n",
    kRow + "A2,,,,,,,,,,\n" + kHeading,
    kHeading + kRow,                                       // the heading twice
    "%,,,%,%,%,%,%,%,,%\n" + kRow,                         // units
    ",,,dry matter,dry matter,,,,,,\n" + kRow,             // a second heading row
    kRow + "\"A2\",2026-08-03,07:41,38,20,4,5,6,3,me,7\n", // quotes
    kRow + "A2,2026-08-03,07:41,38,20,4,5,6,3,'me,7\n",    // one that may be a quote
    kRow + "~A2,2026-08-03,07:41,38,20,4,5,6,3,me,7\n",
    kRow + "A2,2026-08-03,07:41,38;5,20,4,5,6,3,me,7\n", // other delimiters
    kRow + "A2|2026-08-03|07:41|38|20|4|5|6|3|me|7\n",
    "A2\t2026-08-03\t07:41\t38,1\t20,2\t4,1\t5,1\t6\t3\tme\t7,5\n",
    kRow + "A2,38\n",                     // a short row
    kRow + "Mean of the day\n" + kRow,    // words
    kRow + "A2,x,y,,,,,,,,\n",            // no number
    kRow + kRow + "\r" + kRow,            // a lone carriage return
    "A1,,,38,20,4,5,6,3,me,7,\n" + kRow + // most rows end in a comma
        "A1,,,38,20,4,5,6,3,me,7,\n" + "A1,,,38,20,4,5,6,3,me,7,\n",
    "38,1,,38,1,20,2,4,1,,5,1,6,\n",
};

Layout sought(const std::string& text, bool whole) {
    const std::vector<ColumnRule> no_rules;
    const HeadingDictionary dictionary(table(), no_rules);
    const auto found = detect_layout(text, whole, dictionary, {});
    REQUIRE(found.has_value());
    return *found;
}

} // namespace

TEST_CASE("a heading met before tells the layout only where seeking it would end the same way") {
    const std::vector<ColumnRule> no_rules;
    const HeadingDictionary dictionary(table(), no_rules);
    for (const std::string end : {"\n", "\r\n"}) {
        const auto with_end = [&](std::string text) {
            for (std::size_t at = 0; end == "\r\n" && (at = text.find('\n', at)) != std::string::npos;
                 at += 2)
                text.insert(at, 1, '\r');
            return text;
        };
        KnownLayouts layouts;
        const std::string first = with_end(kHeading + kRow + kRow);
        CHECK(layouts.find(first, true) == nullptr);
        REQUIRE(layouts.remember(first, true, sought(first, true), dictionary, {}) != nullptr);
        std::size_t told = 0;
        for (const std::vector<std::string>* rows : {&kPlain, &kOther})
            for (const std::string& one : *rows) {
                const std::string text = with_end(kHeading + one);
                // Whole, and as the top of something longer, wherever it is cut.
                for (std::size_t size = kHeading.size(); size <= text.size(); ++size)
                    for (const bool whole : {false, true}) {
                        const std::string top = text.substr(0, size);
                        const auto known = layouts.find(top, whole);
                        if (known == nullptr)
                            continue;
                        ++told;
                        INFO(top);
                        REQUIRE(described(known->layout) == described(sought(top, whole)));
                    }
            }
        CHECK(told > 500);
    }
}

TEST_CASE("rows that leave a choice are told from those that do not") {
    CHECK(leaves_no_choice(kHeading + kRow, true));
    CHECK(leaves_no_choice(kHeading + kRow + kRow.substr(0, 9), false));
    CHECK_FALSE(leaves_no_choice(kHeading + kRow + kRow.substr(0, 9), true));
    CHECK_FALSE(leaves_no_choice(kHeading + kRow.substr(0, 30), false));
    // Long lines, whose commas stand at the beginning, at the end or are too few; numbers in any cell.
    const std::string words(150, 'x'), commas(9, ',');
    CHECK(leaves_no_choice(words + commas + "\n" + words + commas + "5\n", true));
    CHECK(leaves_no_choice(commas + words + "\n" + commas + "1.5," + words + "\n", true));
    CHECK(leaves_no_choice(words + commas + "\n7" + std::string(300, ',') + "x\n", true));
    CHECK_FALSE(leaves_no_choice(words + commas + "\n" + words + commas.substr(1) + "5\n", true));
    CHECK_FALSE(leaves_no_choice(words + commas + "\n" + words + commas + "1.5.2\n", true));
    for (const std::string& rows : kOther) {
        CAPTURE(rows);
        CHECK_FALSE(leaves_no_choice(kHeading + rows, true));
    }
}

TEST_CASE("files that share a heading are read as each of them is read by itself, in any order") {
    std::vector<std::string> all = kPlain;
    all.insert(all.end(), kOther.begin(), kOther.end());
    // Under the same headings a clock before the date.
    all.push_back("A1,07:41,2026-08-03,38.1,20.25,4,5.5,6.1,3.2,me,7.25\n");
    all.push_back(kRow + kRow + "A1,2026-08-03,07:41,0.38,0.2,4,5.5,6.1,3.2,me,7.25,9,9\n");
    std::vector<Input> inputs, backwards;
    for (std::size_t i = 0; i < all.size(); ++i)
        inputs.push_back(input(kHeading + all[i], fmt::format("f{:02}.csv", i)));
    backwards.assign(inputs.rbegin(), inputs.rend());
    for (std::size_t i = 0; i < backwards.size(); ++i) // files are read in the order of their names
        backwards[i].source = fmt::format("g{:02}.csv", i);
    ReadSettings slow;
    slow.path = Path::straightforward;
    const Readings expected = read_exports(inputs, table(), {}, slow);
    REQUIRE(expected.rows > 30);
    for (const unsigned threads : {1U, 2U, 5U}) {
        ExportOptions options;
        options.threads = threads;
        const Readings fast = read_exports(inputs, table(), options);
        CHECK(difference(expected, fast) == "");
        REQUIRE(fast.blocks.size() == expected.blocks.size());
        for (std::size_t b = 0; b < fast.blocks.size();
             ++b) // columns may be one object, never altered by one file
            CHECK(*fast.blocks[b].table == *expected.blocks[b].table);
        const Readings turned = read_exports(backwards, table(), options);
        for (std::size_t i = 0; i < all.size(); ++i)
            CHECK(turned.files[all.size() - 1 - i].records == expected.files[i].records);
        CHECK(difference(read_exports(backwards, table(), {}, slow), turned) == "");
    }
}

TEST_CASE("the top of a file is read once, and what lies behind it as it is asked for") {
    class Counted final : public ByteSource {
      public:
        explicit Counted(std::string bytes) : bytes_(std::move(bytes)) {}
        std::uint64_t size() const override { return bytes_.size(); }
        Result<std::size_t> read_at(std::uint64_t offset, char* into, std::size_t count) const override {
            ++reads;
            return bytes_.read_at(offset, into, count);
        }
        mutable int reads = 0;

      private:
        MemorySource bytes_;
    };
    const auto source = std::make_shared<Counted>("0123456789");
    const TopKept kept(source, 4);
    CHECK(source->reads == 1);
    CHECK(kept.size() == 10);
    CHECK(read_some(kept, 0, 4).value() == "0123");
    CHECK(read_some(kept, 2, 2).value() == "23");
    CHECK(source->reads == 1);
    CHECK(read_some(kept, 2, 3).value() == "234");
    CHECK(read_some(kept, 4, 100).value() == "456789");
    CHECK(source->reads == 3);
    CHECK(read_some(TopKept(source, 100), 0, 100).value() == "0123456789");
    CHECK(source->reads == 4);
}
