// write_big_book FILE ROWS: a sheet of 27 columns like an instrument's export, written by libxlsxwriter: ID,
// date and time, analysis, and 24 percentages of two decimals, headings above. The numbers are invented.
#include <cstdint>
#include <cstdlib>
#include <fmt/format.h>
#include <xlsxwriter.h>

int main(int argc, char** argv) {
    if (argc != 3)
        return 2;
    lxw_workbook_options options{};
    options.constant_memory = LXW_TRUE;
    lxw_workbook* book = workbook_new_opt(argv[1], &options);
    lxw_worksheet* sheet = workbook_add_worksheet(book, "Readings");
    lxw_format* moment = workbook_add_format(book);
    format_set_num_format(moment, "dd.mm.yyyy hh:mm");
    constexpr const char* headings[] = {
        "Sample ID",      "Date time",    "Analysis",      "Moisture (%)",   "Protein (%)",   "Oil (%)",
        "Ash (%)",        "Fiber (%)",    "Starch (%)",    "Sucrose (%)",    "Raffinose (%)", "Stachyose (%)",
        "Palmitic (%)",   "Stearic (%)",  "Oleic (%)",     "Linoleic (%)",   "Linolenic (%)", "Lysine (%)",
        "Methionine (%)", "Cysteine (%)", "Threonine (%)", "Tryptophan (%)", "Arginine (%)",  "Leucine (%)",
        "Isoleucine (%)", "Valine (%)",   "Histidine (%)"};
    for (lxw_col_t column = 0; column < 27; ++column)
        worksheet_write_string(sheet, 0, column, headings[column], nullptr);
    std::uint64_t state = 32;
    const auto rows = static_cast<lxw_row_t>(std::strtoul(argv[2], nullptr, 10));
    for (lxw_row_t row = 1; row <= rows; ++row) {
        worksheet_write_string(sheet, row, 0, fmt::format("L{:04}-{}", row % 5000, row / 5000).c_str(),
                               nullptr);
        worksheet_write_number(sheet, row, 1, 45292 + row / 1440.0, moment);
        worksheet_write_string(sheet, row, 2, "soybean whole", nullptr);
        for (lxw_col_t column = 3; column < 27; ++column) {
            state = state * 6364136223846793005ULL + 1442695040888963407ULL;
            worksheet_write_number(sheet, row, column, static_cast<double>(state >> 52) / 100.0, nullptr);
        }
    }
    return workbook_close(book) == LXW_NO_ERROR ? 0 : 1;
}
