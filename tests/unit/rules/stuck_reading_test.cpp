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

TEST_CASE("in an export written newest first a reading still says which one was read before it") {
    const std::string text =
        "Instrument,Date,Material,Sample ID,Moisture (%),Protein (% as is),Oil (% as is)\n"
        "N1,2026-10-05 08:02:00,Soybean whole,B,6.1,37.20,20.30\n"
        "N1,2026-10-05 08:01:00,Soybean whole,A,6.1,37.20,20.30\n";
    const Judged season({{{"a.csv", text}}});
    CHECK(season.told("stuck-reading") == Told{"review B", "review A"});
    CHECK(season.words("stuck-reading") == "all 3 values equal those of `A` (line 3), read before it");
}

TEST_CASE("a reading exported again under another ID is one reading under two IDs, not two that are stuck") {
    const std::string headings =
        "Instrument,Date,Material,Sample ID,Moisture (%),Protein (% as is),Oil (% as is),Fiber (% as is)\n";
    const auto row = [](const char* time, const char* id) {
        return fmt::format("N1,2026-10-05 {},Soybean whole,{},6.1,37.20,20.30,5.1\n", time, id);
    };
    const auto season = [&](const std::string& first, const std::string& second, const char* decisions = "") {
        Written written;
        written.exports = {{"day1.csv", headings + first}, {"day2.csv", headings + second}};
        written.decisions = decisions;
        return Judged(written);
    };
    const Judged renamed = season(row("08:00:01", "A"), row("08:00:01", "B"));
    CHECK(renamed.told("reading-renamed") == Told{"review A", "review B"});
    CHECK(renamed.told("stuck-reading").empty());
    CHECK(renamed.words("reading-renamed") ==
          "the same reading as day2.csv:2, there under `B`: same second, 4 equal values");
    CHECK(renamed.action("reading-renamed") ==
          "if `B` is right, enter `rename` for day1.csv:2 in the decisions file");

    const Judged settled = season(row("08:00:01", "A"), row("08:00:01", "B"),
                                  "source,row,decision,to,reason\nday1.csv,2,rename,B,typing error\n");
    CHECK(settled.told("reading-renamed").empty());
    CHECK(settled.told("reading-repeated").size() == 1);

    // A second later, in one export, or to the minute only, the second may well have the values of the first.
    const Judged later = season(row("08:00:01", "A"), row("08:00:02", "B"));
    CHECK(later.told("stuck-reading") == Told{"review A", "review B"});
    CHECK(later.words("stuck-reading") == "all 4 values equal those of `B` (day2.csv:2), read after it");
    CHECK(season(row("08:00:01", "A") + row("08:00:01", "B"), "").told("stuck-reading").size() == 2);
    CHECK(season(row("08:00", "A"), row("08:00", "B")).told("stuck-reading").size() == 2);
}
