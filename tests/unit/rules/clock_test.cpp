// What times tell about the instruments themselves.
#include "unit/rules/judged.hpp"

using namespace thresh;
using namespace thresh::test;

TEST_CASE("a clock that was set back is told wherever in a long export it was") {
    for (const int at : {20000, 65536}) {
        std::string text = "Instrument,Date,Analysis,Sample ID,Moisture (%),Protein (% as is)\n";
        for (int i = 0; i < 66000; ++i) {
            const int second = 40 * i - (i < at ? 0 : 3600);
            text +=
                fmt::format("Bench {},2026-10-{:02} {:02}:{:02}:{:02},Soybean whole,A-{},6.4,36.1\n", i % 2,
                            1 + second / 86400, second / 3600 % 24, second / 60 % 60, second % 60, i);
        }
        CHECK(Judged({{{"a.csv", text}}}).told("clock-set-back") == Told{"review a.csv", "review a.csv"});
    }
}

TEST_CASE("a clock that was set back is told, an export in another order is not") {
    const auto export_of = [](const std::vector<std::string>& times) {
        std::string text = "Instrument,Date,Analysis,Sample ID,Moisture (%),Protein (% as is)\n";
        int sample = 0;
        for (const std::string& time : times) {
            text += fmt::format("Bench 1,2026-10-25 {},Soybean whole,A-{},6.4,3{}.{}\n", time, sample,
                                sample % 7, sample % 10);
            ++sample;
        }
        return Judged({{{"a.csv", text}}}).told("clock-set-back");
    };
    std::vector<std::string> set_back, sorted_by_id, joined;
    for (int i = 0; i < 40; ++i) {
        set_back.push_back(fmt::format("0{}:{:02}:30",
                                       i < 20   ? 2
                                       : i < 30 ? 2
                                                : 3,
                                       (i < 20   ? i * 3
                                        : i < 30 ? (i - 20) * 6
                                                 : i - 30)));
        sorted_by_id.push_back(fmt::format("0{}:{:02}:00", 1 + i * 7 % 5, i * 13 % 60));
        joined.push_back(fmt::format("0{}:{:02}:00", i < 20 ? 6 : 2, i % 20));
    }
    CHECK(export_of(set_back) == Told{"review a.csv"});
    std::vector<std::string> again_and_again = set_back;
    for (int hour = 4; hour < 8; ++hour)
        for (int i = 0; i < 20; ++i)
            again_and_again.push_back(fmt::format("0{}:{:02}:00", hour, i < 15 ? 4 * i : 4 * i - 30));
    CHECK(export_of(again_and_again).empty());
    std::vector<std::string> one_at_the_end(set_back.begin(), set_back.begin() + 20);
    one_at_the_end.push_back("02:00:30");
    CHECK(export_of(one_at_the_end).empty());
    CHECK(export_of(sorted_by_id).empty());
    CHECK(export_of(joined).empty());
}

TEST_CASE("two instruments under one name are seen by readings that one cannot have made") {
    const auto told = [](int apart) {
        std::vector<std::pair<std::string, std::string>> exports;
        for (int file = 0; file < 2; ++file) {
            std::string text = "Instrument,Date,Analysis,Sample ID,Moisture (%),Protein (% as is)\n";
            for (int i = 0; i < 20; ++i)
                text += fmt::format("Bench 1,2026-10-05 08:{:02}:{:02},Soybean whole,{}-{},6.{},38.{}\n", i,
                                    file * apart, file == 0 ? "A" : "B", i, i % 10, i);
            exports.emplace_back(file == 0 ? "a.csv" : "b.csv", text);
        }
        return Judged({exports}).told("instrument-shared");
    };
    CHECK(told(4) == Told{"review b.csv"});
    CHECK(told(30).empty());
}
