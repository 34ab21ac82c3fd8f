#include <catch2/catch.hpp>

#include "unit/summary/season_builder.hpp"

#include <thresh/rules/conditioning.hpp>
#include <thresh/summary/season_page.hpp>

#include <cmath>
#include <numeric>

using namespace thresh;
using namespace thresh::summary;
using test::entry;
using test::make_season;

namespace {

test::Row reading(std::string sample, std::string protein, std::string time = {},
                  std::string instrument = "NIR-1") {
    test::Row row;
    row.sample = std::move(sample);
    row.material = "soy";
    row.time = std::move(time);
    row.instrument = std::move(instrument);
    row.values = {{"moisture", "6.0"}, {"protein@13", std::move(protein)}, {"oil@13", "20"}};
    return row;
}

SeasonPage page_of(const test::SeasonHolder& holder) {
    const auto means = sample_means(holder.season());
    return season_page(holder.season(), *means, nullptr);
}

// Protein is what soy is ranked and judged by.
void make_key(test::SeasonHolder& holder) {
    for (rules::Material& material : holder.rules.materials) {
        material.key = {constituent::moisture, constituent::protein};
        material.window.low = 5;
        material.window.high = 8;
    }
}

const page::Line& line_named(const SeasonPage& page, const std::string& name) {
    for (const page::LineGroup& group : page.groups)
        for (const page::Line& line : group.lines)
            if (line.name == name)
                return line;
    FAIL("no line " << name);
    return page.groups.front().lines.front();
}

} // namespace

TEST_CASE("lines are ranked by the key constituent, provisional ones and those without a number last") {
    const auto holder =
        make_season({reading("A", "35"), reading("B", "37"), reading("C", "36"), reading("D", "40")},
                    {entry("A", "L-A"), entry("B", "L-B"), entry("C", "L-C"), entry("D", "L-D"),
                     entry("E", "L-E", {}, "soy")});
    make_key(*holder);
    holder->find("moisture-high", Severity::exclude, 3);
    const SeasonPage page = page_of(*holder);
    REQUIRE(page.groups.size() == 1);
    std::vector<std::string> names;
    for (const page::Line& line : page.groups[0].lines)
        names.push_back(line.name);
    CHECK(names == std::vector<std::string>{"L-B", "L-C", "L-A", "L-D", "L-E"});
    CHECK(page.groups[0].columns[page.groups[0].ranked_by].name == "protein");
    CHECK(line_named(page, "L-B").rank == 1);
    CHECK(line_named(page, "L-A").rank == 3);
    CHECK(line_named(page, "L-D").rank == 0);
    CHECK(line_named(page, "L-D").provisional);
    CHECK(line_named(page, "L-D").cells[page.groups[0].ranked_by].shown == Shown::provisional);
    CHECK(line_named(page, "L-D").cells[page.groups[0].ranked_by].mean == 40.0);
}

TEST_CASE("equal means share the better rank") {
    const auto holder = make_season({reading("A", "35"), reading("B", "35"), reading("C", "34")},
                                    {entry("A", "L-A"), entry("B", "L-B"), entry("C", "L-C")});
    make_key(*holder);
    const SeasonPage page = page_of(*holder);
    CHECK(line_named(page, "L-A").rank == 1);
    CHECK(line_named(page, "L-B").rank == 1);
    CHECK(line_named(page, "L-C").rank == 3);
}

TEST_CASE("a line without a number says which packets are unread and what took the others") {
    const auto holder =
        make_season({reading("A", "35"), reading("B", "36")},
                    {entry("A", "L-1"), entry("B", "L-2"), entry("C", "L-2"), entry("D", "L-3")});
    holder->find("moisture-high", Severity::exclude, 1);
    const SeasonPage page = page_of(*holder);
    REQUIRE(page.missing.size() == 2);
    std::map<std::string, std::string> why;
    for (const page::MissingLine& line : page.missing)
        why[line.line] = line.why;
    CHECK(why.at("L-2") == "not read: C; the seed was too wet when it was read [moisture-high] (B)");
    CHECK(why.at("L-3") == "not read: D");
    CHECK(page.answers[2].answer.starts_with("2 of 3 lines."));
    CHECK(page.answers[2].state == page::State::look);
}

