#include <catch2/catch.hpp>
#include <thresh/report/workbook.hpp>

#include "intake/xlsx/archive.hpp"
#include "intake/xlsx/book.hpp"

#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <limits>
#include <map>
#include <string>
#include <thread>

using namespace thresh;
using namespace thresh::summary;

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

std::string bytes_of(const std::string& path) {
    std::ifstream in(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

// An empty folder that goes away again.
class Folder {
  public:
    Folder() {
        std::string name = (std::filesystem::temp_directory_path() / "workbook-XXXXXX").string();
        path = ::mkdtemp(name.data());
    }
    ~Folder() { std::filesystem::remove_all(path); }
    std::string path;
};

report::Workbook book_of(const Table& table) {
    report::Workbook workbook;
    workbook.sheets = {{"Lines", &table, "one row per breeding line", "lines.csv", "line", 0}};
    workbook.version = "0.1.0";
    return workbook;
}

std::string written(const report::Workbook& workbook) {
    const Folder folder;
    const std::string path = folder.path + "/results.xlsx";
    const auto done = report::write_workbook(workbook, path, folder.path);
    INFO((done ? std::string() : describe(done.error())));
    REQUIRE(done);
    return bytes_of(path);
}

using Cells = std::map<std::string, std::pair<intake::xlsx::CellKind, std::string>>;

// The cells of a sheet, as our own reader of exports sees them.
Cells cells(const std::string& bytes, const std::string& sheet) {
    class Keeper final : public intake::xlsx::CellSink {
      public:
        bool cell(const intake::xlsx::Cell& cell) override {
            if (cell.kind != intake::xlsx::CellKind::missing)
                all[intake::xlsx::place_name(cell.row, cell.column)] = {cell.kind, std::string(cell.text)};
            return true;
        }
        Cells all;
    };
    const auto book = intake::xlsx::Book::open(bytes);
    REQUIRE(book);
    Keeper keeper;
    bool found = false;
    for (std::size_t i = 0; i < book->sheets().size(); ++i)
        if (book->sheets()[i].name == sheet) {
            found = true;
            REQUIRE(book->read_sheet(i, keeper));
        }
    REQUIRE(found);
    return keeper.all;
}

// A part of the file as text.
std::string part(const std::string& bytes, const std::string& name) {
    const auto archive = intake::xlsx::Archive::open(bytes, {});
    REQUIRE(archive);
    std::string whole;
    REQUIRE(archive->stream(name, [&](std::string_view chunk) {
        whole += chunk;
        return true;
    }));
    return whole;
}

std::string all_text(const Cells& cells) {
    std::string text;
    for (const auto& [place, cell] : cells)
        text += cell.second + "\n";
    return text;
}

} // namespace

using intake::xlsx::CellKind;

TEST_CASE("a workbook holds the numbers of the csv files, each constituent with its own decimals") {
    StoredTable table("lines", {column("line", ColumnType::text), column("protein", ColumnType::number),
                                column("linolenic", ColumnType::number, 1), column("n", ColumnType::integer),
                                column("time", ColumnType::time)});
    Value count, time;
    count.value = std::int64_t{3};
    time.value = Time::of(seconds_of(2026, 8, 3, 7, 41, 9), Time::Precision::second);
    table.add({text("L-1"), number(36.123449999), number(7.25), count, time});
    const std::string bytes = written(book_of(table));
    const Cells read = cells(bytes, "Lines");
    CHECK(read.at("A1").second == "line");
    CHECK(read.at("A2") == std::pair(CellKind::text, std::string("L-1")));
    CHECK(read.at("B2") == std::pair(CellKind::number, std::string("36.1234")));
    CHECK(read.at("C2") == std::pair(CellKind::number, std::string("7.25")));
    CHECK(read.at("D2") == std::pair(CellKind::number, std::string("3")));
    CHECK(read.at("E2").first == CellKind::date);
    CHECK(read.at("E2").second == "2026-08-03T07:41:09");
    const std::string styles = part(bytes, "xl/styles.xml");
    CHECK(styles.find("formatCode=\"0.00_W\"") != std::string::npos);
    CHECK(styles.find("formatCode=\"0.0_W\"") != std::string::npos);
    const std::string sheet = part(bytes, "xl/worksheets/sheet1.xml");
    for (const char* wanted : {"state=\"frozen\"", "<autoFilter ref=\"A1:E2\"/>", "orientation=\"landscape\"",
                               "fitToHeight=\"0\"", "fitToPage"})
        CHECK(sheet.find(wanted) != std::string::npos);
}

TEST_CASE("marks stand beside numbers as signs, so that they survive a black-and-white printer") {
    StoredTable table("lines", {column("protein", ColumnType::number)});
    for (const Shown shown : {Shown::low, Shown::high, Shown::review, Shown::plain})
        table.add({number(36.5, shown)});
    const std::string bytes = written(book_of(table));
    const Cells read = cells(bytes, "Lines");
    for (const char* place : {"A2", "A3", "A4", "A5"})
        CHECK(read.at(place) == std::pair(CellKind::number, std::string("36.5")));
    const std::string styles = part(bytes, "xl/styles.xml");
    for (const char* wanted :
         {"0.00&quot;\u25BC&quot;", "0.00&quot;\u25B2&quot;", "0.00&quot;?&quot;", "FF1F5FBF", "FFC55A11"})
        CHECK(styles.find(wanted) != std::string::npos);
}

TEST_CASE("a provisional mean is text with a tilde: no formula of a spreadsheet counts it") {
    StoredTable table("lines", {column("protein", ColumnType::number)});
    table.add({number(36.5, Shown::provisional)});
    CHECK(cells(written(book_of(table)), "Lines").at("A2") ==
          std::pair(CellKind::text, std::string("~36.50")));
}

TEST_CASE("text that looks like a formula or markup stays text, right-to-left text and emoji too") {
    const std::string ids[] = {"=cmd()",       "</script><img src=x onerror=...>",
                               "@SUM(A1)",     "+1",
                               "{=1}",         "\u0644\u0648\u0628\u064A\u0627",
                               "\U0001F331 L", "_x0041_",
                               "a  b",         std::string(300, 'L')};
    StoredTable table("lines", {column("line", ColumnType::text)});
    for (const std::string& id : ids)
        table.add({text(id)});
    const std::string bytes = written(book_of(table));
    const Cells read = cells(bytes, "Lines");
    for (std::size_t i = 0; i < std::size(ids); ++i)
        CHECK(read.at("A" + std::to_string(i + 2)) == std::pair(CellKind::text, ids[i]));
    CHECK(part(bytes, "xl/worksheets/sheet1.xml").find("<f>") == std::string::npos);
}

TEST_CASE("numbers that are not finite, bad UTF-8 and control characters cannot corrupt a workbook") {
    StoredTable table("lines", {column("line", ColumnType::text), column("protein", ColumnType::number)});
    table.add({text("a\xff\x1b[31m\x01\xED\xA0\x80"
                    "b"),
               number(std::nan(""))});
    table.add({text("ok"), number(std::numeric_limits<double>::infinity())});
    table.add({text("\xEF\xBF\xBE"), number(1)});
    const std::string bytes = written(book_of(table));
    const Cells read = cells(bytes, "Lines");
    CHECK(read.at("A2").second == "a\uFFFD\uFFFD[31m\uFFFD\uFFFD\uFFFD\uFFFDb");
    CHECK(read.count("B2") == 0);
    CHECK(read.count("B3") == 0);
    CHECK(read.at("A4").second == "\uFFFD");
    const std::string sheet = part(bytes, "xl/worksheets/sheet1.xml");
    CHECK(sheet.find("NAN") == std::string::npos);
    CHECK(sheet.find("INF") == std::string::npos);
}

TEST_CASE("text longer than a cell is cut with an ellipsis, and the last sheet says how many were") {
    StoredTable table("lines", {column("line", ColumnType::text)});
    table.add({text(std::string(40000, 'x'))});
    std::string seeds;
    for (int i = 0; i < 20000; ++i)
        seeds += "\U0001F331"; // two of a spreadsheet's characters
    table.add({text(seeds)});
    table.add({text(std::string(32767, 'y'))});
    const std::string bytes = written(book_of(table));
    const Cells read = cells(bytes, "Lines");
    CHECK(read.at("A2").second == std::string(32766, 'x') + "\u2026");
    CHECK(read.at("A3").second == seeds.substr(0, 4 * 16383) + "\u2026");
    CHECK(read.at("A4").second == std::string(32767, 'y'));
    CHECK(all_text(cells(bytes, "How")).find("2 texts longer than a cell can hold") != std::string::npos);
}

TEST_CASE("rows beyond the limit of a sheet are left out, and both sheets say so") {
    StoredTable table("readings", {column("row", ColumnType::integer)});
    for (std::int64_t i = 0; i < 30; ++i) {
        Value count;
        count.value = i;
        table.add({count});
    }
    report::Workbook workbook = book_of(table);
    workbook.sheets[0] = {"Readings", &table, "flagged readings", "readings.csv", "", 20};
    const std::string bytes = written(workbook);
    const Cells read = cells(bytes, "Readings");
    CHECK(read.at("A21").second == "19");
    CHECK(read.count("A22") == 0);
    CHECK(read.at("A23").second == "Only the first 20 of 30 rows are shown here; readings.csv has all");
    CHECK(all_text(cells(bytes, "How")).find("the first 20 of 30 rows: readings.csv has all") !=
          std::string::npos);
}

TEST_CASE("a table of very many cells leaves columns of detail to its csv file") {
    class Tall final : public Table {
      public:
        Tall() {
            columns_ = {column("line", ColumnType::text), column("protein", ColumnType::number)};
            for (int i = 0; i < 40; ++i)
                columns_.push_back(column("sd_" + std::to_string(i), ColumnType::number, 2, 2));
        }
        std::size_t rows() const override { return 75000; }
        void write(std::size_t first, std::size_t last, RowSink& sink) const override {
            for (std::size_t row = first; row < last; ++row) {
                sink.begin_row();
                sink.text("L");
                sink.number(static_cast<double>(row));
                for (int i = 0; i < 40; ++i) {
                    sink.missing();
                    sink.note("not to be kept");
                }
                sink.end_row();
            }
        }
    };
    const Tall tall;
    const std::string bytes = written(book_of(tall));
    const Cells read = cells(bytes, "Lines");
    CHECK(read.at("B75001").second == "74999");
    CHECK(read.count("C1") == 0);
    CHECK(all_text(cells(bytes, "How")).find("40 columns are left out: lines.csv has all") !=
          std::string::npos);
}

TEST_CASE("a marked cell has a note that says why, a thousand of them at most") {
    class Noted final : public Table {
      public:
        Noted() { columns_ = {column("protein", ColumnType::number)}; }
        std::size_t rows() const override { return 1200; }
        void write(std::size_t first, std::size_t last, RowSink& sink) const override {
            for (std::size_t row = first; row < last; ++row) {
                sink.begin_row();
                sink.number(50, Shown::high);
                if (sink.wants_notes())
                    sink.note("protein 50 is above 45 (week.csv:" + std::to_string(row + 2) + ")");
                sink.end_row();
            }
        }
    };
    const Noted noted;
    const std::string bytes = written(book_of(noted));
    const std::string notes = part(bytes, "xl/comments1.xml");
    CHECK(notes.find("ref=\"A2\"") != std::string::npos);
    CHECK(notes.find("protein 50 is above 45 (week.csv:1001)") != std::string::npos);
    CHECK(notes.find("ref=\"A1002\"") == std::string::npos);
    CHECK(all_text(cells(bytes, "How")).find("the first 1000 of 1200 marked cells have a note") !=
          std::string::npos);
}

TEST_CASE("columns of detail are folded, columns without any value hidden") {
    StoredTable table("lines",
                      {column("line", ColumnType::text), column("protein", ColumnType::number),
                       column("protein_sd", ColumnType::number, 2, 2), column("ash", ColumnType::number)});
    table.add({text("L-1"), number(36), number(0.5), Value{}});
    const std::string sheet = part(written(book_of(table)), "xl/worksheets/sheet1.xml");
    CHECK(sheet.find("<col min=\"3\" max=\"3\"") != std::string::npos);
    const std::string folded = sheet.substr(sheet.find("<col min=\"3\""), 120);
    CHECK(folded.find("hidden=\"1\"") < folded.find("/>"));
    CHECK(folded.find("outlineLevel=\"1\"") < folded.find("/>"));
    const std::string empty = sheet.substr(sheet.find("<col min=\"4\""), 120);
    CHECK(empty.find("hidden=\"1\"") < empty.find("/>"));
    CHECK(empty.substr(0, empty.find("/>")).find("outlineLevel") == std::string::npos);
}

TEST_CASE("the last sheet says how, with sources, cautions and the rules in force") {
    StoredTable table("lines", {column("line", ColumnType::text)});
    report::Workbook workbook = book_of(table);
    workbook.how = {cautions()};
    workbook.rules = "{\n  \"few_samples\": 2 // built-in\n}\n";
    const std::string how = all_text(cells(written(workbook), "How"));
    for (const char* wanted :
         {"aflatoxin", "Seed dust can explode", "allergens", "not for trade settlement",
          "licensed professional", "\"few_samples\": 2 // built-in", "0 rows, all shown", "\u25BC", "\u25B2"})
        CHECK(how.find(wanted) != std::string::npos);
}

TEST_CASE("charts draw the first lines with their SE and two constituents, from numbers on their own sheet") {
    StoredTable table("lines", {column("line", ColumnType::text), column("protein", ColumnType::number)});
    table.add({text("L-1"), number(36)});
    report::Workbook workbook = book_of(table);
    LineChart chart;
    chart.material = "soybean-whole";
    chart.basis = "13";
    chart.ranked = "protein";
    chart.other = "oil";
    chart.lines = 2;
    chart.best = {{"=cmd()", 37, 0.25, 36.75, 37.25}, {"L-2", 36, {}, {}, {}}};
    chart.pairs = {{"=cmd()", 37, 18}, {"L-2", 36, 19}};
    workbook.charts = {chart};
    const std::string bytes = written(workbook);
    const Cells read = cells(bytes, "Charts");
    CHECK(all_text(read).find("=cmd()\n") != std::string::npos);
    CHECK(all_text(read).find("36.75\n") != std::string::npos);
    const std::string first = part(bytes, "xl/charts/chart1.xml");
    CHECK(first.find("c:barChart") != std::string::npos);
    CHECK(first.find("soybean-whole: protein, mean and SE of 2 lines") != std::string::npos);
    // The same two charts stand on Lines.
    CHECK(part(bytes, "xl/drawings/drawing1.xml").find("<xdr:graphicFrame") != std::string::npos);
    CHECK(part(bytes, "xl/charts/chart4.xml").find("c:scatterChart") != std::string::npos);
}

TEST_CASE("the same tables give the same bytes, whenever they are written") {
    StoredTable table("lines", {column("line", ColumnType::text), column("protein", ColumnType::number)});
    table.add({text("L-1"), number(36, Shown::high)});
    const std::string first = written(book_of(table));
    std::this_thread::sleep_for(std::chrono::milliseconds(1100)); // the clock of a zip file counts seconds
    CHECK(first == written(book_of(table)));
}

TEST_CASE("a folder that cannot be written is an error that names the file and the way out") {
    StoredTable table("lines", {column("line", ColumnType::text)});
    const Folder folder;
    const std::string path = folder.path + "/none/results.xlsx";
    const auto done = report::write_workbook(book_of(table), path, folder.path);
    REQUIRE(!done);
    CHECK(done.error().file == path);
    CHECK(done.error().help.find("--only") != std::string::npos);
    CHECK(std::filesystem::is_empty(folder.path));
}
