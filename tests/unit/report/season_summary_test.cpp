#include <catch2/catch.hpp>
#include <thresh/report/season_summary.hpp>

using namespace thresh;

namespace {

summary::Overview overview() {
    summary::Overview made;
    made.accounting.total.use = 300;
    made.accounting.total.review = 12;
    made.accounting.total.exclude = 20;
    made.accounting.total.superseded = 8;
    made.accounting.total.standard = 5;
    made.lines = 132;
    made.without_number = {"L-003", "L-017\x1b[2J"};
    made.tasks = {{"condition the seed and read again", 14, {"P-1", "P-2"}, "2026-09-01"},
                  {"look", 3, {"P-7", "P-8", "P-9"}, ""}};
    made.assumptions = {{"basis-assumed", "`Protein` does not say its basis", "state it by --assume-basis",
                         "week32.csv:1:4", 3}};
    summary::MoistureHistogram moisture;
    moisture.material = "soybean-whole";
    moisture.low = 5;
    moisture.high = 8;
    moisture.first = 4;
    moisture.step = 1;
    moisture.counts = {2, 100, 200, 30, 8};
    moisture.readings = 340;
    moisture.below = 2;
    moisture.above = 8;
    made.moisture = {moisture};
    return made;
}

} // namespace

TEST_CASE("the summary says what can be trusted, what to do first and what was assumed") {
    CHECK(
        report::season_summary(overview(), 200) ==
        "312 of 340 readings can be used: 300 as they are, 12 to review. Left out: 20 excluded, 8 superseded "
        "by "
        "later readings.\n"
        "Besides: 5 of the standard.\n"
        "No number yet for 2 lines: L-003, L-017\xEF\xBF\xBD[2J.\n"
        "Do first: condition the seed and read again: 14 items, due 2026-09-01 (P-1, P-2 and 12 more)\n"
        "Then: look: 3 items (P-7, P-8, P-9)\n"
        "Assumed [basis-assumed]: `Protein` does not say its basis (week32.csv:1:4 and 2 more); state it by "
        "--assume-basis\n"
        "Moisture of 340 readings of soybean-whole, window 5 to 8 %: 2 below, 8 above\n"
        "   4.00         2  #\n"
        "   5.00 |     100  ##########################\n"
        "   6.00 |     200  ####################################################\n"
        "   7.00 |      30  ########\n"
        "   8.00         8  ###\n");
    CHECK(report::summary_line(overview()) == "312 of 340 readings can be used (12 to review); 2 of 132 "
                                              "lines without a number; 1 assumption to settle");
}

TEST_CASE("a summary without readings or lines still says so") {
    const std::string text = report::season_summary({});
    CHECK(text.find("no reading of seed") != std::string::npos);
    CHECK(text.find("no line") != std::string::npos);
}

TEST_CASE("each trial is told with what was read and what has to be read again") {
    summary::Overview made;
    made.trials = {{"T1", 200, 188, 7}, {"T2", 12, 12, 0}};
    const std::string text = report::season_summary(made, 100);
    CHECK(text.find("T1: 188 of 200 samples read, 7 to read again.\n") != std::string::npos);
    CHECK(text.find("T2: 12 of 12 samples read.\n") != std::string::npos);
}
