// Squared distances to the nearest picked sample are kept and lowered after each pick, so that each pick
// costs one pass. The method picks outliers first by design: faults must be screened out before.
#include <thresh/stats/selection.hpp>
#include <thresh/stats/summary.hpp>

#include <algorithm>
#include <cmath>

namespace thresh::stats {
namespace {

constexpr double unpicked = HUGE_VAL;

double squared_distance(const Table& table, std::size_t a, std::size_t b) {
    double sum = 0.0;
    for (std::size_t column = 0; column < table.columns; ++column) {
        const double difference = table.at(a, column) - table.at(b, column);
        sum += difference * difference;
    }
    return sum;
}

class Picker {
  public:
    explicit Picker(const Table& table)
        : table_(table), taken_(table.rows, false), nearest_(table.rows, 0), distance_(table.rows, unpicked) {
    }

    void take(std::size_t row) {
        taken_[row] = true;
        for (std::size_t other = 0; other < table_.rows; ++other) {
            const double distance = squared_distance(table_, row, other);
            if (distance < distance_[other]) {
                distance_[other] = distance;
                nearest_[other] = row;
            }
        }
    }

    // The row farthest from all taken ones; table.rows when none is left.
    std::size_t farthest() const {
        std::size_t best = table_.rows;
        for (std::size_t row = 0; row < table_.rows; ++row)
            if (!taken_[row] && (best == table_.rows || distance_[row] > distance_[best]))
                best = row;
        return best;
    }

    bool taken(std::size_t row) const { return taken_[row]; }
    Pick describe(std::size_t row) const { return {row, std::sqrt(distance_[row]), nearest_[row]}; }

  private:
    const Table& table_;
    std::vector<bool> taken_;
    std::vector<std::size_t> nearest_;
    std::vector<double> distance_; // squared, to the nearest taken row
};

std::pair<std::size_t, std::size_t> farthest_pair(const Table& table) {
    std::pair<std::size_t, std::size_t> best{0, 1};
    double largest = -1.0;
    for (std::size_t a = 0; a < table.rows; ++a)
        for (std::size_t b = a + 1; b < table.rows; ++b) {
            const double distance = squared_distance(table, a, b);
            if (distance > largest) {
                largest = distance;
                best = {a, b};
            }
        }
    return best;
}

} // namespace

Table standardized(const Table& table) {
    Table result = table;
    std::vector<double> column(table.rows);
    for (std::size_t c = 0; c < table.columns; ++c) {
        for (std::size_t r = 0; r < table.rows; ++r)
            column[r] = table.at(r, c);
        const double centre = mean(column).value_or(0.0);
        const double spread = standard_deviation(column).value_or(0.0);
        for (std::size_t r = 0; r < table.rows; ++r)
            result.values[r * table.columns + c] = spread > 0.0 ? (column[r] - centre) / spread : 0.0;
    }
    return result;
}

Result<std::vector<Pick>> kennard_stone(const Table& table, std::size_t count,
                                        std::span<const std::size_t> forced) {
    if (!std::all_of(table.values.begin(), table.values.end(), [](double v) { return std::isfinite(v); }))
        return fail("a value to select by is missing",
                    "leave out samples or constituents with missing values");
    Picker picker(table);
    for (std::size_t row : forced) {
        if (row >= table.rows)
            return fail("a forced sample is not among the samples", "check the list of forced samples");
        picker.take(row);
    }
    std::vector<Pick> picks;
    if (forced.empty() && count > 0 && table.rows == 1)
        picks.push_back({0, 0.0, 0});
    if (forced.empty() && table.rows >= 2 && count > 0) {
        const auto [first, second] = farthest_pair(table);
        const double apart = std::sqrt(squared_distance(table, first, second));
        picks.push_back({first, apart, second});
        picker.take(first);
        if (count > 1) {
            picks.push_back({second, apart, first});
            picker.take(second);
        }
    }
    while (picks.size() < count && table.rows >= 2) {
        const std::size_t row = picker.farthest();
        if (row == table.rows)
            break;
        picks.push_back(picker.describe(row));
        picker.take(row);
    }
    return picks;
}

} // namespace thresh::stats