TEST_CASE("a moved mean shows what it would be without values to review and with all that was left out") {
    // Two plots: A twice 35, and 39 left out; B 36, and 40 to review.
    const auto holder = make_season(
        {reading("A", "35"), reading("A", "35"), reading("A", "39"), reading("B", "36"), reading("B", "40")},
        {entry("A", "L-1", "1"), entry("B", "L-1", "2")});
    make_key(*holder);
    holder->find("moisture-high", Severity::exclude, 2);
    holder->find("moisture-low", Severity::review, 4);
    const SeasonPage page = page_of(*holder);
    REQUIRE(page.changes.size() == 1);
    const page::ChangedMean& change = page.changes[0];
    CHECK(change.quantity.name == "protein");
    CHECK(change.now.value() == Approx((35.0 + 38.0) / 2));
    CHECK(change.certain.value() == Approx((35.0 + 36.0) / 2));
    CHECK(change.all.value() == Approx(((35.0 + 35.0 + 39.0) / 3 + 38.0) / 2));
    CHECK(change.moved == Approx(1.0));
    CHECK(change.why.find("[moisture-low] (B)") != std::string::npos);
    CHECK(change.why.find("[moisture-high] (A)") != std::string::npos);
    CHECK(page.answers[4].answer.find("protein of L-1, by 1.00 %") != std::string::npos);
}

TEST_CASE("a mean that rests on values to review alone is told, and one that nothing moves is not") {
    const auto holder = make_season({reading("A", "35"), reading("B", "36"), reading("B", "36")},
                                    {entry("A", "L-1"), entry("B", "L-2")});
    make_key(*holder);
    holder->find("moisture-low", Severity::review, 0);
    holder->find("moisture-low", Severity::review, 1);
    const SeasonPage page = page_of(*holder);
    REQUIRE(page.changes.size() == 1);
    CHECK(page.changes[0].line == "L-1");
    CHECK_FALSE(page.changes[0].certain.has_value());
    CHECK(page.answers[4].answer.find("rests on values to be reviewed alone") != std::string::npos);
}

TEST_CASE("packets stand box by box as people count boxes") {
    std::vector<batch::ListEntry> entries;
    std::vector<test::Row> rows;
    for (const auto& [sample, box] :
         {std::pair("P-10", "box 10"), std::pair("P-9", "box 2"), std::pair("P-8", ""),
          std::pair("P-2", "box 2"), std::pair("P-11", "box 2")}) {
        entries.push_back(entry(sample, "L-1"));
        entries.back().location = box;
        rows.push_back(reading(sample, "35"));
    }
    const auto holder = make_season(rows, entries);
    make_key(*holder);
    for (RowId row = 0; row < 5; ++row)
        holder->find("moisture-low", Severity::review, row);
    const SeasonPage page = page_of(*holder);
    REQUIRE(page.tasks.size() == 1);
    std::vector<std::string> packets;
    for (const page::TaskItem& item : page.tasks[0].packets)
        packets.push_back(item.sample);
    CHECK(packets == std::vector<std::string>{"P-2", "P-9", "P-11", "P-10", "P-8"});
}

TEST_CASE("what is due first is told even where another kind of work stands before it") {
    auto entries = std::vector{entry("A", "L-1"), entry("B", "L-2"), entry("C", "L-3")};
    entries[1].due = "2026-09-03";
    entries[2].due = "2026-09-01";
    const auto holder = make_season({reading("A", "35"), reading("B", "35"), reading("C", "35")}, entries);
    make_key(*holder);
    holder->find("moisture-low", Severity::review, 0);
    holder->find("moisture-absent", Severity::exclude, 1, "protein");
    holder->find("moisture-absent", Severity::exclude, 2, "protein");
    const SeasonPage page = page_of(*holder);
    REQUIRE(page.tasks.size() == 2);
    CHECK(page.answers[1].answer.ends_with("(A). Then 2 items of 1 other kind, the first due 2026-09-01."));
}

