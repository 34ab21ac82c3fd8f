#include <catch2/catch.hpp>
#include <thresh/report/write.hpp>

#include <string>
#include <thresh/core/time.hpp>

using namespace thresh;
using namespace thresh::summary;
using report::Format;

namespace {

OutColumn column(std::string name, ColumnType type, std::uint8_t decimals = 2, std::uint8_t detail = 0) {
    OutColumn made;
    made.name = std::move(name);
    made.type = type;
    made.decimals = decimals;
    made.detail = detail;
    return made;
}

Value text(std::string value) {
    Value made;
    made.value = std::move(value);
    return made;
}
Value number(double value, Shown shown = Shown::plain) {
    Value made;
    made.value = value;
    made.shown = shown;
    return made;
}

StoredTable readings(std::vector<std::string> samples) {
    StoredTable table("readings", {column("sample", ColumnType::text), column("time", ColumnType::time),
                                   column("n", ColumnType::integer), column("protein", ColumnType::number)});
    std::int64_t i = 0;
    for (std::string& sample : samples) {
        Value time, count;
        time.value = Time::of(1785742860 + i, Time::Precision::second);
        count.value = i;
        table.add({text(std::move(sample)), time, count, number(36.4 + 0.01 * static_cast<double>(i))});
        ++i;
    }
    return table;
}

std::string written(const Table& table, Format format, unsigned threads = 1, unsigned width = 0,
                    bool color = false) {
    report::WriteOptions options;
    options.format = format;
    options.threads = threads;
    options.width = width;
    options.color = color;
    std::string all;
    report::write_table(table, options, [&](std::string_view piece) {
        all += piece;
        return true;
    });
    return all;
}

} // namespace

TEST_CASE("csv follows RFC 4180 with line feeds and empty cells for what is missing") {
    StoredTable table = readings({"P-1", "a,b", "say \"so\"", "two\nlines"});
    table.data()[0][3] = Value{};
    CHECK(written(table, Format::csv) == "sample,time,n,protein\n"
                                         "P-1,2026-08-03T07:41:00,0,\n"
                                         "\"a,b\",2026-08-03T07:41:01,1,36.4100\n"
                                         "\"say \"\"so\"\"\",2026-08-03T07:41:02,2,36.4200\n"
                                         "\"two\nlines\",2026-08-03T07:41:03,3,36.4300\n");
}

TEST_CASE("csv puts an apostrophe before text that a spreadsheet would run, not before numbers") {
    const StoredTable table = readings({"=1+1", "+49", "-5.2", "-cmd", "@x", "\tx", "-", "1e5", "+a"});
    const std::string text = written(table, Format::csv);
    CHECK(text.find("\n'=1+1,") != std::string::npos);
    CHECK(text.find("\n+49,") != std::string::npos);
    CHECK(text.find("\n-5.2,") != std::string::npos);
    CHECK(text.find("\n'-cmd,") != std::string::npos);
    CHECK(text.find("\n'@x,") != std::string::npos);
    CHECK(text.find("\n'\tx,") != std::string::npos);
    CHECK(text.find("\n'-,") != std::string::npos);
    CHECK(text.find("\n1e5,") != std::string::npos);
    CHECK(text.find("\n'+a,") != std::string::npos);
}

TEST_CASE("tsv stays raw but for tabs, line ends and backslashes") {
    CHECK(written(readings({"=1+1", "a\tb\n\\"}), Format::tsv) ==
          "sample\ttime\tn\tprotein\n"
          "=1+1\t2026-08-03T07:41:00\t0\t36.4000\n"
          "a\\tb\\n\\\\\t2026-08-03T07:41:01\t1\t36.4100\n");
}

TEST_CASE("json is an array of objects with null for what is missing") {
    StoredTable table = readings({"=1\"\\\x01", "\xff\xc3\xa9"});
    table.data()[1][1] = Value{};
    CHECK(written(table, Format::json) ==
          "[\n{\"sample\":\"=1\\\"\\\\\\u0001\",\"time\":\"2026-08-03T07:41:00\",\"n\":0,\"protein\":36.4000}"
          ",\n"
          "{\"sample\":\"\\ufffd\xc3\xa9\",\"time\":null,\"n\":1,\"protein\":36.4100}\n]\n");
    CHECK(written(readings({}), Format::json) == "[\n]\n");
    CHECK(written(readings({"x"}), Format::ndjson) ==
          "{\"sample\":\"x\",\"time\":\"2026-08-03T07:41:00\",\"n\":0,\"protein\":36.4000}\n");
}

