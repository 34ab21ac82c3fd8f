#include <catch2/catch.hpp>

#include "unit/summary/season_builder.hpp"

#include <thresh/rules/shared_texts.hpp>
#include <thresh/summary/todo.hpp>

#include <tuple>

using namespace thresh;
using namespace thresh::summary;
using test::entry;
using test::make_season;
using test::rows_of;

namespace {

test::Row reading(std::string sample, std::string material = "soy", std::string moisture = "6.0") {
    test::Row row;
    row.sample = std::move(sample);
    row.material = std::move(material);
    row.values = {{"moisture", std::move(moisture)}, {"protein", "36.1"}, {"oil", "20"}};
    return row;
}

using Told = std::vector<std::vector<std::uint32_t>>;
Told findings_of(const TodoList& items) {
    Told told;
    for (const TodoItem& item : items)
        told.emplace_back(item.findings.begin(), item.findings.end());
    return told;
}

} // namespace

TEST_CASE(
    "a packet to condition is not told a second time to be read again, in whatever order that was found") {
    const auto holder = make_season({reading("A"), reading("B"), reading("A"), reading("B"), reading("C")});
    holder->find("impossible-value", Severity::exclude, 0, "protein");
    holder->find("moisture-high", Severity::exclude, 1);
    holder->find("moisture-high", Severity::exclude, 2);
    holder->find("impossible-value", Severity::exclude, 3, "protein");
    holder->find("impossible-value", Severity::exclude, 4, "oil");
    for (rules::Material& material : holder->rules.materials)
        material.window.high = 5;
    const TodoList items = todo_items(holder->season());
    // A: what the item is about goes before what it takes in.
    CHECK(findings_of(items) == Told{{2, 0}, {1, 3}, {4}});
    CHECK(items[0].action == rules::Action::condition_and_read);
    CHECK(items[2].action == rules::Action::read_again);
}

TEST_CASE("one packet read as two materials has an item for each") {
    const auto holder = make_season({reading("A", "soy"), reading("A", "nut"), reading("A", "soy")});
    for (const RowId row : {0U, 1U, 2U})
        holder->find("impossible-value", Severity::exclude, row, "protein");
    const TodoList items = todo_items(holder->season());
    CHECK(findings_of(items) == Told{{1}, {0, 2}});
    CHECK(items[0].material == "nut");
    CHECK(items[1].material == "soy");
}

TEST_CASE("items are sorted by due date, location, material and sample, without a date or place last") {
    const std::string dues[] = {"2026-09-10", "", "2026-08-01"}, places[] = {"box 2", "", "box 1"};
    std::vector<batch::ListEntry> entries;
    std::vector<test::Row> rows;
    for (int i = 0; i < 54; ++i) {
        entries.push_back(entry(fmt::format("S{:02}", i * 31 % 54), "L-1"));
        entries.back().due = dues[i % 3];
        entries.back().location = places[i / 3 % 3];
        rows.push_back(reading(entries.back().sample, i % 2 == 0 ? "soy" : "nut"));
    }
    const auto holder = make_season(rows, entries);
    for (RowId row = 0; row < rows.size(); ++row)
        holder->find("impossible-value", Severity::exclude, row, "protein");
    const TodoList items = todo_items(holder->season());
    REQUIRE(items.size() == rows.size());
    const auto key = [](const TodoItem& item) {
        return std::make_tuple(item.due.empty(), item.due, item.location.empty(), item.location,
                               item.material, item.sample);
    };
    for (std::size_t i = 1; i < items.size(); ++i)
        CHECK(key(items[i - 1]) < key(items[i]));
    CHECK(items[0].location == "box 1");
    CHECK(items[items.size() - 1].due.empty());
}

TEST_CASE("a list of things to do may be moved and its words made afterwards") {
    const auto holder = make_season({reading("", "soy"), reading("A", "soy")}, {entry("A", "L-1")});
    holder->find("moisture-absent", Severity::exclude, 0, "protein");
    holder->find("moisture-absent", Severity::exclude, 1, "protein");
    TodoList items;
    {
        TodoList made = todo_items(holder->season());
        items = std::move(made);
    }
    REQUIRE(items.size() == 2);
    const std::size_t nameless = items[0].sample == kNone ? 0 : 1;
    CHECK(items[nameless].place == "a.csv:2:4");
    TodoSpeller speller(holder->season());
    const std::string one = speller.words(items[nameless]).detail;
    CHECK(one.starts_with("a.csv:2:4: "));
    CHECK(speller.words(items[1 - nameless]).detail == one.substr(one.find(' ') + 1));
    CHECK(speller.words(items[nameless]).reason == "moisture-absent:protein");
}

TEST_CASE("a text that many findings share is what each of them says by itself") {
    const auto holder = make_season({reading("A", "soy", ""), reading("B", "nut", ""),
                                     reading("C", "soy", ""), reading("D", "soy", "9")});
    holder->rules.materials[0].window.high = 8;
    for (const RowId row : {0U, 1U, 2U})
        for (const char* constituent : {"protein", "oil"})
            holder->find("moisture-absent", Severity::exclude, row, constituent);
    holder->find("moisture-high", Severity::exclude, 3);
    const Season season = holder->season();
    rules::SharedTexts shared(season.judgement, season.batch, season.rules);
    std::size_t found = 0;
    for (const Finding& finding : season.judgement.findings) {
        const auto own = rules::describe(finding, season.judgement, season.batch, season.rules);
        const rules::FindingText* text = shared.find(finding);
        CHECK((text != nullptr) == (finding.about == About::value)); // how far to dry hangs on the reading
        if (text == nullptr)
            continue;
        ++found;
        CHECK(text->message == own.message);
        CHECK(text->action == own.action);
        CHECK(text->basis == own.basis);
        CHECK(text->low == own.low);
        CHECK(text->high == own.high);
        CHECK(shared.value_of(finding) == own.value);
    }
    CHECK(found == 6);
    const auto table = rows_of(*findings_table(season));
    CHECK(table.rows[2].at("message") ==
          "`protein` cannot be put on basis dry: this reading has no moisture");
    CHECK(table.rows[5].at("value") == "20");
}