TEST_CASE("a wet packet is told the grams at which to stop") {
    auto wet = reading("A", "35");
    wet.values[0].second = "9.4";
    auto listed = entry("A", "L-1");
    listed.mass_g = 500;
    const auto holder = make_season({wet}, {listed});
    for (rules::Material& material : holder->rules.materials) {
        material.window.low = 5;
        material.window.high = 8;
    }
    holder->find("moisture-high", Severity::exclude, 0);
    const auto how = rules::conditioning(holder->judgement.findings[0], holder->batch, holder->rules);
    REQUIRE(how.has_value());
    // 500 g from 9.4 to 6.5 %: 15.508021 g of water go (mass balance, computed by hand).
    CHECK(how->target == 6.5);
    CHECK(how->stop_at_g.value() == Approx(500 - 15.508021).epsilon(1e-8));
    const SeasonPage page = page_of(*holder);
    REQUIRE(page.tasks.size() == 1);
    CHECK(page.tasks[0].packets[0].stop_at_g.value() == Approx(484.491979).epsilon(1e-8));
    CHECK(page.tasks[0].packets[0].mass_g.value() == 500);
}

TEST_CASE("sessions stand latest first, and the last of each instrument answers for it") {
    const auto holder =
        make_season({reading("A", "35", "2026-08-03T07:41"), reading("B", "35", "2026-08-04T07:41"),
                     reading("C", "35", "2026-08-03T09:00", "NIR-2")});
    holder->find("moisture-high", Severity::exclude, 1);
    const SeasonPage page = page_of(*holder);
    REQUIRE(page.sessions.size() == 3);
    CHECK(to_text(page.sessions[0].start) == "2026-08-04T07:41");
    CHECK(page.sessions[0].last_of_instrument);
    CHECK(page.sessions[0].exclude == 1);
    CHECK(page.sessions[0].state == page::State::bad); // nothing of it can be used
    CHECK(page.sessions[1].instrument == "NIR-2");
    CHECK(page.sessions[1].last_of_instrument);
    CHECK_FALSE(page.sessions[2].last_of_instrument);
    CHECK(page.answers[0].state == page::State::bad);
    CHECK(page.answers[0].answer.find("NIR-1, 2026-08-04 07:41: 0 of 1 reading can be used") == 0);
}

TEST_CASE("a distribution counts every usable value once and puts the expected range on its basis") {
    std::vector<test::Row> rows;
    for (int i = 0; i < 200; ++i)
        rows.push_back(reading("S" + std::to_string(i), fmt::format("{:.2f}", 34 + 0.01 * i)));
    rows.push_back(reading("far", "95"));
    rows.push_back(reading("out", "35"));
    const auto holder = make_season(rows);
    for (rules::Material& material : holder->rules.materials) {
        rules::Range range;
        range.low = 40;
        range.high = 46;
        range.basis = Basis::dry();
        material.expected[constituent::protein] = {range};
    }
    holder->find("moisture-high", Severity::exclude, 201);
    const SeasonPage page = page_of(*holder);
    const page::Distribution* protein = nullptr;
    for (const page::Distribution& one : page.distributions)
        if (one.quantity.name == "protein")
            protein = &one;
    REQUIRE(protein != nullptr);
    CHECK(protein->readings == 201);
    CHECK(std::accumulate(protein->counts.begin(), protein->counts.end(), std::size_t{0}) == 201);
    CHECK(protein->above_bins == 1); // 95 does not stretch the others into one bar
    CHECK(protein->below_bins == 0);
    CHECK(protein->counts.size() > 5);
    CHECK(protein->low.value() == Approx(40 * 0.87));
    CHECK(protein->high.value() == Approx(46 * 0.87));
    CHECK(protein->below == 80); // 34.00 to 34.79 are below 40 % of dry matter, 34.80 is not
    CHECK(protein->above == 1);
    CHECK(protein->first <= 34.0);
    // 34.00 to 34.09 and so on: bins begin on round numbers and hold what they say.
    const double steps = (34.0 - protein->first) / protein->step;
    CHECK(steps == Approx(std::round(steps)).margin(1e-6));
    CHECK(protein->counts[static_cast<std::size_t>(std::lround(steps))] ==
          static_cast<std::size_t>(std::lround(protein->step / 0.01)));
}

