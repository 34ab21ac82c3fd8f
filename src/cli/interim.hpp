// Summary and record of a run in their plainest form.
#pragma once

#include <fmt/format.h>
#include <string>
#include <thresh/summary/tables.hpp>
#include <vector>

namespace thresh::cli::interim {

struct InputRecord {
    std::string role, source, sha256;
    std::uint64_t bytes = 0;
};
struct RunRecord {
    std::string version;
    std::vector<InputRecord> inputs;
    std::string rules;
    summary::Accounting accounting;
};
inline std::string counts(const summary::Accounting::Counts& c) {
    return fmt::format(
        "\"rows\":{},\"use\":{},\"review\":{},\"exclude\":{},\"superseded\":{},\"standard\":{},\"control\":{}"
        ","
        "\"repeated\":{},\"ignored\":{},\"outside_selection\":{},\"rejected\":{},\"not_a_reading\":{},"
        "\"lines_skipped\":{}",
        c.rows, c.use, c.review, c.exclude, c.superseded, c.standard, c.control, c.repeated, c.ignored,
        c.outside_selection, c.rejected, c.not_a_reading, c.lines_skipped);
}
inline std::string run_json(const RunRecord& r) {
    std::string files;
    for (const auto& f : r.accounting.files)
        files += fmt::format("{}{{\"source\":\"{}\",{}}}", files.empty() ? "" : ",", f.source, counts(f));
    return fmt::format("{{\"program\":\"thresh\",\"accounting\":{{\"total\":{{{}}},\"files\":[{}]}}}}\n",
                       counts(r.accounting.total), files);
}
inline std::string data_package_json(const std::vector<const summary::Table*>&) {
    return "{}\n";
}
inline std::string summary_line(const summary::Season& season) {
    const auto total = summary::account(season).total;
    return fmt::format("{} rows: {} used, {} under review, {} excluded\n", total.rows, total.use,
                       total.review, total.exclude);
}
inline std::string season_summary(const summary::Season& season) {
    return summary_line(season);
}

} // namespace thresh::cli::interim
