// A workbook of the .xlsx kind in memory: its sheets, and the cells of a sheet as a stream.
#pragma once

#include "intake/xlsx/archive.hpp"
#include "intake/xlsx/cell.hpp"
#include "intake/xlsx/number_format.hpp"
#include "intake/xlsx/shared_strings.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace thresh::intake::xlsx {

// True when the bytes start like a zip archive or like an older office file, so that Book::open is the one to
// read them or to say why not; false for text.
bool looks_like_book(std::string_view bytes);

struct SheetInfo {
    std::string name;
    bool visible = true;
};

class Book {
  public:
    // Reads the book's directory, styles and shared strings. `bytes` must outlive the book. Error, without a
    // file name, when it is no readable workbook.
    static Result<Book> open(std::string_view bytes, const Limits& limits = {});

    // Worksheets in the order of the book; sheets that hold only a chart are left out.
    const std::vector<SheetInfo>& sheets() const { return sheets_; }

    // Streams the cells of one sheet (`index` < sheets().size()) and returns its merged ranges in the order
    // of the file; they stand behind the cells, so that a sink which stops misses them. Error when the sheet
    // is damaged; cells delivered before that are then not to be used. Several threads may read one book.
    Result<std::vector<MergedRange>> read_sheet(std::size_t index, CellSink& sink) const;

    // What a sheet's reader needs to know about the whole book.
    struct Common {
        SharedStrings strings;
        std::vector<NumberFormat> formats; // by cell style
        bool system_1904 = false;
        bool results_stale =
            false; // the program that saved the book asks for all formulas to be computed anew
    };
    const Common& common() const { return common_; }

  private:
    Archive archive_;
    std::vector<SheetInfo> sheets_;
    std::vector<std::string> parts_; // of the sheets, same order
    Common common_;
};

} // namespace thresh::intake::xlsx
