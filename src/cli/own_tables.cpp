// Read as an export, a table of results would be judged and converted a second time: `thresh lines . -o
// lines.csv` puts one among the exports of the next run. Only its heading is looked at; every table has more
// columns of its own names than an instrument would.
#include "cli/own_tables.hpp"

#include <algorithm>
#include <array>
#include <fcntl.h>
#include <thresh/summary/columns.hpp>
#include <unistd.h>
#include <vector>

namespace thresh::cli {

namespace {

constexpr std::size_t kHeading = 4096; // bytes: columns of the season's constituents come later

std::vector<std::string_view> cells_of(std::string_view line, char delimiter) {
    std::vector<std::string_view> cells;
    for (std::size_t at = 0; at <= line.size();) {
        const std::size_t end = std::min(line.find(delimiter, at), line.size());
        cells.push_back(line.substr(at, end - at));
        at = end + 1;
    }
    return cells;
}

bool is_always_there(const summary::ColumnDeclaration& column) {
    return column.when.empty() && column.name.find("{c}") == std::string_view::npos;
}

bool is_heading_of(const summary::TableDeclaration& table, const std::vector<std::string_view>& cells) {
    return cells.front() == table.columns.front().name &&
           std::ranges::all_of(table.columns, [&](const summary::ColumnDeclaration& column) {
               return !is_always_there(column) || std::ranges::find(cells, column.name) != cells.end();
           });
}

} // namespace

std::string_view own_table(const std::string& path) {
    const int fd = ::open(path.c_str(), O_RDONLY | O_CLOEXEC);
    if (fd < 0)
        return {};
    std::array<char, kHeading> bytes;
    const ssize_t got = ::pread(fd, bytes.data(), bytes.size(), 0);
    ::close(fd);
    const std::string_view read(bytes.data(), static_cast<std::size_t>(std::max<ssize_t>(got, 0)));
    const std::string_view heading = read.substr(0, read.find_first_of("\r\n"));
    // What instruments write begins otherwise: most files are done with here.
    for (const summary::TableDeclaration& table : summary::table_declarations())
        if (heading.starts_with(table.columns.front().name))
            for (const char delimiter : {',', '\t'})
                if (is_heading_of(table, cells_of(heading, delimiter)))
                    return table.name;
    return {};
}

} // namespace thresh::cli
