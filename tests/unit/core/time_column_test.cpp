#include <catch2/catch.hpp>

#include <thresh/core/time_column.hpp>

using namespace thresh;

namespace {

constexpr std::int64_t kYear = 366 * 86400;
constexpr std::int64_t kNow = 1'785'000'000; // in 2026

Time at(std::int64_t seconds, Time::Precision precision = Time::Precision::second) {
    return Time::of(seconds, precision);
}

} // namespace

TEST_CASE("times of some years take four bytes each and come back with their precision") {
    TimeColumn column;
    column.reserve(5);
    const Time times[] = {{},
                          at(kNow),
                          at(kNow - 16 * kYear, Time::Precision::day),
                          {},
                          at(kNow + 16 * kYear, Time::Precision::minute)};
    for (const Time time : times)
        column.push_back(time);
    CHECK(column.memory() == 5 * 4);
    for (std::size_t row = 0; row < 5; ++row) {
        CHECK(column[row] == times[row]);
        CHECK(column[row].precision() == times[row].precision());
    }
}

TEST_CASE("times farther apart than 32 bits tell are kept in full") {
    for (const std::int64_t far : {kNow + 20 * kYear, kNow - 20 * kYear, std::int64_t{-60'000'000'000}}) {
        TimeColumn column;
        column.push_back(at(kNow));
        column.push_back({});
        column.push_back(at(far));
        column.push_back(at(kNow + 1));
        CHECK(column.size() == 4);
        CHECK(column[0] == at(kNow));
        CHECK(column[1].missing());
        CHECK(column[2] == at(far));
        CHECK(column[3] == at(kNow + 1));
        CHECK(column.memory() >= 4 * sizeof(Time));
    }
}

TEST_CASE("the very ends of what 32 bits tell are times, not a missing one") {
    constexpr std::int64_t kHalf = std::int64_t{1} << 31;
    for (const std::int64_t off : {-kHalf, 1 - kHalf, kHalf - 1, kHalf}) {
        TimeColumn column;
        column.push_back(at(kNow));
        const Time time{at(kNow).packed + off};
        column.push_back(time);
        CHECK(column[0] == at(kNow));
        CHECK(column[1] == time);
    }
}

TEST_CASE("a column of times that were settled later takes as little memory once it is fitted") {
    TimeColumn column;
    for (int row = 0; row < 100; ++row) // as written: day and month open, in the same 64 bits
        column.push_back(Time{std::int64_t{1} << 62 | std::int64_t{row} << 46});
    CHECK(column.memory() >= 100 * sizeof(Time));
    for (std::size_t row = 0; row < 100; ++row)
        column.set(row, row == 50 ? Time{} : at(kNow + static_cast<std::int64_t>(row)));
    column.fit();
    CHECK(column.memory() == 100 * 4);
    CHECK(column[0] == at(kNow));
    CHECK(column[50].missing());
    CHECK(column[99] == at(kNow + 99));
    column.set(99, {});
    CHECK(column[99].missing());
}

TEST_CASE("a fitted column that holds a far time stays as it is") {
    TimeColumn column;
    column.push_back(at(0));
    column.push_back(at(kNow));
    column.fit();
    CHECK(column[0] == at(0));
    CHECK(column[1] == at(kNow));
    CHECK_FALSE(column.empty());
}

TEST_CASE("a view shows the times of the column, near ones, far ones, or none") {
    TimeColumn column;
    CHECK(column.view()[3].missing());
    for (const std::int64_t seconds : {std::int64_t{1785000000}, std::int64_t{-99999999999}}) {
        column.push_back(Time::of(seconds, Time::Precision::second));
        column.push_back(Time{});
        const TimeColumn::View view = column.view();
        for (std::size_t row = 0; row < column.size(); ++row)
            CHECK(view[row] == column[row]);
    }
}
