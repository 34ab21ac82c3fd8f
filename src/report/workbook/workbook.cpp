// Sheet after sheet, rows streamed: memory does not grow with them.
#include <thresh/report/workbook.hpp>

#include "report/workbook/charts.hpp"
#include "report/workbook/how_sheet.hpp"
#include "report/workbook/read_back.hpp"
#include "report/workbook/table_sheet.hpp"

#include <cstdio>

namespace thresh::report {

namespace {

// Beyond 4 GiB a part of a zip file needs other fields; a cell takes well below 64 bytes.
bool huge(const Workbook& workbook) {
    constexpr std::size_t kMostCells = (std::size_t{1} << 32U) / 64;
    for (const WorkbookSheet& sheet : workbook.sheets)
        if (sheet.table->rows() > 0 && sheet.table->columns().size() > kMostCells / sheet.table->rows())
            return true;
    return false;
}

unsigned decimals_of(const summary::LineChart& chart, const summary::Table& table) {
    for (const summary::OutColumn& column : table.columns())
        if (column.name == chart.ranked)
            return column.decimals;
    return 2;
}

Result<void> write_all(const Workbook& workbook, const std::string& path, const std::string& scratch,
                       std::vector<std::size_t>& rows) {
    Book book(path, scratch, huge(workbook));
    std::vector<SheetFacts> facts;
    std::vector<lxw_worksheet*> sheets;
    lxw_worksheet* charts = nullptr;
    const bool drawn = !workbook.charts.empty() && !workbook.sheets.empty();
    for (const WorkbookSheet& about : workbook.sheets) {
        sheets.push_back(book.add_sheet(about.title));
        if (drawn && charts == nullptr)
            charts = book.add_sheet("Charts");
    }
    lxw_worksheet* how = book.add_sheet("How");
    if (!book.good())
        return tl::unexpected(book.failure());
    for (std::size_t i = 0; i < workbook.sheets.size(); ++i) {
        facts.push_back(write_table_sheet(book, sheets[i], workbook.sheets[i], workbook.digits));
        rows.push_back(facts.back().written);
        if (!book.good())
            return tl::unexpected(book.failure());
        if (i == 0 && charts != nullptr) {
            std::vector<unsigned> decimals;
            for (const summary::LineChart& chart : workbook.charts)
                decimals.push_back(decimals_of(chart, *workbook.sheets[0].table));
            rows.push_back(write_charts(book, charts, sheets[0], facts[0].beside, workbook.charts, decimals,
                                        workbook.digits));
        }
    }
    rows.push_back(write_how_sheet(book, how, workbook, facts));
    return book.finish();
}

} // namespace

Result<void> write_workbook(const Workbook& workbook, const std::string& path, const std::string& scratch) {
    std::vector<std::size_t> rows;
    Result<void> written = write_all(workbook, path, scratch, rows);
    if (written)
        written = read_back(path, rows);
    if (!written)
        std::remove(path.c_str());
    return written;
}

} // namespace thresh::report
