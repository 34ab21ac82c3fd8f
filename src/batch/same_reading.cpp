// Cells are compared as decimals, exactly: no conversion to binary can make equal numbers differ.
#include "batch/same_reading.hpp"

#include <algorithm>
#include <cmath>
#include <cstring>

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
    for (std::uint32_t i = 0; i < a.numbers.size(); ++i)
        if (const auto j = b.find(a.numbers[i].constituent); j && one_way(a.numbers[i], b.numbers[*j]))
            pairs_.emplace_back(i, static_cast<std::uint32_t>(*j));
}

ReadingComparer::Values ReadingComparer::compare_values(const Block& a, std::size_t row_a, const Block& b,
                                                        std::size_t row_b) {
    pair_columns(*a.table, *b.table);
    Values result;
    for (const auto& [i, j] : pairs_) {
        const Cell x = a.cell(row_a, i), y = b.cell(row_b, j);
        if (!x.is_number() || !y.is_number())
            continue;
        ++result.shared;
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
    return result;
}

Sameness ReadingComparer::compare(RowId first, RowId second) {
    if (batch_.kind[first] != batch_.kind[second])
        return Sameness::different;
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
        return Sameness::different; // a day, or nothing, says too little about a minute
    const std::int64_t unit = coarser == Time::Precision::second   ? 1
                              : coarser == Time::Precision::minute ? 60
                                                                   : 86400;
    if (floor_to(time_a.seconds(), unit) != floor_to(time_b.seconds(), unit))
        return Sameness::different;

    const TextId analysis_a = a.text_of(TextField::analysis, row_a);
    const TextId analysis_b = b.text_of(TextField::analysis, row_b);
    const Match instrument =
        match(a.text_of(TextField::instrument, row_a), b.text_of(TextField::instrument, row_b));
    if (instrument == Match::different || match(analysis_a, analysis_b) == Match::different)
        return Sameness::different;
    const bool blank_id = a.text_of(TextField::sample, row_a) == kNoText;
    const bool both_without = a.text_of(TextField::instrument, row_a) == kNoText &&
                              b.text_of(TextField::instrument, row_b) == kNoText;
    const bool instrument_sure = instrument == Match::equal || (both_without && !blank_id);

    const Values values = compare_values(a, row_a, b, row_b);
    if (coarser == Time::Precision::second && instrument_sure && analysis_a == analysis_b)
        return values.equal ? Sameness::same : Sameness::changed;
    const bool one_table = a.same_table(b);
    if (one_table && second - first != 1)
        return Sameness::different;
    const bool evidence =
        !one_table && coarser >= Time::Precision::minute ? values.shared > 0 : values.decimals >= 4;
    return values.equal && evidence ? Sameness::same : Sameness::different;
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
