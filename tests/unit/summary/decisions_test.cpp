#include <catch2/catch.hpp>

#include "unit/summary/season_builder.hpp"

#include <thresh/summary/decisions.hpp>
#include <thresh/summary/todo.hpp>

using namespace thresh;
using namespace thresh::summary;
using test::entry;
using test::make_season;

namespace {

test::Row reading(std::string sample, std::string protein) {
    test::Row row;
    row.sample = std::move(sample);
    row.material = "soy";
    row.values = {{"moisture", "13"}, {"protein", std::move(protein)}};
    return row;
}

// Line L-1 is above 36 only by a value under review, L-2 below only by one, L-3 has nothing under review.
std::unique_ptr<test::SeasonHolder> season() {
    auto holder = make_season({reading("A", "35"), reading("B", "39"), reading("C", "37"), reading("D", "33"),
                               reading("E", "38"), reading("F", "38.5"), reading("G", "40")},
                              {entry("A", "L-1"), entry("B", "L-1"), entry("C", "L-2"), entry("D", "L-2"),
                               entry("E", "L-3"), entry("F", "L-3"), entry("G", "L-4")});
    holder->find("above-expected", Severity::review, 1, "protein");
    holder->find("sum-off", Severity::review, 3);
    holder->find("above-expected", Severity::review, 6, "protein");
    return holder;
}

constexpr std::size_t kProtein = 1;

} // namespace

TEST_CASE("a decision says whether values under review carry a line across the cut-off") {
    const auto holder = season();
    const auto means = sample_means(holder->season());
    const auto cut_offs = parse_cut_offs({"protein >= 36"}, *means);
    REQUIRE(cut_offs);
    const auto decisions = Decisions::make(*means, *cut_offs, nullptr);
    REQUIRE(decisions);
    const char* words[] = {"in, out without review", "out, in without review", "in",
                           "in, no number without review"};
    for (std::size_t group = 0; group < 4; ++group)
        CHECK(decision_words(decisions->decide(group, kProtein)) == words[group]);
    CHECK(decisions->decide(0, kProtein).value == Approx(37));
    CHECK(decisions->decide(0, kProtein).certain == Approx(35));
    CHECK(decisions->about(constituent::protein));
    CHECK_FALSE(decisions->about(constituent::moisture));
}

TEST_CASE("items of the to-do list that decide something say what and come first among their kind") {
    const auto holder = season();
    holder->find("sum-off", Severity::review, 4); // in either way
    const auto means = sample_means(holder->season());
    const auto decisions = Decisions::make(*means, *parse_cut_offs({"protein >= 36"}, *means), nullptr);
    REQUIRE(decisions);
    const auto items = todo_items(holder->season(), &*decisions);
    REQUIRE(items.size() == 4);
    CHECK(items[0].decides == "protein >= 36: 37.00 with (in), 35.00 without (out)");
    CHECK(items[1].decides == "protein >= 36: 35.00 with (out), 37.00 without (in)");
    CHECK(items[2].decides == "protein >= 36: 40.00 with (in), no number without (-)");
    CHECK(items[3].decides.empty());
    CHECK(holder->batch.samples[items[3].sample].id == "E");
}

TEST_CASE("an item about a session or a run of readings names the lines that it decides") {
    const std::string morning = "2026-10-12T08:30:00", evening = "2026-10-12T20:30:00";
    std::vector<test::Row> rows = {reading("A", "38"), reading("B", "37"),   reading("C", "40"),
                                   reading("D", "35"), reading("E", "35.5"), reading("F", "37")};
    for (std::size_t i = 0; i < rows.size(); ++i) {
        rows[i].instrument = "NIR";
        rows[i].time = i < 3 ? morning : evening;
    }
    const auto holder = make_season(rows, {entry("A", "L-1"), entry("B", "L-2"), entry("C", "L-3"),
                                           entry("D", "L-1"), entry("E", "L-2"), entry("F", "L-3")});
    REQUIRE(holder->batch.sessions.size() == 2);
    const auto decided = [&](const std::string& code) {
        holder->index();
        const auto means = sample_means(holder->season());
        const auto decisions = Decisions::make(*means, *parse_cut_offs({"protein >= 36"}, *means), nullptr);
        const auto items = todo_items(holder->season(), &*decisions);
        for (const TodoItem& item : items)
            for (const std::uint32_t finding : item.findings)
                if (holder->judgement.findings[finding].code == rules::code_index(code))
                    return std::string(item.decides);
        return std::string("no such item");
    };
    Finding finding;
    finding.about = About::session;
    finding.severity = Severity::review;
    finding.subject = holder->batch.session[0];
    finding.row = 0;
    SECTION("about whole readings") {
        finding.code = rules::code_index("standard-absent").value();
        holder->judgement.findings = {finding};
        for (const RowId row : {0U, 1U, 2U})
            holder->judgement.verdict[row] = Verdict::review;
        // L-3 is in either way.
        CHECK(decided("standard-absent") == "L-1: protein >= 36: 36.50 with (in), 35.00 without (out); "
                                            "L-2: protein >= 36: 36.25 with (in), 35.50 without (out)");
    }
    SECTION("about one constituent, on a part of its readings") {
        finding.code = rules::code_index("session-offset").value();
        finding.constituent = constituent::protein;
        holder->judgement.findings = {finding};
        holder->judgement.session_marks = {{{1, constituent::protein, Mark::review}, 0, finding.code}};
        holder->judgement.marks = {{1, constituent::protein, Mark::review}};
        CHECK(decided("session-offset") == "L-2: protein >= 36: 36.25 with (in), 35.50 without (out)");
    }
    SECTION("about a run under its neighbours' names") {
        finding.code = rules::code_index("queue-shifted").value();
        finding.about = About::reading;
        finding.detail = 0;
        for (const RowId row : {0U, 2U}) {
            finding.row = row;
            holder->judgement.findings.push_back(finding);
            holder->judgement.verdict[row] = Verdict::review;
        }
        CHECK(decided("queue-shifted") == "L-1: protein >= 36: 36.50 with (in), 35.00 without (out)");
    }
}

TEST_CASE("a mean beside the cut-off is shown with the decimals that tell on which side it is") {
    const auto holder =
        make_season({reading("A", "35.9962"), reading("B", "39")}, {entry("A", "L-1"), entry("B", "L-1")});
    holder->find("above-expected", Severity::review, 1, "protein");
    const auto means = sample_means(holder->season());
    const auto decisions = Decisions::make(*means, *parse_cut_offs({"protein >= 36"}, *means), nullptr);
    const auto items = todo_items(holder->season(), &*decisions);
    REQUIRE_FALSE(items.empty());
    CHECK(items[0].decides == "protein >= 36: 37.498 with (in), 35.996 without (out)");
}

TEST_CASE("cut-offs are read strictly and hold at their own value as they say") {
    const auto holder = season();
    const auto means = sample_means(holder->season());
    const std::pair<const char*, bool> at_36[] = {
        {"protein > 36", false}, {"protein>=36", true}, {"protein < 36", false}, {" protein <= 36.0 ", true}};
    for (const auto& [text, holds] : at_36) {
        const auto made = parse_cut_offs({text}, *means);
        REQUIRE(made);
        CHECK((*made)[0].fulfilled(36) == holds);
    }
    for (const char* wrong : {"protein", "protien > 36", "protein > x", "protein > 36 %"})
        CHECK_FALSE(parse_cut_offs({wrong}, *means));
    CHECK_FALSE(parse_cut_offs({"protein > 36", "protein < 40"}, *means));
}