TEST_CASE("a provisional number is missing in files and marked on a terminal") {
    StoredTable table = readings({"P-1"});
    table.data()[0][3] = number(36.5, Shown::provisional);
    CHECK(written(table, Format::csv).find("0,\n") != std::string::npos);
    CHECK(written(table, Format::json).find("\"protein\":null") != std::string::npos);
    CHECK(written(table, Format::table).find("36.50~") != std::string::npos);
    table.data()[0][3] = number(36.5, Shown::left_out);
    CHECK(written(table, Format::csv).find("0,\n") != std::string::npos);
    CHECK(written(table, Format::json).find("\"protein\":null") != std::string::npos);
    CHECK(written(table, Format::table).find("36.50\u00D7") != std::string::npos);
}

TEST_CASE("the bytes are the same for any number of threads") {
    std::vector<std::string> many;
    for (int i = 0; i < 30000; ++i)
        many.push_back("S" + std::to_string(i));
    const StoredTable table = readings(std::move(many));
    for (const Format format : {Format::csv, Format::json, Format::ndjson}) {
        const std::string one = written(table, format, 1);
        CHECK(one == written(table, format, 2));
        CHECK(one == written(table, format, 7));
    }
}

TEST_CASE("a closed output ends the writing") {
    std::vector<std::string> many(50000, "x");
    const StoredTable table = readings(std::move(many));
    int pieces = 0;
    report::WriteOptions options;
    options.threads = 3;
    report::write_table(table, options, [&](std::string_view) { return ++pieces < 3; });
    CHECK(pieces == 3);
}

TEST_CASE("a chance too small for its decimals is not nothing on a terminal, and whole in files") {
    StoredTable table("agreement",
                      {column("line", ColumnType::text), column("bias_p", ColumnType::number, 4)});
    table.add({text("A"), number(0.00004)});
    table.add({text("B"), number(0.00006)});
    table.add({text("C"), number(0.0)});
    const std::string shown = written(table, Format::table);
    CHECK(shown.find("A     <0.0001\n") != std::string::npos);
    CHECK(shown.find("B      0.0001\n") != std::string::npos);
    CHECK(shown.find("C      0.0000\n") != std::string::npos);
    CHECK(written(table, Format::csv).find("<") == std::string::npos);
}

TEST_CASE("a terminal table stands aligned, numbers to the right, marks beside them") {
    StoredTable table("lines", {column("line", ColumnType::text), column("protein", ColumnType::number),
                                column("protein_n", ColumnType::integer, 0, 1)});
    Value four, twelve;
    four.value = std::int64_t{4};
    twelve.value = std::int64_t{12};
    table.add({text("B\xC3\xBChl 7"), number(36.4949, Shown::high), four});
    table.add({text("\xE5\xA4\xA7\xE8\xB1\x86"), number(8.25, Shown::low), twelve});
    table.add({text("X"), Value{}, Value{}});
    CHECK(written(table, Format::table) == "                  protein_\n"
                                           "line    protein          n\n"
                                           "------  --------  --------\n"
                                           "B\xC3\xBChl 7    36.49\xE2\x96\xB2         4\n"
                                           "\xE5\xA4\xA7\xE8\xB1\x86       8.25\xE2\x96\xBC        12\n"
                                           "X\n"
                                           "\n\xE2\x96\xBC below the expected range   \xE2\x96\xB2 above the "
                                           "expected range\n");
    const std::string colored = written(table, Format::table, 1, 0, true);
    CHECK(colored.find("\x1b[38;5;208m36.49\xE2\x96\xB2\x1b[0m") != std::string::npos);
    CHECK(written(table, Format::table).find('\x1b') == std::string::npos);
}

TEST_CASE("a narrow terminal drops detail first and says so") {
    StoredTable table("lines", {column("line", ColumnType::text), column("protein", ColumnType::number),
                                column("protein_sd", ColumnType::number, 2, 2),
                                column("oil", ColumnType::number), column("empty", ColumnType::text)});
    table.add({text("L-1"), number(36.4), number(0.31), number(20.1), Value{}});
    const std::string narrow = written(table, Format::table, 1, 22);
    CHECK(narrow.find("oil") != std::string::npos);
    CHECK(narrow.find("36.40") != std::string::npos);
    CHECK(narrow.find("0.31") == std::string::npos);
    // What is said below keeps to the width as well.
    CHECK(narrow.find("not shown for want of\nwidth: protein_sd\n(--format csv has all)\n") !=
          std::string::npos);
    CHECK(narrow.find("without any value:\nempty\n") != std::string::npos);
    CHECK(written(table, Format::table, 1, 80).find("0.31") != std::string::npos);
}

