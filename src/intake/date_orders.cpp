// An order is possible when every date is a day of the calendar in it. Of full years only day and month are
// in question; of two digits each, any number may be the year: 26/08/03 is a day of 2026 or of 2003. There
// the rows together nearly always tell, for days change from row to row and years do not: read in the wrong
// order, the dates of a season spread over many years. Dates with points are day first by custom, unless the
// rows speak against it. What is left is a doubt; a likely year is no evidence, since old exports are read as
// well.
#include "intake/date_orders.hpp"

#include "intake/each_time.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <limits>
#include <vector>

namespace thresh::intake {

namespace {

// Days between the first and the last date of an export; conservative, for a wrong year is worse than a
// doubt.
constexpr std::int64_t kOneExport = 3 * 366, kMuchLonger = 5 * 365;

// A date that is a day with the year first only; it may be mistyped, so it does not vote against the others.
constexpr std::size_t kYearFirstOnly = DateOrder::day_first | DateOrder::month_first;

EventCount unfit_dates(const TableData& table, std::size_t which, DateOrder order, bool voting) {
    EventCount total;
    for (const Part& part : table.parts) {
        EventCount here;
        for (std::size_t set = 0; set < kOrderSets; ++set) {
            const EventCount& count = part.unfit_dates[which][set];
            if ((set & static_cast<std::size_t>(order)) == 0 || count.count == 0 ||
                (voting && set == kYearFirstOnly))
                continue;
            const std::size_t sum = here.count + count.count;
            if (here.count == 0 || count.line < here.line)
                here = count;
            here.count = sum;
        }
        add_later(total, here);
    }
    return total;
}

// Days between the first and the last date when read in this order.
std::int64_t spread(TableData& table, DateFormat format) {
    std::int64_t first = std::numeric_limits<std::int64_t>::max(),
                 last = std::numeric_limits<std::int64_t>::min();
    for_each_time(table, [&](Part&, std::size_t, std::size_t, Time& time) {
        const RawTime raw = RawTime::from_bits(time.packed);
        const Time read = raw.open() ? settle_time(raw, format) : Time{};
        if (read.missing())
            return;
        first = std::min(first, read.seconds());
        last = std::max(last, read.seconds());
    });
    return first > last ? 0 : (last - first) / 86400;
}

class OrderFinder {
  public:
    OrderFinder(TableData& table, std::size_t which, const EventCount& seen)
        : table_(table), seen_(seen), points_(read_time_cell(seen.example).form == TimeForm::dotted) {
        for (std::size_t i = 0; i < kOrders.size(); ++i) {
            against_[i] = unfit_dates(table, which, kOrders[i].order, true);
            possible_[i] = against_[i].count == 0;
        }
        const EventCount& odd = unfit_dates(table, which, DateOrder::day_first, false);
        year_first_only_ = odd.count - against_[kDay].count == seen.count;
    }
    OrderFound find();

  private:
    static constexpr std::size_t kYear = 0, kDay = 1, kMonth = 2;
    void weigh_spreads();
    OrderFound doubt() const;
    std::string proof(std::size_t chosen) const;

    TableData& table_;
    const EventCount& seen_;
    const bool points_;
    std::array<EventCount, kOrders.size()> against_; // the dates that exclude each order
    std::array<bool, kOrders.size()> possible_{};
    bool year_first_only_ = false; // all dates are
    std::string spread_proof_;
};

void OrderFinder::weigh_spreads() {
    std::array<std::int64_t, kOrders.size()> days{};
    for (std::size_t i = 0; i < kOrders.size(); ++i)
        days[i] = possible_[i] ? spread(table_, kOrders[i].format) : std::numeric_limits<std::int64_t>::max();
    const std::int64_t year_last = std::min(days[kDay], days[kMonth]), year_first = days[kYear];
    const auto tells = [&](std::int64_t shorter, std::int64_t longer, const char* other) {
        if (shorter > kOneExport || longer - shorter < kMuchLonger)
            return false;
        spread_proof_ =
            fmt::format("first and last date are {} days apart; {} they would be {}", shorter, other, longer);
        return true;
    };
    if (tells(year_last, year_first, "year first"))
        possible_[kYear] = false;
    else if (points_ && year_first >= year_last)
        possible_[kYear] = false; // the custom stands
    else if (!points_ && tells(year_first, year_last, "year last"))
        possible_[kDay] = possible_[kMonth] = false;
}

OrderFound OrderFinder::doubt() const {
    OrderFound found;
    if (!possible_[kYear]) {
        found.doubt =
            possible_[kDay]
                ? fmt::format("no date tells whether day or month comes first (`{}`)", seen_.example)
                : fmt::format("some dates can only be day first (line {}), others only month first (line {})",
                              against_[kMonth].line, against_[kDay].line);
        found.help = "--date-format dmy (day first) or --date-format mdy (month first)";
        return found;
    }
    std::vector<std::string> readings, options;
    for (std::size_t i = 0; i < kOrders.size(); ++i) {
        const Time day = settle_time(read_time_cell(seen_.example).raw, kOrders[i].format);
        if (!possible_[i] || day.missing())
            continue;
        readings.push_back(fmt::format("{} ({})", to_text(day).substr(0, 10), kOrders[i].says));
        options.push_back(fmt::format("--date-format {} ({})", kOrders[i].name, kOrders[i].says));
    }
    found.doubt = fmt::format("no date tells which number is the year: `{}` can be {}", seen_.example,
                              fmt::join(readings, " or "));
    found.help = fmt::format("{}", fmt::join(options, " or "));
    return found;
}

std::string OrderFinder::proof(std::size_t chosen) const {
    if (!spread_proof_.empty())
        return spread_proof_;
    if (points_)
        return "points between day, month and year";
    // An order that no date at all allows was never in question.
    std::vector<std::uint32_t> lines;
    for (std::size_t i = 0; i < kOrders.size(); ++i)
        if (i != chosen && against_[i].count < seen_.count)
            lines.push_back(against_[i].line);
    std::sort(lines.begin(), lines.end());
    lines.erase(std::unique(lines.begin(), lines.end()), lines.end());
    if (lines.empty())
        lines.push_back(seen_.line);
    return lines.size() == 1
               ? fmt::format("line {} can be read in no other way", lines[0])
               : fmt::format("lines {} and {} together can be read in no other way", lines[0], lines[1]);
}

OrderFound OrderFinder::find() {
    if (year_first_only_)
        return doubt();
    if (possible_[kYear])
        weigh_spreads();
    if (possible_[kYear] + possible_[kDay] + possible_[kMonth] != 1)
        return doubt();
    const auto chosen =
        static_cast<std::size_t>(std::find(possible_.begin(), possible_.end(), true) - possible_.begin());
    OrderFound found;
    found.order = kOrders[chosen];
    found.proof = proof(chosen);
    return found;
}

} // namespace

void add_later(EventCount& total, const EventCount& count) {
    if (total.count == 0)
        total = count;
    else
        total.count += count.count;
}

EventCount unfit_dates(const TableData& table, std::size_t which, DateOrder order) {
    return unfit_dates(table, which, order, false);
}

OrderFound find_order(TableData& table, std::size_t which, const EventCount& seen) {
    return OrderFinder(table, which, seen).find();
}

} // namespace thresh::intake
