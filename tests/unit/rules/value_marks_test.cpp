#include "rules/finding_order.hpp"
#include "rules/value_marks.hpp"

#include <catch2/catch.hpp>

#include <map>
#include <random>

using namespace thresh;
using namespace thresh::rules;

namespace {

constexpr std::size_t kRows = 60000;

// Findings of all kinds, several about one value now and then.
std::vector<Finding> findings(std::mt19937& random) {
    std::vector<Finding> made;
    for (int i = 0; i < 200000; ++i) {
        Finding f;
        f.code = static_cast<std::uint16_t>(random() % 5);
        f.severity = static_cast<Severity>(1 + random() % 3);
        f.about = random() % 10 == 0 ? About::reading : random() % 50 == 0 ? About::sample : About::value;
        f.constituent = static_cast<ConstituentId>(random() % 6);
        f.settled = random() % 9 == 0;
        f.row = static_cast<RowId>(random() % kRows);
        f.subject = f.about == About::sample ? static_cast<std::uint32_t>(random() % 100) : kNone;
        made.push_back(f);
    }
    sort_findings(made, 1);
    return made;
}

Judgement::ValueMark some_mark(std::mt19937& random) {
    return {static_cast<RowId>(random() % kRows), static_cast<ConstituentId>(random() % 6),
            random() % 2 == 0 ? Mark::review : Mark::exclude};
}

} // namespace

TEST_CASE("a value's mark is the strongest of what findings, sessions and decisions say of it") {
    std::mt19937 random(5);
    for (const bool with_others : {false, true}) {
        Judgement made;
        made.findings = findings(random);
        for (int i = 0; with_others && i < 3000; ++i) {
            made.session_marks.push_back({some_mark(random), 0});
            const Judgement::ValueMark dropped = some_mark(random);
            made.dropped.push_back({dropped.row, i % 7 == 0 ? kNoConstituent : dropped.constituent, 0});
        }
        std::map<std::pair<RowId, ConstituentId>, Mark> expected;
        const auto add = [&](RowId row, ConstituentId constituent, Mark mark) {
            Mark& kept = expected[{row, constituent}];
            kept = std::max(kept, mark);
        };
        for (const Finding& f : made.findings)
            if (f.about == About::value && !f.settled && f.severity != Severity::note)
                add(f.row, f.constituent, f.severity == Severity::exclude ? Mark::exclude : Mark::review);
        for (const auto& of_session : made.session_marks)
            add(of_session.mark.row, of_session.mark.constituent, of_session.mark.mark);
        for (const auto& drop : made.dropped)
            if (drop.constituent != kNoConstituent)
                add(drop.row, drop.constituent, Mark::exclude);

        for (const unsigned threads : {1U, 2U, 5U}) {
            make_marks(made, kRows, threads);
            REQUIRE(made.marks.size() == expected.size());
            auto next = expected.begin();
            const bool same = std::all_of(made.marks.begin(), made.marks.end(), [&](const auto& mark) {
                const auto& [value, wanted] = *next++;
                return value == std::pair(mark.row, mark.constituent) && wanted == mark.mark &&
                       made.mark(mark.row, mark.constituent) == wanted;
            });
            CHECK(same);
        }
    }
}