TEST_CASE("a narrow terminal tells once what is the same in every row, and keeps numbers in its place") {
    StoredTable table("lines", {column("material", ColumnType::text), column("line", ColumnType::text),
                                column("protein", ColumnType::number)});
    table.add({text("soybean-whole"), text("LE-01"), number(36.4)});
    table.add({text("soybean-whole"), text("LE-02"), number(36.4)});
    CHECK(written(table, Format::table, 1, 20) == "line   protein\n"
                                                  "-----  -------\n"
                                                  "LE-01    36.40\n"
                                                  "LE-02    36.40\n"
                                                  "\n"
                                                  "in every row:\n"
                                                  "material\n"
                                                  "soybean-whole\n");
    CHECK(written(table, Format::table, 1, 80).starts_with("material       line   protein\n"));
}

TEST_CASE("a sentence goes on in the next line, whole, whatever the width of the terminal") {
    StoredTable table("todo", {column("sample", ColumnType::text), column("detail", ColumnType::text)});
    OutColumn sentence = column("detail", ColumnType::text);
    sentence.sentence = true;
    StoredTable wrapped("todo", {column("sample", ColumnType::text), sentence});
    const std::string words = "2 readings of `\u00E4\u00F6\u00FC-17` differ by 2.04 in `oil`, "
                              "a-name-without-any-blank-that-is-longer-than-a-line";
    table.add({text("P-1"), text(words)});
    wrapped.add({text("P-1"), text(words)});
    for (const unsigned width : {30U, 44U, 200U}) {
        const std::string shown = written(wrapped, Format::table, 1, width);
        INFO(shown);
        std::string without_blanks, expected;
        for (const char c : shown.substr(shown.find("P-1") + 3))
            if (c != ' ' && c != '\n')
                without_blanks += c;
        for (const char c : words)
            if (c != ' ')
                expected += c;
        CHECK(without_blanks == expected);
    }
    CHECK(written(table, Format::table, 1, 30).find("\u2026") != std::string::npos); // other text is cut
}

TEST_CASE("for want of width a path loses its beginning before a code is cut, and its end stays") {
    OutColumn source = column("source", ColumnType::text), message = column("message", ColumnType::text);
    source.path = message.sentence = true;
    StoredTable table("findings", {column("code", ColumnType::text), source, message});
    const std::string path = "exports/of-the-first-week/10-05-b\u00E4nch.csv";
    table.add({text("outside-calibration"), text(path), text("see " + path + ":12:5 for the rest")});
    const std::string narrow = written(table, Format::table, 1, 60);
    CHECK(narrow.find("outside-calibration  \u2026") != std::string::npos);
    CHECK(narrow.find("-b\u00E4nch.csv  ") != std::string::npos);
    // In a sentence a path that is longer than a line goes on after a name.
    CHECK(narrow.find("week/\n") != std::string::npos);
    CHECK(narrow.find("10-05-b\u00E4nch.csv:12:5") != std::string::npos);
    CHECK(written(table, Format::table, 1, 200).find(path) != std::string::npos);
}

TEST_CASE("escape sequences and direction marks in an ID cannot act on a terminal") {
    const StoredTable table = readings({"\x1b[31mred\x1b]0;title\x07",
                                        "a\xE2\x80\xAE"
                                        "b",
                                        "\xff\n"});
    const std::string text = written(table, Format::table);
    CHECK(text.find('\x1b') == std::string::npos);
    CHECK(text.find('\x07') == std::string::npos);
    CHECK(text.find("\xE2\x80\xAE") == std::string::npos);
    CHECK(text.find("[31mred") != std::string::npos);
}

TEST_CASE("text that does not fit is cut with an ellipsis") {
    const StoredTable table = readings({std::string(300, 'L'), "short"});
    const std::string text = written(table, Format::table, 1, 60);
    CHECK(text.find("L\xE2\x80\xA6") != std::string::npos);
    std::size_t longest = 0, start = 0;
    for (std::size_t end = text.find('\n'); end != std::string::npos; end = text.find('\n', start)) {
        longest = std::max(longest, end - start);
        start = end + 1;
    }
    CHECK(longest <= 62); // the ellipsis takes three bytes
}
