// Which of a date's three numbers is the day, the month and the year.
#pragma once

#include "intake/file_data.hpp"

#include <optional>
#include <string>

namespace thresh::intake {

struct Order {
    DateOrder order;
    DateFormat format;
    const char* name; // of --date-format
    const char* says;
};

inline constexpr std::array<Order, 3> kOrders{
    {{DateOrder::year_first, DateFormat::ymd, "ymd", "year first"},
     {DateOrder::day_first, DateFormat::dmy, "dmy", "day first"},
     {DateOrder::month_first, DateFormat::mdy, "mdy", "month first"}}};

// Adds what was counted further down in the file: the first example stays.
void add_later(EventCount& total, const EventCount& count);

// The dates of time column `which` (0 or 1) that are no day of the calendar when read in this order.
EventCount unfit_dates(const TableData& table, std::size_t which, DateOrder order);

// The one order in which a column is to be read and what tells so, or the doubt and the way out.
struct OrderFound {
    std::optional<Order> order;
    std::string proof;
    std::string doubt, help;
};

// For a column whose dates all are of one form, slashed or dotted, of which `seen` counts them.
OrderFound find_order(TableData& table, std::size_t which, const EventCount& seen);

} // namespace thresh::intake
