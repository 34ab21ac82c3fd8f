// What a sample should read, from the others of its line and its environment.
#include "rules/queues.hpp"
#include "unit/rules/judged.hpp"

using namespace thresh;
using namespace thresh::test;
namespace c = thresh::constituent;

namespace {

rules::Queues queues_with(const Judged& season) {
    const rules::Evidence evidence{season.batch(), season.ruleset(), season.judgement()};
    auto found = rules::queues_of(evidence);
    const auto filled =
        std::find_if(found.begin(), found.end(), [](const rules::Queues& q) { return !q.stays.empty(); });
    REQUIRE(filled != found.end());
    filled->read(evidence, {c::protein});
    return std::move(*filled);
}

std::string rows(const std::vector<std::pair<std::string, double>>& readings) {
    std::string text = "Date,Analysis,Sample ID,Moisture (%),Protein (% dry)\n";
    for (std::size_t i = 0; i < readings.size(); ++i)
        text += fmt::format("2026-10-05 08:{:02},Soybean whole,{},6.5,{}\n", i, readings[i].first,
                            readings[i].second);
    return text;
}

} // namespace

TEST_CASE("a sample is predicted by the median of its line's other samples, its own repeats left out") {
    const Judged season({{{"a.csv", rows({{"A1", 40}, {"A1", 40.4}, {"A2", 41}, {"A3", 45}, {"A4", 42}})}},
                         "{}",
                         "sample,line\nA1,L\nA2,L\nA3,L\nA4,L\n"});
    const rules::Queues queues = queues_with(season);
    REQUIRE(queues.stays.size() == 4); // two readings in a row are one stay
    CHECK(queues.observed(0)[0] == Approx(40.2));
    CHECK(queues.predicted(queues.stays[0].sample)[0] == Approx(42)); // of 41, 45, 42
    CHECK(queues.predicted(queues.stays[1].sample)[0] == Approx(42)); // of 40.2, 45, 42
    CHECK(queues.predicted(queues.stays[2].sample)[0] == Approx(41)); // of 40.2, 41, 42
    CHECK(queues.predicted(queues.stays[3].sample)[0] == Approx(41)); // of 40.2, 41, 45
}

TEST_CASE("the same sample later in the queue says nothing about itself, and one other says too little") {
    const Judged season(
        {{{"a.csv", rows({{"A1", 40}, {"A2", 41}, {"A1", 49}, {"A3", 43}, {"B1", 38}, {"B2", 36}})}},
         "{}",
         "sample,line\nA1,L\nA2,L\nA3,L\nB1,M\nB2,M\n"});
    const rules::Queues queues = queues_with(season);
    REQUIRE(queues.stays.size() == 6);
    CHECK(queues.predicted(queues.stays[0].sample)[0] == Approx(42)); // of 41, 43
    CHECK(queues.predicted(queues.stays[2].sample)[0] == Approx(42));
    CHECK(queues.predicted(queues.stays[4].sample).empty());
    CHECK(queues.predicted(queues.stays[5].sample).empty());
}

TEST_CASE("a line's samples in other environments predict with the environments' difference taken off") {
    // A, B and C: 3 more in S than in N, but for A1, which is 1 too low; D stands in S alone.
    const Judged season({{{"a.csv", rows({{"A1", 39},
                                          {"B1", 44},
                                          {"C1", 38},
                                          {"A2", 43},
                                          {"B2", 47},
                                          {"C2", 41},
                                          {"A3", 40},
                                          {"B3", 44},
                                          {"C3", 38},
                                          {"A4", 43},
                                          {"B4", 47},
                                          {"C4", 41},
                                          {"D1", 45},
                                          {"D2", 46},
                                          {"D3", 48}})}},
                         "{}",
                         "sample,line,environment\nA1,A,N\nA2,A,S\nA3,A,N\nA4,A,S\nB1,B,N\nB2,B,S\nB3,B,N\n"
                         "B4,B,S\nC1,C,N\nC2,C,S\nC3,C,N\nC4,C,S\nD1,D,S\nD2,D,S\nD3,D,S\n"});
    const rules::Queues queues = queues_with(season);
    REQUIRE(queues.stays.size() == 15);
    CHECK(queues.predicted(queues.stays[0].sample)[0] == Approx(40));
    for (std::size_t stay = 1; stay < 12; ++stay)
        CHECK(queues.predicted(queues.stays[stay].sample)[0] == Approx(queues.observed(stay)[0]));
    CHECK(queues.predicted(queues.stays[12].sample)[0] == Approx(47)); // of 46, 48
    CHECK(queues.predicted(queues.stays[13].sample)[0] == Approx(46.5));
    CHECK(queues.predicted(queues.stays[14].sample)[0] == Approx(45.5));
}

TEST_CASE("the same site in two years is two environments for the queue") {
    const auto predicted = [](const std::string& first, const std::string& second) {
        std::string list = "sample,line,environment,year\n";
        for (const char* line : {"A", "B", "C"})
            for (const char* plot : {"1", "2", "3", "4"})
                list += fmt::format("{}{},{},{}\n", line, plot, line, *plot < '3' ? first : second);
        const Judged season({{{"a.csv", rows({{"A1", 39},
                                              {"A2", 40},
                                              {"A3", 43},
                                              {"A4", 43},
                                              {"B1", 44},
                                              {"B2", 44},
                                              {"B3", 47},
                                              {"B4", 47},
                                              {"C1", 38},
                                              {"C2", 38},
                                              {"C3", 41},
                                              {"C4", 41}})}},
                             "{}",
                             list});
        return queues_with(season).predicted(0)[0];
    };
    CHECK(predicted("N,2025", "S,2025") == Approx(40));
    CHECK(predicted("N,2025", "N,2026") == Approx(40));
}
