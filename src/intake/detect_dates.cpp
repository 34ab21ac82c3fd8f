// One format for a whole column. Dates with a full year first and with the month by name say themselves which
// number is what; of the others date_orders.cpp finds the order in which all of them are days. Day numbers of
// a spreadsheet do not say in which of the two systems they count, so they wait for an option. Two ways of
// writing dates in one column are a doubt as a whole: the usual cause is a spreadsheet that turned some of
// them around.
#include "intake/settle.hpp"

#include "intake/clock_columns.hpp"
#include "intake/date_orders.hpp"
#include "intake/each_time.hpp"
#include "intake/time_offsets.hpp"

#include <fmt/format.h>

namespace thresh::intake {

namespace {

using Forms = std::array<EventCount, kTimeForms>;

Forms forms_of(const TableData& table, std::size_t which) {
    Forms total{};
    for (const Part& part : table.parts)
        for (std::size_t f = 0; f < kTimeForms; ++f)
            add_later(total[f], part.time_forms[which][f]);
    return total;
}

std::size_t count(const Forms& forms, TimeForm form) {
    return forms[static_cast<std::size_t>(form)].count;
}

const char* form_name(TimeForm form) {
    switch (form) {
    case TimeForm::year_first:
        return "year first";
    case TimeForm::dotted:
        return "day.month.year";
    case TimeForm::slashed:
        return "numbers with / or -";
    case TimeForm::named:
        return "month by name";
    case TimeForm::serial:
        return "day numbers of a spreadsheet";
    case TimeForm::clock:
        return "a clock without a date";
    default:
        return "";
    }
}

constexpr TimeForm kDates[] = {TimeForm::year_first, TimeForm::dotted, TimeForm::slashed, TimeForm::named,
                               TimeForm::serial};

std::size_t dates(const Forms& forms) {
    std::size_t sum = 0;
    for (const TimeForm form : kDates)
        sum += count(forms, form);
    return sum;
}

// Dates that are clocks count as clocks from now on.
void count_as_clocks(Forms& forms) {
    for (const TimeForm form : kDates) {
        add_later(forms[static_cast<std::size_t>(TimeForm::clock)], forms[static_cast<std::size_t>(form)]);
        forms[static_cast<std::size_t>(form)] = {};
    }
}

// Dates with a full year first or the month by name are read as they say under any format.
bool form_fits(TimeForm form, DateFormat format) {
    if (form == TimeForm::year_first || form == TimeForm::named)
        return true;
    switch (format) {
    case DateFormat::iso:
        return false;
    case DateFormat::dmy:
        return form == TimeForm::dotted || form == TimeForm::slashed;
    case DateFormat::mdy:
        return form == TimeForm::slashed;
    case DateFormat::ymd:
        return form == TimeForm::dotted || form == TimeForm::slashed;
    default:
        return form == TimeForm::serial;
    }
}

class TimeSettler {
  public:
    TimeSettler(TableData& table, const ExportOptions& options, std::vector<IntakeNote>& notes)
        : table_(table), options_(options), notes_(notes), forms_(forms_of(table, 0)) {}

    void run();

  private:
    void doubt(std::string message, std::string help) {
        notes_.push_back(column_note(table_, *table_.plan.time, "date-doubtful", true, std::move(message),
                                     std::move(help)));
        empty_all();
    }
    void empty_all() {
        for_each_time(table_, [](Part&, std::size_t, std::size_t, Time& time) { time = {}; });
    }
    void settle_all(DateFormat format) {
        for_each_time(table_, [&](Part&, std::size_t, std::size_t, Time& time) {
            const RawTime raw = RawTime::from_bits(time.packed);
            if (raw.open())
                time = settle_time(raw, format);
        });
    }
    void join_clock();
    void tell_other_clocks(const OtherClocks& other);
    bool mixed();
    void settle_given(DateFormat format);
    void cannot_be_read(std::uint32_t position, const EventCount& bad, std::string_view how,
                        std::string help);
    void cannot_be_read(const EventCount& bad, std::string_view how, std::string help) {
        cannot_be_read(*table_.plan.time, bad, how, std::move(help));
    }
    void not_as_given(DateFormat format);
    bool settle_found();
    bool one_clock();