TEST_CASE("a session in which neither standard nor control was read is not called good") {
    const auto holder =
        make_season({reading("A", "35", "2026-08-03T07:41"), reading("B", "35", "2026-08-03T07:42"),
                     reading("C", "35", "2026-08-03T07:43", "NIR-2")});
    const SeasonPage unchecked = page_of(*holder);
    REQUIRE(unchecked.sessions.size() == 2);
    for (const page::Session& session : unchecked.sessions)
        CHECK(session.state == page::State::unknown);
    CHECK(unchecked.answers[0].state == page::State::unknown);
    CHECK(unchecked.answers[0].answer.find("neither a wavelength standard nor a control was read") !=
          std::string::npos);
    holder->batch.kind[0] = Kind::control;
    const SeasonPage half = page_of(*holder); // NIR-1 is checked, NIR-2 is not
    for (const page::Session& session : half.sessions)
        CHECK(session.state == (session.instrument == "NIR-1" ? page::State::good : page::State::unknown));
    CHECK(half.answers[0].state == page::State::unknown);
}

TEST_CASE("without standard and control the answer rests on samples read again, and says so") {
    std::vector<test::Row> rows;
    for (const char* day : {"2026-08-03", "2026-08-04"})
        for (int i = 0; i < 6; ++i)
            rows.push_back(
                reading("S" + std::to_string(i),
                        fmt::format("{:.2f}", 34 + i + (day[9] == '4' ? (i % 2 == 0 ? 0.05 : -0.05) : 0.0)),
                        fmt::format("{}T08:0{}", day, i)));
    const auto holder = make_season(rows);
    make_key(*holder);
    const SeasonPage page = page_of(*holder);
    REQUIRE_FALSE(page.estimates.empty());
    CHECK(page.charts.empty());
    CHECK(page.answers[3].answer ==
          "Neither a standard nor a control with limits is in these exports. Samples read "
          "more than once show no drift.");
    CHECK(page.answers[3].state == page::State::look);
}

TEST_CASE("a constituent of which no value can be used is told although its readings count") {
    const auto holder = make_season({reading("A", "36.1"), reading("B", "36.2")});
    make_key(*holder);
    holder->find("moisture-absent", Severity::exclude, 0, "protein");
    CHECK(page_of(*holder).overview.without_value.empty()); // B has one
    holder->find("moisture-absent", Severity::exclude, 1, "protein");
    const SeasonPage page = page_of(*holder);
    CHECK(page.overview.without_value == std::vector<std::string>{"Protein"});
    CHECK(page.answers[0].answer.find("No reading has a usable value of Protein.") != std::string::npos);
    CHECK(page.answers[0].state == page::State::look);
}

TEST_CASE("a season without any reading still answers") {
    const auto holder = make_season({});
    make_key(*holder);
    const SeasonPage page = page_of(*holder);
    REQUIRE(page.answers.size() == 5);
    CHECK(page.answers[0].answer == "There is no reading of seed in these exports.");
    CHECK(page.answers[2].state == page::State::unknown);
    CHECK(page.answers[3].state == page::State::unknown);
    CHECK(page.distributions.empty());
}

TEST_CASE("repeats in one session do not say whether the instrument is steady, and are not denied") {
    const auto holder =
        make_season({reading("A", "36.1", "2026-08-03T08:00"), reading("A", "36.2", "2026-08-03T08:01")});
    make_key(*holder);
    const SeasonPage page = page_of(*holder);
    CHECK(page.answers[3].answer ==
          "Nobody can say: neither a standard nor a control with limits nor a sample "
          "with usable readings in two sessions is in these exports.");
}
