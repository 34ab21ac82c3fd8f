// Neighbours in a session are found wherever they stand: beside each other, among the rows of another
// instrument, on both sides of a seam between the stretches of rows that rules look at, in two files, in an
// export out of order.
#include "unit/rules/judged.hpp"

#include <algorithm>
#include <set>

using namespace thresh;
using namespace thresh::test;

namespace {

constexpr int kReadings = 9000;
const std::set<int> kStuck = {2, 4096, 4097, 5000, 5001, kReadings - 1};

// Readings of two instruments in turn, one a second. Each that is stuck has the values of its instrument's
// last.
std::string reading(int number) {
    const int values = kStuck.contains(number) ? number - 2 : number;
    return fmt::format("N{},2026-10-05 {:02}:{:02}:{:02},Soybean whole,S{:04},{:.1f},{:.2f},{:.2f}\n",
                       number % 2, 8 + number / 3600, number / 60 % 60, number % 60, number,
                       5.5 + values % 7 * 0.1, 30 + values % 997 * 0.01, 18 + values % 499 * 0.01);
}

Told stuck(const std::vector<std::vector<std::string>>& files) {
    Written written;
    written.rules = R"({"tests": {"stuck_constituents": 3}})";
    written.threads = 2;
    for (const std::vector<std::string>& rows : files) {
        std::string text =
            "Instrument,Date,Analysis,Sample ID,Moisture (%),Protein (% as is),Oil (% as is)\n";
        for (const std::string& row : rows)
            text += row;
        written.exports.emplace_back(fmt::format("{}.csv", written.exports.size()), text);
    }
    Told told = Judged(written).told("stuck-reading");
    std::ranges::sort(told);
    return told;
}

} // namespace

TEST_CASE("values stuck from one reading of an instrument to its next are found wherever the two stand") {
    std::vector<std::string> rows;
    for (int i = 0; i < kReadings; ++i)
        rows.push_back(reading(i));
    Told expected;
    for (const int number : kStuck)
        for (const int one : {number - 2, number})
            expected.push_back(fmt::format("exclude S{:04}", one));
    std::ranges::sort(expected);

    CHECK(stuck({rows}) == expected);
    const auto cut = rows.begin() + 5000; // 4998 and 5000, 4999 and 5001 lie in two files
    CHECK(stuck({{rows.begin(), cut}, {cut, rows.end()}}) == expected);
    CHECK(stuck({{rows.rbegin(), rows.rend()}}) == expected);
    // Exported again, a reading stands between no two others.
    std::vector<std::string> again = {rows.begin(), cut};
    again.push_back(rows[4998]);
    again.insert(again.end(), cut, rows.end());
    CHECK(stuck({again}) == expected);
}
