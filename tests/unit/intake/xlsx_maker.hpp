// Makes small workbooks for the tests, part by part, so that every oddity of other writers can be had.
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace thresh::test {

// Parts in order, by name.
using Parts = std::vector<std::pair<std::string, std::string>>;

// The bytes of a zip archive that holds the parts, deflated.
std::string make_zip(const Parts& parts);

// A book with one sheet "Sheet1": `rows` is what stands inside <sheetData>, `behind` what follows it.
struct BookText {
    std::string rows = {};
    std::string behind = {};
    std::string shared = {};          // <si> entries; empty: no shared strings part
    std::string formats = {};         // <numFmt> entries
    std::string styles = {};          // <xf> entries of cellXfs; empty: no styles part
    std::string workbook_extras = {}; // before <sheets>: <workbookPr date1904="1"/>
};

Parts book_parts(const BookText& text);
std::string make_book(const BookText& text);

// Replaces or adds a part.
void set_part(Parts& parts, std::string_view name, std::string content);

} // namespace thresh::test
