#include <thresh/stats/summary.hpp>

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <functional>

using namespace thresh::stats;

TEST_CASE("a summary of nothing is empty and of one value has no spread") {
    const Summary none = summarize({});
    CHECK(none.n == 0);
    CHECK_FALSE(none.mean);
    CHECK_FALSE(none.median);
    const std::vector<double> one{34.5};
    const Summary single = summarize(one);
    CHECK(*single.mean == 34.5);
    CHECK(*single.median == 34.5);
    CHECK_FALSE(single.sd);
    CHECK_FALSE(single.se);
}

TEST_CASE("the median in place is the median, of odd and even counts") {
    CHECK_FALSE(median_in_place({}));
    std::vector<double> odd = {5, 1, 4, 2, 3};
    CHECK(*median_in_place(odd) == 3);
    std::vector<double> even = {40, 10, 30, 20};
    CHECK(*median_in_place(even) == 25);
    std::vector<double> many;
    for (int i = 0; i < 1000; ++i)
        many.push_back(i * 617 % 1000);
    CHECK(*median(many) == 499.5);
    CHECK(*median_in_place(many) == 499.5);
}

TEST_CASE("the median of up to eight values is that of the sorted values, in whatever order they come") {
    for (std::size_t count = 1; count <= 8; ++count) {
        std::vector<double> sorted = {-0.5, 1.25, 1.25, 3.1, 7.7, 9.3, 10.2, 11.9};
        sorted.resize(count);
        const double middle =
            count % 2 == 1 ? sorted[count / 2] : 0.5 * (sorted[count / 2 - 1] + sorted[count / 2]);
        std::vector<double> values = sorted;
        std::size_t wrong = 0;
        do
            wrong += *median(values) == middle ? 0U : 1U;
        while (std::next_permutation(values.begin(), values.end()));
        CHECK(wrong == 0);
    }
}

TEST_CASE("the median of many is that of the sorted values, whatever their order, ties and spread") {
    std::uint64_t state = 11;
    const auto next = [&](std::uint64_t below) {
        state = state * 6364136223846793005ULL + 1442695040888963407ULL;
        return (state >> 33) % below;
    };
    std::size_t wrong = 0;
    for (int round = 0; round < 6000; ++round) {
        const std::size_t count = 5 + next(round % 50 == 0 ? 3000 : 90);
        const std::uint64_t different = 1 + next(round % 3 == 0 ? 4 : 100000); // few: many ties
        std::vector<double> values;
        for (std::size_t i = 0; i < count; ++i)
            values.push_back(static_cast<double>(next(different)) / 8 - 3);
        switch (round % 5) {
        case 0: // ascending
            std::sort(values.begin(), values.end());
            break;
        case 1: // descending
            std::sort(values.begin(), values.end(), std::greater<>());
            break;
        case 2: // where the sample that cuts is taken lie the smallest, so that cuts take off little
            for (std::size_t i = 0; i < 8; ++i)
                values[i * (count - 1) / 7] = -1000 - static_cast<double>(next(9));
            break;
        case 3:
            values[next(count)] = HUGE_VAL;
            values[next(count)] = -HUGE_VAL;
            break;
        default:
            break;
        }
        std::vector<double> sorted = values;
        std::sort(sorted.begin(), sorted.end());
        const std::size_t half = count / 2;
        const double middle = count % 2 == 1 ? sorted[half] : 0.5 * (sorted[half - 1] + sorted[half]);
        wrong += *median(values) == middle ? 0U : 1U;
        wrong += *median_in_place(values) == middle ? 0U : 1U;
    }
    CHECK(wrong == 0);
}

namespace {

// As Neumaier (1974) writes it: what is rounded off is found from the larger of the two.
double neumaier_sum(const std::vector<double>& values) {
    double sum = 0, correction = 0;
    for (const double value : values) {
        const double next = sum + value;
        correction += std::fabs(sum) >= std::fabs(value) ? (sum - next) + value : (value - next) + sum;
        sum = next;
    }
    return sum + correction;
}

} // namespace

TEST_CASE("a mean carries the rounding error of its sums, to the last digit") {
    std::uint64_t state = 7;
    const auto next = [&] { return (state = state * 6364136223846793005ULL + 1442695040888963407ULL) >> 33; };
    for (int round = 0; round < 1000; ++round) {
        std::vector<double> values;
        for (std::uint64_t i = 0, n = 1 + next() % 9; i < n; ++i)
            values.push_back(
                std::ldexp(static_cast<double>(next()) - 0x1p30, static_cast<int>(next() % 120) - 80));
        const double n = static_cast<double>(values.size()), first = neumaier_sum(values) / n;
        std::vector<double> residuals;
        double lost = 0; // of values that `first` is small against
        for (const double value : values) {
            const double away = value - first, taken = value - away;
            residuals.push_back(away);
            lost += (value - (away + taken)) + (taken - first);
        }
        CHECK(*mean(values) == first + (neumaier_sum(residuals) + lost) / n);
    }
}

TEST_CASE("a mean is right where large values cancel and leave a small one") {
    const std::vector<double> values{1, 1e100, 1, -1e100};
    CHECK(*mean(values) == 0.5);
    const std::vector<double> behind{1e100, -1e100, 0.1, 0.2};
    CHECK(*mean(behind) == Approx(0.075).epsilon(1e-15));
}

TEST_CASE("the median of an even count is the mean of the middle two") {
    const std::vector<double> values{4, 1, 3, 2};
    CHECK(*median(values) == 2.5);
    CHECK(*quantile(values, 0.0) == 1.0);
    CHECK(*quantile(values, 1.0) == 4.0);
    CHECK(*quantile(values, 0.25) == 1.75);
    for (int count = 2; count <= 40; count += 2) { // few and many are picked in different ways
        std::vector<double> squares;               // 0, 1, 4, ... in another order
        for (int i = 0; i < count; ++i)
            squares.push_back(static_cast<double>((i * 7 + 3) % count * ((i * 7 + 3) % count)));
        std::vector<double> sorted = squares;
        std::sort(sorted.begin(), sorted.end());
        const auto half = static_cast<std::size_t>(count / 2);
        CHECK(*median(squares) == 0.5 * (sorted[half - 1] + sorted[half]));
    }
}

TEST_CASE("a constant set has spread exactly zero") {
    const std::vector<double> values(7, 0.1);
    CHECK(*standard_deviation(values) == 0.0);
    CHECK(*mean(values) == 0.1);
    for (double score : robust_z(values))
        CHECK(score == 0.0);
    CHECK(algorithm_a(values)->sd == 0.0);
}

TEST_CASE("robust z falls back when over half of the values are equal") {
    const std::vector<double> values{5, 5, 5, 5, 9};
    CHECK(robust_z(values, 0.5).back() == Approx(8.0));
    CHECK(robust_z(values).back() == Approx(4.0 / *standard_deviation(values)));
}

TEST_CASE("one wild value hardly moves the robust mean") {
    const std::vector<double> values{34.1, 34.3, 34.2, 34.4, 34.2, 340.0};
    CHECK(algorithm_a(values)->mean < 34.6);
}
