// Cells are compared as decimals, exactly: no conversion to binary can make equal numbers differ.
#include "batch/same_reading.hpp"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <thresh/batch/has_more.hpp>

namespace thresh::batch {

namespace {

constexpr std::int64_t kPowers[] = {1,      10,      100,      1000,      10000,
                                    100000, 1000000, 10000000, 100000000, 1000000000};
constexpr std::size_t kRowsThatProve = 10; // all with :00 by chance: 60^-10

// Whether the number with more decimals can have been shown as the other; ties may have gone either way.
bool rounds_to(Cell a, Cell b) {
    if (a.decimals() < b.decimals())
        std::swap(a, b);
    const std::int64_t scale = kPowers[a.decimals() - b.decimals()];
    const std::int64_t difference = std::abs(a.digits() - b.digits() * scale);
    return scale == 1 ? difference == 0 : 2 * difference <= scale;
}

// Numbers that do not fit a cell: to the decimals of the other, or to the ninth digit.
bool nearly(double a, double b, double unit) {
    return std::fabs(a - b) <= std::fmax(0.5 * unit, 1e-9 * std::fabs(a));
}

double value_of(const Block& block, Cell cell) {
    return cell.is_decimal() ? to_double(cell) : block.side[cell.side()].value;
}

bool one_way(const Column& a, const Column& b) {
    const auto basis = [](const Column& c) {
        return c.basis.kind == Basis::Kind::fixed ? c.basis : Basis::as_is();
    };
    return a.constituent == b.constituent && a.part_of == b.part_of && basis(a) == basis(b);
}

// Whether a cell tells something of its constituent. Below a limit is a result too.
bool shows(Cell cell) {
    return cell.is_number() || cell.state() == CellState::below_limit;
}

// Distances, temperatures and the like are no result by which a reading could be known.
bool measured(const Column& column) {
    return column.part_of != PartOf::none;
}

unsigned shown_decimals(Cell cell) {
    return cell.is_decimal() ? cell.decimals() : 9;
}

// Text fields of two rows: equal, different, or not shown by one of them.
enum class Match : std::uint8_t { equal, open, different };
Match match(TextId a, TextId b) {
    if (a == b)
        return a == kNoText ? Match::open : Match::equal;
    return a == kNoText || b == kNoText ? Match::open : Match::different;
}

std::int64_t floor_to(std::int64_t seconds, std::int64_t unit) {
    const std::int64_t rest = seconds % unit;
    return seconds - (rest < 0 ? rest + unit : rest);
}

} // namespace

bool has_more(const Batch& batch, RowId row, RowId than) {
    const Block& a = batch.block_of(row);
    const Block& b = batch.block_of(than);
    for (std::size_t i = 0; i < a.table->numbers.size(); ++i) {
        if (!shows(a.cell(row - a.first, i)))
            continue;
        const auto j = a.table == b.table ? std::optional(i) : b.table->find(a.table->numbers[i].constituent);
        if (!j || !shows(b.cell(than - b.first, *j)))
            return true;
    }
    return false;
}

std::vector<Time::Precision> shown_precision(const Readings& readings) {
    std::vector<Time::Precision> precision(readings.blocks.size(), Time::Precision::second);
    for (std::size_t begin = 0; begin < readings.blocks.size();) {
        std::size_t end = begin, timed = 0;
        bool seconds = false, hours = false;
        for (; end < readings.blocks.size() && readings.blocks[end].same_table(readings.blocks[begin]);
             ++end) {
            const TimeColumn& times = readings.blocks[end].time;
            for (std::size_t row = 0; row < times.size() && !seconds; ++row) {
                const Time time = times[row];
                timed += time.precision() == Time::Precision::second;
                seconds = seconds || (!time.missing() && time.seconds() % 60 != 0);
                hours = hours || (!time.missing() && time.seconds() % 86400 != 0);
            }
        }
        if (!seconds && timed >= kRowsThatProve)
            std::fill(precision.begin() + static_cast<std::ptrdiff_t>(begin),
                      precision.begin() + static_cast<std::ptrdiff_t>(end),
                      hours ? Time::Precision::minute : Time::Precision::day);
        begin = end;
    }
    return precision;
}

void ReadingComparer::pair_columns(const TableColumns& a, const TableColumns& b) {
    if (table_a_ == &a && table_b_ == &b)
        return;
    table_a_ = &a;
    table_b_ = &b;
    pairs_.clear();
    alone_a_.clear();
    alone_b_.clear();
    for (std::uint32_t i = 0; i < a.numbers.size(); ++i) {
        const Column& column = a.numbers[i];
        if (const auto j = b.find(column.constituent))
            pairs_.push_back({i, static_cast<std::uint32_t>(*j), one_way(column, b.numbers[*j]),
                              measured(column) && measured(b.numbers[*j])});
        else
            alone_a_.push_back({i, measured(column)});
    }
    for (std::uint32_t j = 0; j < b.numbers.size(); ++j)
        if (!a.find(b.numbers[j].constituent))
            alone_b_.push_back({j, measured(b.numbers[j])});
}

ReadingComparer::Values ReadingComparer::compare_values(const Block& a, std::size_t row_a, const Block& b,
                                                        std::size_t row_b) {
    pair_columns(*a.table, *b.table);
    Values result;
    for (const Pair& pair : pairs_) {
        const Cell x = a.cell(row_a, pair.a), y = b.cell(row_b, pair.b);
        if (!pair.one_way || !x.is_number() || !y.is_number()) {
            const bool in_a = shows(x), in_b = shows(y);
            result.common = result.common || (in_a && in_b && pair.measured);
            result.measured_a = result.measured_a || (in_a && pair.measured);
            result.measured_b = result.measured_b || (in_b && pair.measured);
            result.more_a = result.more_a || (in_a && !in_b);
            result.more_b = result.more_b || (in_b && !in_a);
            continue;
        }
        ++result.shared;
        result.common = result.common || pair.measured;
        result.decimals_a += shown_decimals(x);
        result.decimals_b += shown_decimals(y);
        if (x.is_decimal() && y.is_decimal()) {
            result.equal = result.equal && rounds_to(x, y);
            result.decimals += std::min(x.decimals(), y.decimals());
        } else {
            const double unit = x.is_decimal()   ? 1 / kPowersOfTen[x.decimals()]
                                : y.is_decimal() ? 1 / kPowersOfTen[y.decimals()]
                                                 : 0;
            result.equal = result.equal && nearly(value_of(a, x), value_of(b, y), unit);
            result.decimals += x.is_decimal() ? x.decimals() : y.is_decimal() ? y.decimals() : 9;
        }
    }
    for (const Alone& alone : alone_a_)
        if (shows(a.cell(row_a, alone.column))) {
            result.more_a = true;
            result.measured_a = result.measured_a || alone.measured;
        }
    for (const Alone& alone : alone_b_)
        if (shows(b.cell(row_b, alone.column))) {
            result.more_b = true;
            result.measured_b = result.measured_b || alone.measured;
        }
    return result;
}

bool ReadingComparer::have_in_common(RowId first, RowId second) {
    const Block& a = batch_.block_of(first);
    const Block& b = batch_.block_of(second);
    return !compare_values(a, first - a.first, b, second - b.first).complementary();
}

Shown ReadingComparer::shown(RowId row) const {
    const Block& block = batch_.block_of(row);
    Shown shown;
    for (std::size_t column = 0; column < block.table->numbers.size(); ++column) {
        const Cell cell = block.cell(row - block.first, column);
        shown.constituents += shows(cell);
        shown.decimals += cell.is_number() ? shown_decimals(cell) : 0;
    }
    return shown;
}

Comparison ReadingComparer::compare(RowId first, RowId second) {
    if (batch_.kind[first] != batch_.kind[second])
        return {};
    const Block& a = batch_.block_of(first);
    const Block& b = batch_.block_of(second);
    const std::size_t row_a = first - a.first, row_b = second - b.first;
    const Time time_a = a.time_of(row_a), time_b = b.time_of(row_b);
    const auto index = [&](const Block& block) {
        return static_cast<std::size_t>(&block - batch_.readings.blocks.data());
    };
    const auto precision_a = std::min(time_a.precision(), precision_[index(a)]);
    const auto precision_b = std::min(time_b.precision(), precision_[index(b)]);
    const auto coarser = std::min(precision_a, precision_b), finer = std::max(precision_a, precision_b);
    if (coarser < Time::Precision::minute && coarser != finer)
        return {}; // a day, or nothing, says too little about a minute
    const std::int64_t unit = coarser == Time::Precision::second   ? 1
                              : coarser == Time::Precision::minute ? 60
                                                                   : 86400;
    if (floor_to(time_a.seconds(), unit) != floor_to(time_b.seconds(), unit))
        return {};

    const TextId analysis_a = a.text_of(TextField::analysis, row_a);
    const TextId analysis_b = b.text_of(TextField::analysis, row_b);
    const Match instrument =
        match(a.text_of(TextField::instrument, row_a), b.text_of(TextField::instrument, row_b));
    if (instrument == Match::different || match(analysis_a, analysis_b) == Match::different)
        return {};
    const bool blank_id = a.text_of(TextField::sample, row_a) == kNoText;
    const bool both_without = a.text_of(TextField::instrument, row_a) == kNoText &&
                              b.text_of(TextField::instrument, row_b) == kNoText;
    const bool instrument_sure = instrument == Match::equal || (both_without && !blank_id);

    const Values values = compare_values(a, row_a, b, row_b);
    Comparison result;
    if (coarser == Time::Precision::second && instrument_sure && analysis_a == analysis_b) {
        if (values.complementary())
            return {};
        result.sameness = values.equal ? Sameness::same : Sameness::changed;
    } else {
        const bool one_table = a.same_table(b);
        if (one_table && std::max(first, second) - std::min(first, second) != 1)
            return {};
        const bool evidence =
            !one_table && coarser >= Time::Precision::minute ? values.shared > 0 : values.decimals >= 4;
        if (!values.equal || !evidence)
            return {};
        result.sameness = Sameness::same;
    }
    result.first_has_more = values.more_a;
    result.second_has_more = values.more_b;
    const bool one_calibration =
        a.text_of(TextField::calibration, row_a) == b.text_of(TextField::calibration, row_b);
    result.uneven = (values.more_a || values.more_b || values.decimals_a != values.decimals_b) &&
                    (result.sameness == Sameness::same || one_calibration);
    return result;
}

std::uint64_t ReadingComparer::values_hash(RowId row) const {
    const Block& block = batch_.block_of(row);
    std::uint64_t sum = 0;
    for (std::size_t column = 0; column < block.table->numbers.size(); ++column) {
        const Cell cell = block.cell(row - block.first, column);
        if (!cell.is_number())
            continue;
        struct {
            double value;
            std::uint64_t constituent;
        } key{value_of(block, cell), block.table->numbers[column].constituent};
        char bytes[sizeof key];
        std::memcpy(bytes, &key, sizeof key);
        sum += hash_bytes(std::string_view(bytes, sizeof key));
    }
    return sum;
}

} // namespace thresh::batch
