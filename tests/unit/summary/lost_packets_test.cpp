#include <catch2/catch.hpp>

#include "unit/summary/season_builder.hpp"

#include <thresh/summary/overview.hpp>
#include <thresh/summary/todo.hpp>

using namespace thresh;
using namespace thresh::summary;
using test::entry;
using test::make_season;

namespace {

const char* const kEvening = "2026-10-12T18:";
const char* const kMorning = "2026-10-13T08:"; // the session at fault

test::Row reading(std::string sample, const std::string& time, std::string material = "soy") {
    test::Row row;
    row.sample = std::move(sample);
    row.material = std::move(material);
    row.time = time;
    row.instrument = "NIR";
    row.values = {{"moisture", "6.0"}, {"protein", "36.1"}};
    return row;
}

// The session of the reading at `row` is at fault, as the rules would have it.
void fault(test::SeasonHolder& holder, RowId row, Severity severity,
           ConstituentId constituent = kNoConstituent) {
    Finding finding;
    finding.code = rules::code_index("standard-absent").value();
    finding.severity = severity;
    finding.about = About::session;
    finding.subject = holder.batch.session[row];
    finding.row = row;
    finding.constituent = constituent;
    holder.judgement.findings.push_back(finding);
    if (severity == Severity::exclude && constituent == kNoConstituent)
        for (const RowId of_session : holder.batch.sessions[finding.subject].rows)
            holder.judgement.verdict[of_session] =
                std::max(holder.judgement.verdict[of_session], Verdict::exclude);
    holder.index();
}

std::vector<std::string> packets_to(rules::Action action, const test::SeasonHolder& holder) {
    std::vector<std::string> found;
    const TodoList items = todo_items(holder.season());
    for (const TodoItem& item : items)
        if (item.action == action && item.sample != kNone)
            found.push_back(fmt::format("{} {}", holder.batch.samples[item.sample].id, item.material));
    return found;
}

using Packets = std::vector<std::string>;

} // namespace

TEST_CASE("a packet that a fault of its session left without a reading is to be read again, once") {
    const auto holder = make_season(
        {reading("A", kMorning + std::string("31:00")), reading("A", kMorning + std::string("32:00")),
         reading("B", kMorning + std::string("33:00")), reading("C", kMorning + std::string("34:00"))},
        {entry("A", "L-1"), entry("B", "L-2"), entry("C", "L-3")});
    REQUIRE(holder->batch.sessions.size() == 1);
    fault(*holder, 0, Severity::exclude);
    CHECK(packets_to(rules::Action::read_again, *holder) == Packets{"A soy", "B soy", "C soy"});
    const TodoList items = todo_items(holder->season());
    REQUIRE(items.size() == 4); // and the instrument
    TodoSpeller speller(holder->season());
    const TodoWords& words = speller.words(items[1]);
    CHECK(words.reason == "standard-absent");
    CHECK_THAT(words.detail, Catch::Contains(holder->batch.sessions[0].label) &&
                                 Catch::EndsWith("; no other reading of the packet can be used"));
    CHECK(items[1].line == "L-1");
    const Overview told = overview(holder->season(), true);
    REQUIRE(told.trials.size() == 1);
    CHECK(told.trials[0].again == 3);
}

TEST_CASE("a packet with a usable reading of the material elsewhere is not lost to a session") {
    const std::string morning = kMorning, evening = kEvening;
    const auto holder = make_season({reading("A", evening + "30:00"), reading("B", evening + "31:00"),
                                     reading("C", evening + "32:00"), reading("D", evening + "33:00", "nut"),
                                     reading("A", morning + "30:00"), reading("B", morning + "31:00"),
                                     reading("C", morning + "32:00"), reading("D", morning + "33:00"),
                                     reading("", morning + "34:00")});
    REQUIRE(holder->batch.sessions.size() == 2);
    holder->find("moisture-high", Severity::exclude, 1); // the only other reading of B
    holder->find("sum-off", Severity::review, 2);        // that of C can be used still
    fault(*holder, 4, Severity::exclude);
    // B is to be conditioned, which ends with reading it; D was usable as another material only.
    CHECK(packets_to(rules::Action::read_again, *holder) == Packets{"D soy"});
    CHECK(packets_to(rules::Action::condition_and_read, *holder) == Packets{"B soy"});
}

TEST_CASE("only a fault that leaves whole readings out, and that nobody settled, loses packets") {
    const auto lost = [](auto change) {
        const auto holder = make_season({reading("A", kMorning + std::string("30:00"))});
        change(*holder);
        return packets_to(rules::Action::read_again, *holder).size();
    };
    CHECK(lost([](test::SeasonHolder& h) { fault(h, 0, Severity::exclude); }) == 1);
    CHECK(lost([](test::SeasonHolder& h) { fault(h, 0, Severity::review); }) == 0);
    CHECK(lost([](test::SeasonHolder& h) {
              fault(h, 0, Severity::exclude, h.rules.constituents.find("protein").value());
          }) == 0);
    CHECK(lost([](test::SeasonHolder& h) {
              fault(h, 0, Severity::exclude);
              h.judgement.findings[0].settled = true;
          }) == 0);
    CHECK(lost([](test::SeasonHolder& h) {
              fault(h, 0, Severity::exclude);
              h.judgement.verdict[0] = Verdict::superseded;
          }) == 0);
    CHECK(lost([](test::SeasonHolder& h) {
              fault(h, 0, Severity::exclude);
              h.judgement.dropped = {{0, kNoConstituent, 0}};
          }) == 0);
}
