#include <catch2/catch.hpp>

#include "summary/line_flags.hpp"
#include "summary/reading_values.hpp"
#include "unit/summary/season_builder.hpp"

using namespace thresh;
using namespace thresh::summary;
using test::entry;
using test::make_season;

namespace {

test::Row reading(std::string sample, std::string protein, std::string material = "soy") {
    test::Row row;
    row.sample = std::move(sample);
    row.material = std::move(material);
    row.values = {{"moisture", "6.0"}, {"protein", std::move(protein)}, {"oil", "20.0"}};
    return row;
}

struct Counted {
    std::uint32_t flagged, low, high;
    bool operator==(const Counted&) const = default;
};
std::ostream& operator<<(std::ostream& out, const Counted& c) {
    return out << "flagged " << c.flagged << " low " << c.low << " high " << c.high;
}

// Of one constituent, by material and line.
std::map<std::string, Counted> count(const test::SeasonHolder& holder, ConstituentId id) {
    const auto means = sample_means(holder.season());
    const LineGroups groups = group_lines(holder.season(), {});
    const LineFlags flags(*means, groups);
    const std::size_t slot = means->values().slot_of(id);
    std::map<std::string, Counted> made;
    FlagCounts counts;
    for (std::size_t g = 0; g < groups.groups.size(); ++g) {
        flags.count(g, counts);
        made[groups.groups[g].material + " " + groups.groups[g].key.back()] = {
            counts.flagged[slot], counts.low[slot], counts.high[slot]};
    }
    return made;
}

// L-1 has A, read as soy and as nut; L-2 has B, read twice; X is not listed.
std::unique_ptr<test::SeasonHolder> season() {
    return make_season({reading("A", "36.0"), reading("A", "25.0", "nut"), reading("B", "37.0"),
                        reading("B", "38.0"), reading("X", "39.0")},
                       {entry("A", "L-1"), entry("B", "L-2")});
}

} // namespace

TEST_CASE("flagged values are counted in the line and material of their reading, by constituent") {
    const auto holder = season();
    holder->find("below-expected", Severity::review, 0, "protein");
    holder->find("above-expected", Severity::review, 1, "protein");
    holder->find("above-expected", Severity::review, 2, "protein");
    holder->find("impossible-value", Severity::exclude, 3, "protein");
    holder->find("above-expected", Severity::review, 3, "oil");
    holder->find("below-expected", Severity::review, 4, "protein"); // of no line
    const auto protein = count(*holder, constituent::protein);
    CHECK(protein.size() == 3);
    CHECK(protein.at("soy L-1") == Counted{1, 1, 0});
    CHECK(protein.at("nut L-1") == Counted{1, 0, 1});
    CHECK(protein.at("soy L-2") == Counted{2, 0, 1});
    CHECK(count(*holder, constituent::oil).at("soy L-2") == Counted{1, 0, 1});
    CHECK(count(*holder, constituent::moisture).at("soy L-2") == Counted{0, 0, 0});
}

TEST_CASE(
    "a value of an excluded reading stays flagged, but neither it nor a settled one is beyond its range") {
    const auto holder = season();
    holder->find("below-expected", Severity::review, 2, "protein");
    holder->find("moisture-high", Severity::exclude, 2);
    holder->find("below-expected", Severity::review, 3, "protein");
    holder->judgement.findings.back().settled = true;
    CHECK(count(*holder, constituent::protein).at("soy L-2") == Counted{2, 0, 0});
}

TEST_CASE("a value beyond its range without a mark of its own is beyond it all the same") {
    const auto holder = season();
    holder->find("above-expected", Severity::note, 2, "protein");
    CHECK(count(*holder, constituent::protein).at("soy L-2") == Counted{0, 0, 1});
}

TEST_CASE("a value of a control's reading is in no line's count") {
    const auto holder = season();
    holder->find("below-expected", Severity::review, 2, "protein");
    holder->batch.kind[2] = Kind::control;
    CHECK(count(*holder, constituent::protein).at("soy L-2") == Counted{0, 0, 0});
}

TEST_CASE("counts of many findings are those of asking every reading of every line") {
    std::vector<test::Row> rows;
    std::vector<batch::ListEntry> list;
    for (int i = 0; i < 40; ++i) {
        rows.push_back(reading("S" + std::to_string(i % 13), "36.0", i % 3 == 0 ? "nut" : "soy"));
        if (i < 13)
            list.push_back(entry("S" + std::to_string(i), "L-" + std::to_string(i % 4)));
    }
    const auto holder = make_season(rows, list);
    const char* const codes[] = {"below-expected", "above-expected", "impossible-value"};
    for (RowId row = 0; row < 40; ++row)
        for (unsigned k = 0; k < 3; ++k)
            if ((row * 7 + k * 5) % 4 == 0)
                holder->find(codes[k], k == 2 ? Severity::exclude : Severity::review, row,
                             row % 2 == 0 ? "protein" : "oil");
    for (const unsigned threads : {1U, 3U}) {
        holder->threads = threads;
        for (const ConstituentId id : {constituent::protein, constituent::oil}) {
            std::map<std::string, Counted> asked;
            const batch::Batch& batch = holder->batch;
            for (std::uint32_t s = 0; s < batch.samples.size(); ++s)
                for (const RowId row : batch.rows_of(s)) {
                    Counted& into = asked[batch.material_names[batch.material[row]] + " " +
                                          std::string(batch.lines[batch.samples[s].line].name)];
                    for (const Finding& f : holder->judgement.findings)
                        if (f.row == row && f.constituent == id) {
                            into.low += f.code == rules::code_index("below-expected") ? 1U : 0U;
                            into.high += f.code == rules::code_index("above-expected") ? 1U : 0U;
                        }
                    for (const auto& mark : holder->judgement.marks_of(row))
                        into.flagged += mark.constituent == id ? 1U : 0U;
                }
            CHECK(count(*holder, id) == asked);
        }
    }
}
