#include <catch2/catch.hpp>

#include "report/workbook/book_text.hpp"
#include "report/workbook/read_back.hpp"

#include <cstdlib>
#include <filesystem>
#include <minizip/zip.h>
#include <string>

using namespace thresh;

namespace {

// A zip file of one sheet.
std::string sheet_file(const std::string& folder, const std::string& sheet) {
    const std::string path = folder + "/book.xlsx";
    const zipFile zip = zipOpen64(path.c_str(), APPEND_STATUS_CREATE);
    zipOpenNewFileInZip64(zip, "xl/worksheets/sheet1.xml", nullptr, nullptr, 0, nullptr, 0, nullptr,
                          Z_DEFLATED, 6, 0);
    zipWriteInFileInZip(zip, sheet.data(), static_cast<unsigned>(sheet.size()));
    zipCloseFileInZip(zip);
    zipClose(zip, nullptr);
    return path;
}

} // namespace

TEST_CASE("reading back sees a sheet that lost rows or its end to a full disk") {
    std::string name = (std::filesystem::temp_directory_path() / "read-back-XXXXXX").string();
    const std::string folder = ::mkdtemp(name.data());
    std::string rows;
    for (int i = 0; i < 20000; ++i) // more than one piece of reading, rows across its edges
        rows += "<row r=\"" + std::to_string(i) + "\"><c><v>1</v></c></row>";
    const std::size_t whole[] = {20000}, fewer[] = {19999}, two[] = {20000, 1};
    const std::string sheet = "<worksheet>" + rows + "</worksheet>";
    CHECK(report::read_back(sheet_file(folder, sheet), whole));
    CHECK(!report::read_back(sheet_file(folder, sheet), fewer));
    CHECK(!report::read_back(sheet_file(folder, sheet), two));
    CHECK(!report::read_back(sheet_file(folder, sheet.substr(0, sheet.size() - 12)), whole));
    CHECK(!report::read_back(folder + "/none.xlsx", whole));
    std::filesystem::remove_all(folder);
}

TEST_CASE("the lines of broken text are counted by words, long words and line feeds") {
    using report::lines_needed;
    CHECK(lines_needed("", 10) == 1);
    CHECK(lines_needed("one two", 10) == 1);
    CHECK(lines_needed("one two three", 10) == 2);
    CHECK(lines_needed("a\nb", 10) == 2);
    CHECK(lines_needed(std::string(25, 'x'), 10) == 3);
    CHECK(report::row_height(1000) < 409.5); // the highest row that spreadsheets know
}

TEST_CASE("times become days since 1899-12-30, but not before March 1900, where spreadsheets count wrongly") {
    using report::book_time;
    CHECK(book_time(Time::of(seconds_of(2026, 8, 3, 12), Time::Precision::minute)).value() == 46237.5);
    CHECK(book_time(Time::of(seconds_of(1900, 3, 1), Time::Precision::day)).value() == 61);
    CHECK(!book_time(Time::of(seconds_of(1900, 2, 28), Time::Precision::day)));
    CHECK(!book_time(Time{}));
    CHECK(!book_time(Time::of(seconds_of(10000, 1, 1), Time::Precision::day)));
}
