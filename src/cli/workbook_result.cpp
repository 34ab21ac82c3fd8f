#include "cli/workbook_result.hpp"

#include "cli/output.hpp"

#include <thresh/report/workbook.hpp>

namespace thresh::cli {

Result<void> write_workbook_result(const std::string& folder, const std::string& shown_as,
                                   const summary::Season& season, const summary::SampleMeans& means,
                                   const summary::Table& lines, const std::string& rules,
                                   std::optional<int> digits) {
    constexpr std::size_t kMostReadings = 50000;
    summary::ReadingsOptions flagged;
    flagged.flagged = true;
    const auto samples = summary::samples_table(season, means);
    const auto readings = summary::readings_table(season, flagged);
    const auto todo = summary::todo_table(season);
    const auto drift = summary::drift_table(season, false);
    report::Workbook workbook;
    workbook.sheets = {{"Lines", &lines, "one row per breeding line", "lines.csv", "line", 0},
                       {"Samples", samples.get(), "one row per sample", "samples.csv", "sample", 0},
                       {"Readings", readings.get(),
                        "readings that are excluded, superseded or to review, or hold such a value",
                        "readings.csv", "row", kMostReadings},
                       {"To do", todo.get(), "what the laboratory must do next", "todo.csv", "action", 0},
                       {"Drift", drift.get(), "standards, controls, sessions and instruments over time",
                        "drift.csv", "kind", 0}};
    workbook.charts = summary::line_charts(season, lines);
    workbook.how = summary::how_computed(season, means);
    workbook.rules = rules;
    workbook.version = THRESH_VERSION;
    workbook.digits = digits;
    const std::string path = folder + "/results.xlsx";
    auto written = report::write_workbook(workbook, path, folder);
    if (written)
        written = make_durable(path);
    if (!written)
        written.error().file = shown_as; // the folder that is filled has a name of its own
    return written;
}

} // namespace thresh::cli