    TableData& table_;
    const ExportOptions& options_;
    std::vector<IntakeNote>& notes_;
    Forms forms_;
    std::size_t which_ = 0; // of the two time columns: the one with the dates
};

void TimeSettler::cannot_be_read(std::uint32_t position, const EventCount& bad, std::string_view how,
                                 std::string help) {
    if (bad.count == 0)
        return;
    IntakeNote note =
        column_note(table_, position, "date-doubtful", true,
                    fmt::format("{} of the times in `{}` cannot be read{}; the first is `{}`", bad.count,
                                table_.plan.table->headings[position], how, bad.example),
                    std::move(help));
    note.line = bad.line;
    notes_.push_back(std::move(note));
}

// A date in one column and a clock in another make one time. Which column is which is told by what most of
// its cells hold.
void TimeSettler::join_clock() {
    if (!table_.plan.clock)
        return;
    Forms other = forms_of(table_, 1);
    if (dates(forms_) > 0 && clocks_of_day_zero(table_, 0))
        count_as_clocks(forms_);
    if (dates(other) > 0 && clocks_of_day_zero(table_, 1))
        count_as_clocks(other);
    const auto clocks = [](const Forms& forms) { return count(forms, TimeForm::clock); };
    const bool first_empty = dates(forms_) + clocks(forms_) == 0;
    const bool clock_first =
        clocks(forms_) > dates(forms_) && dates(other) > 0 && dates(other) >= clocks(other);
    if ((first_empty && dates(other) + clocks(other) > 0) || clock_first) {
        for_each_time(table_, [](Part& part, std::size_t b, std::size_t row, Time& time) {
            const RawTime second = part.clock[b][row];
            part.clock[b][row] = RawTime::from_bits(time.packed);
            time = {second.bits()};
        });
        std::swap(table_.plan.time, table_.plan.clock);
        auto columns = std::make_shared<TableColumns>(*table_.plan.table); // others may share them
        columns->time = table_.plan.time;
        table_.plan.table = std::move(columns);
        std::swap(forms_, other);
        which_ = 1;
    }
    const auto& headings = table_.plan.table->headings;
    const std::uint32_t position = *table_.plan.clock;
    if (dates(other) > 0 && clocks_of_own_day(table_))
        count_as_clocks(other);
    if (dates(other) > 0 && dates(other) >= clocks(other)) {
        notes_.push_back(column_note(
            table_, position, "heading-repeated", false,
            fmt::format("`{}` (column {}) holds dates as `{}` (column {}) does; the first is used",
                        headings[position], position + 1, headings[*table_.plan.time], *table_.plan.time + 1),
            "to use the other, " + leave_out(headings, *table_.plan.time)));
        table_.plan.clock.reset();
        return;
    }
    EventCount no_clock;
    for (std::size_t f = 0; f < kTimeForms; ++f) {
        if (f == static_cast<std::size_t>(TimeForm::missing) ||
            f == static_cast<std::size_t>(TimeForm::clock))
            continue;
        const bool earlier = no_clock.count > 0 && other[f].count > 0 && other[f].line < no_clock.line;
        EventCount first = earlier ? other[f] : no_clock;
        add_later(first, earlier ? no_clock : other[f]);
        no_clock = std::move(first);
    }
    cannot_be_read(position, no_clock, " as a time of day",
                   "correct the export; these readings have no time of day");
    if (clocks(other) == 0)
        table_.plan.clock.reset();
}

bool TimeSettler::mixed() {
    std::vector<TimeForm> seen;
    for (const TimeForm form : kDates)
        if (count(forms_, form) > 0)
            seen.push_back(form);
    if (seen.size() < 2)
        return false;
    const EventCount& a = forms_[static_cast<std::size_t>(seen[0])];
    const EventCount& b = forms_[static_cast<std::size_t>(seen[1])];
    doubt(fmt::format("the dates are written in two ways: {} (`{}`, line {}, {} in all) and {} (`{}`, line "
                      "{}, {} in all)",
                      form_name(seen[0]), a.example, a.line, a.count, form_name(seen[1]), b.example, b.line,
                      b.count),
          "--date-format iso, dmy, mdy, ymd, serial1900 or serial1904 reads those written so, and those with "
          "the year first or the month by name as they say; it leaves the others empty");
    return true;
}

// The user's format is fixed: what is written otherwise is unreadable.
void TimeSettler::settle_given(DateFormat format) {
    settle_all(format);
    EventCount other;
    for (const TimeForm form : kDates) {
        const EventCount& seen = forms_[static_cast<std::size_t>(form)];
        if (seen.count == 0 || form_fits(form, format))
            continue;
        if (other.count == 0)
            other = {0, seen.line, 0, seen.example};
        other.count += seen.count;
    }
    if (other.count > 0) {
        IntakeNote note =
            column_note(table_, *table_.plan.time, "date-doubtful", true,
                        fmt::format("{} dates are not written as --date-format says; the first is `{}`",
                                    other.count, other.example),
                        "correct the export, or give the other format");
        note.line = other.line;
        notes_.push_back(std::move(note));
    }
    not_as_given(format);
}

// Days that the calendar has not when the numbers stand as the user says.
void TimeSettler::not_as_given(DateFormat format) {
    for (const Order& given : kOrders) {
        if (given.format != format)
            continue;
        std::string help;
        for (const Order& other : kOrders)
            if (unfit_dates(table_, which_, other.order).count == 0)
                help += fmt::format("{}--date-format {} ({})", help.empty() ? "" : " or ", other.name,
                                    other.says);
        cannot_be_read(unfit_dates(table_, which_, given.order),
                       fmt::format(" as --date-format {} says ({})", given.name, given.says),
                       help.empty()
                           ? "correct the export; these readings have no time"
                           : help + ", which reads all of them; till then these readings have no time");
    }
}

// Finds the order of the three numbers. False when it is in doubt.
bool TimeSettler::settle_found() {
    const bool dotted = count(forms_, TimeForm::dotted) > 0;
    OrderFound found = find_order(
        table_, which_, forms_[static_cast<std::size_t>(dotted ? TimeForm::dotted : TimeForm::slashed)]);
    if (!found.order) {
        doubt(std::move(found.doubt), std::move(found.help));
        return false;
    }
    settle_all(found.order->format);
    table_.date_format = found.order->name;
    table_.date_proof = std::move(found.proof);
    cannot_be_read(unfit_dates(table_, which_, found.order->order),
                   fmt::format(" {} as the others are", found.order->says),
                   "correct the export; these readings have no time");
    return true;
}

// Times of differing offsets from UTC are put on one clock. False when that cannot be.
bool TimeSettler::one_clock() {
    OffsetsFound found = settle_offsets(table_, which_);
    if (found.line == 0)
        return true;
    const bool possible = found.doubt.empty();
    if (possible)
        notes_.push_back(column_note(table_, *table_.plan.time, "date-doubtful", false, std::move(found.note),
                                     std::move(found.help)));
    else
        doubt(std::move(found.doubt), std::move(found.help));
    notes_.back().line = found.line;
    return possible;
}

void TimeSettler::tell_other_clocks(const OtherClocks& other) {
    if (other.count == 0)
        return;
    const auto& headings = table_.plan.table->headings;
    IntakeNote note = column_note(
        table_, *table_.plan.clock, "date-doubtful", true,
        fmt::format(
            "{} of the times in `{}` {} another time of day than `{}` says: {} and {}; the first is used",
            other.count, headings[*table_.plan.time], other.count == 1 ? "has" : "have",
            headings[*table_.plan.clock], to_text(other.time), to_text(other.clock).substr(11)),
        "correct the export; to use the first alone, " + leave_out(headings, *table_.plan.clock));
    note.line = other.line;
    notes_.push_back(std::move(note));
}

void TimeSettler::run() {
    join_clock();
    if (dates(forms_) == 0) {
        if (count(forms_, TimeForm::clock) > 0) {
            doubt("the column holds clock times without a date", "export the date as well");
            return;
        }
    } else if (options_.date_format) {
        settle_given(*options_.date_format);
        static constexpr const char* kNames[] = {"iso", "dmy", "mdy", "ymd", "serial1900", "serial1904"};
        table_.date_format = kNames[static_cast<std::size_t>(*options_.date_format)];
        table_.date_proof = "given";
    } else if (mixed()) {
        return;
    } else if (count(forms_, TimeForm::serial) > 0) {
        doubt("the dates are day numbers of a spreadsheet, which count from 1900 or from 1904",
              "--date-format serial1900 (most programs) or --date-format serial1904");
        return;
    } else if (count(forms_, TimeForm::slashed) + count(forms_, TimeForm::dotted) > 0) {
        if (!settle_found())
            return;
    } else {
        table_.date_format = count(forms_, TimeForm::year_first) > 0 ? "iso" : "";
        table_.date_proof = count(forms_, TimeForm::named) > 0 ? "months by name" : "the year comes first";
    }
    if (!one_clock())
        return;
    cannot_be_read(forms_[static_cast<std::size_t>(TimeForm::unreadable)], "",
                   "correct the export; these readings have no time");
    if (table_.plan.clock)
        tell_other_clocks(add_clocks(table_));
    cannot_be_read(forms_[static_cast<std::size_t>(TimeForm::clock)], " for want of a date",
                   "export the date as well; these readings have no time");
    if (count(forms_, TimeForm::clock) > 0)
        for_each_time(table_, [](Part&, std::size_t, std::size_t, Time& time) {
            if (!time.missing() && is_clock(time))
                time = {};
        });
}

} // namespace

void settle_times(TableData& table, const ExportOptions& options, std::vector<IntakeNote>& notes) {
    if (table.plan.time)
        TimeSettler(table, options, notes).run();
}

} // namespace thresh::intake
