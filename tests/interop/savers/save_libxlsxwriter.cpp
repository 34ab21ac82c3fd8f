// save_libxlsxwriter CELLS BOOK [memory]: saves the cells of table.py with libxlsxwriter, with a table of
// shared strings or, in its constant-memory mode, with the texts inside the cells.
#include <cstdint>
#include <cstdlib>
#include <fstream>
#include <string>
#include <xlsxwriter.h>

namespace {

struct Sheet {
    lxw_worksheet* sheet;
    lxw_format* moment;
    lxw_format* percent;

    void write(lxw_row_t row, lxw_col_t column, const std::string& field) const {
        if (field.size() < 2)
            return;
        const char* const content = field.c_str() + 2;
        if (field[0] == 't')
            worksheet_write_string(sheet, row, column, content, nullptr);
        else
            worksheet_write_number(sheet, row, column, std::strtod(content, nullptr),
                                   field[0] == 'd'   ? moment
                                   : field[0] == 'p' ? percent
                                                     : nullptr);
    }
};

} // namespace

int main(int argc, char** argv) {
    if (argc < 3)
        return 2;
    lxw_workbook_options options{};
    options.constant_memory = argc > 3 ? LXW_TRUE : LXW_FALSE;
    lxw_workbook* book = workbook_new_opt(argv[2], &options);
    const Sheet sheet{workbook_add_worksheet(book, "Week 32"), workbook_add_format(book),
                      workbook_add_format(book)};
    format_set_num_format(sheet.moment, "[$-407]dd.mm.yyyy hh:mm;@");
    format_set_num_format_index(sheet.percent, 10);
    std::ifstream cells(argv[1]);
    std::string line;
    for (lxw_row_t row = 0; std::getline(cells, line); ++row) {
        lxw_col_t column = 0;
        std::size_t at = 0;
        for (std::size_t tab = line.find('\t'); tab != std::string::npos; tab = line.find('\t', at)) {
            sheet.write(row, column++, line.substr(at, tab - at));
            at = tab + 1;
        }
        sheet.write(row, column, line.substr(at));
    }
    return workbook_close(book) == LXW_NO_ERROR ? 0 : 1;
}
