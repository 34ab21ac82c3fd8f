// Short ways to fill the rows of stored tables.
#pragma once

#include <thresh/summary/columns.hpp>
#include <thresh/summary/table.hpp>

#include <cmath>
#include <optional>
#include <string>
#include <vector>

namespace thresh::summary {

// Empty text and NaN are missing.
inline Value cell(std::string text) {
    Value made;
    if (!text.empty())
        made.value = std::move(text);
    return made;
}
inline Value cell(double number) {
    Value made;
    if (std::isfinite(number))
        made.value = number;
    return made;
}
inline Value cell(std::optional<double> number) {
    return number ? cell(*number) : Value{};
}
inline Value count(std::size_t n) {
    Value made;
    made.value = static_cast<std::int64_t>(n);
    return made;
}

// Every column that the table declares, in order; none may stand for constituents.
std::vector<OutColumn> all_columns(std::string_view table);

} // namespace thresh::summary
