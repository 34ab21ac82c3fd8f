// Any bytes as the conditions of --where, the first line as those of --sort: refused with a reason, or the
// rows chosen are rows of the table, and choosing among the chosen leaves them as they are.
#include <thresh/summary/select.hpp>

#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string>

using namespace thresh;
using namespace thresh::summary;

namespace {

StoredTable lines() {
    std::vector<OutColumn> columns(4);
    columns[0].name = "line";
    columns[1].name = "protein";
    columns[1].type = ColumnType::number;
    columns[2].name = "plots";
    columns[2].type = ColumnType::integer;
    columns[3].name = "time";
    columns[3].type = ColumnType::time;
    StoredTable table("lines", columns);
    const auto add = [&](std::string line, double protein, std::int64_t plots, const char* time) {
        std::vector<Value> row(4);
        row[0].value = std::move(line);
        if (protein > 0)
            row[1].value = protein;
        row[2].value = plots;
        if (*time != '\0')
            row[3].value = time_from_iso(time);
        table.add(std::move(row));
    };
    add("L-1", 36.0, 3, "2026-08-03T07:41");
    add("L-2", 0, 2, "2026-08-03T23:59:59");
    add("A > B", 38.5, 3, "");
    add("it's and \"so\"", 36.5, -1, "1969-12-31T23:00");
    return table;
}

bool same(const std::vector<Value>& a, const std::vector<Value>& b) {
    return std::equal(a.begin(), a.end(), b.begin(), b.end(),
                      [](const Value& x, const Value& y) { return x.value == y.value; });
}

} // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    static const StoredTable table = lines();
    const std::string text(reinterpret_cast<const char*>(data), size);
    const std::size_t end = std::min(text.find('\n'), text.size());
    Selection selection;
    selection.sort = text.substr(0, end);
    if (end < text.size())
        selection.where.push_back(text.substr(end + 1));
    const auto chosen = select_rows(table, selection);
    if (!chosen) {
        if (chosen.error().message.empty() || chosen.error().help.empty())
            std::abort();
        return 0;
    }
    const StoredTable rows(**chosen);
    for (const auto& row : rows.data())
        if (std::none_of(table.data().begin(), table.data().end(),
                         [&](const auto& other) { return same(row, other); }))
            std::abort();
    const auto again = select_rows(rows, selection);
    if (!again || (*again)->rows() != rows.rows())
        std::abort();
    const StoredTable twice(**again);
    for (std::size_t r = 0; r < rows.rows(); ++r)
        if (!same(rows.data()[r], twice.data()[r]))
            std::abort();
    return 0;
}
