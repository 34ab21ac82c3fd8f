// Units that nobody stated. A column of protein that lies wholly between 0.14 and 0.6 is a fraction, one
// between 140 and 600 is in g/kg: it is questioned, never converted, because only a heading or the rules can
// say so. The bounds are wide plausible ranges of soybean and peanut seed (common practice); the columns that
// share unit and part of with a questioned one are questioned with it, for their own ranges may be too wide
// to tell. A stated unit is believed unless the whole column contradicts it: at least kAgainstStated values,
// every one of them in the other range and none in its own. A single odd value under `Moisture (%)` is a
// matter of the rules, not of the unit.
#include "intake/settle.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace thresh::intake {

namespace {

constexpr std::size_t kAgainstStated = 3;

struct Plausible {
    ConstituentId id;
    double low, high; // percent
};

constexpr Plausible kPlausible[] = {
    {constituent::moisture, 2, 25},  {constituent::protein, 14, 65}, {constituent::oil, 8, 65},
    {constituent::sucrose, 1, 15},   {constituent::ash, 1.5, 9},     {constituent::fiber, 2, 15},
    {constituent::palmitic, 2, 20},  {constituent::oleic, 10, 90},   {constituent::linoleic, 2, 65},
    {constituent::stearic, 1.5, 10},
};

struct Count {
    std::size_t values = 0, plausible = 0, fraction = 0, tenfold = 0, tenth = 0;
};

// Stops early when enough plausible values have been seen to rule a trap out.
Count count_column(const TableData& table, std::size_t column, const Plausible& range) {
    constexpr std::size_t kEnough = 64;
    Count count;
    const std::size_t width = table.plan.numbers.size();
    for (const Part& part : table.parts)
        for (const Block& block : part.blocks)
            for (std::size_t i = column; i < block.cells.size(); i += width) {
                if (!block.cells[i].is_decimal() || block.cells[i].digits() <= 0)
                    continue;
                const double value = to_double(block.cells[i]);
                ++count.values;
                count.plausible += value >= range.low && value <= range.high;
                count.fraction += value * 100 >= range.low && value * 100 <= range.high;
                count.tenfold += value / 10 >= range.low && value / 10 <= range.high;
                count.tenth += value * 10 >= range.low && value * 10 <= range.high;
                if (count.plausible >= kEnough && count.values <= 2 * kEnough)
                    return count;
            }
    return count;
}

// The words for a trap; empty when the column is none.
std::string trap(const TableData& table, std::size_t column) {
    const Column& about = table.plan.table->numbers[column];
    const NumberPlan& number = table.plan.numbers[column];
    for (const Plausible& range : kPlausible) {
        if (range.id != about.constituent ||
            (range.id >= constituent::palmitic && about.part_of != PartOf::oil))
            continue;
        const Count count = count_column(table, column, range);
        const bool stated = !about.unit.empty();
        const auto most = [&](std::size_t some) {
            if (stated)
                return count.values >= kAgainstStated && some == count.values && count.plausible == 0;
            return count.values > 0 && 10 * some >= 9 * count.values && 20 * count.plausible <= count.values;
        };
        if (most(count.fraction))
            return number.shift == 0 ? "fractions, not percent"
                                     : "smaller by a power of ten than the stated unit says";
        if (most(count.tenfold))
            return number.shift == 0 ? "g/kg or mg/g, not percent" : "ten times what the stated unit says";
        if (number.shift != 0 && most(count.tenth))
            return "percent, not the stated unit";
    }
    return {};
}

std::string snippet(const Column& column, const ConstituentTable& constituents) {
    return fmt::format(
        "in the rules file: \"columns\": {{ \"{}\": {{ \"headings\": [\"{}\"], \"unit\": \"%\" }} }} "
        "(or \"g/kg\", \"g/g\")",
        constituents[column.constituent].name, column.heading);
}

void question(TableData& table, std::size_t column, std::string message, std::string help,
              std::vector<IntakeNote>& notes) {
    notes.push_back(column_note(table, table.plan.numbers[column].position, "unit-doubtful", true,
                                std::move(message), std::move(help)));
    make_doubtful(table, column);
}

} // namespace

bool looks_plausible(const TableData& table, std::size_t column) {
    for (const Plausible& range : kPlausible)
        if (range.id == table.plan.table->numbers[column].constituent) {
            const Count count = count_column(table, column, range);
            return count.values > 0 && 10 * count.plausible >= 9 * count.values;
        }
    return false;
}

void settle_units(TableData& table, const ConstituentTable& constituents, std::vector<IntakeNote>& notes) {
    const std::vector<Column>& columns = table.plan.table->numbers;
    std::vector<std::string> traps(columns.size());
    for (std::size_t c = 0; c < columns.size(); ++c)
        if (!table.plan.numbers[c].unit_settled && table.plan.numbers[c].doubt.empty())
            traps[c] = trap(table, c);
    const bool any_trap = std::any_of(traps.begin(), traps.end(), [](const auto& t) { return !t.empty(); });
    for (std::size_t c = 0; c < columns.size(); ++c) {
        const NumberPlan& number = table.plan.numbers[c];
        if (!number.doubt.empty()) {
            question(table, c, number.doubt, number.doubt_help, notes);
            continue;
        }
        if (!traps[c].empty()) {
            question(table, c, fmt::format("the values of `{}` look like {}", columns[c].heading, traps[c]),
                     snippet(columns[c], constituents), notes);
            continue;
        }
        if (!any_trap || number.unit_settled ||
            constituents[columns[c].constituent].group == Group::instrument)
            continue;
        // A neighbour with the same unit was caught, and this column's own values cannot clear it.
        const bool cleared =
            std::any_of(std::begin(kPlausible), std::end(kPlausible), [&](const Plausible& range) {
                if (range.id != columns[c].constituent)
                    return false;
                const Count count = count_column(table, c, range);
                return 2 * count.plausible >= count.values && count.values > 0;
            });
        for (std::size_t other = 0; other < columns.size() && !cleared; ++other)
            if (!traps[other].empty() && columns[other].part_of == columns[c].part_of &&
                columns[other].unit == columns[c].unit) {
                question(table, c,
                         fmt::format("the unit of `{}` is open because `{}` looks like {}",
                                     columns[c].heading, columns[other].heading, traps[other]),
                         snippet(columns[c], constituents), notes);
                break;
            }
    }
}

} // namespace thresh::intake
