#include "rules/finding_order.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <random>
#include <tuple>

using thresh::About;
using thresh::Finding;
using thresh::kNone;
using thresh::rules::FindingGroup;

namespace {

constexpr std::uint32_t kPlaces = 40;

std::vector<Finding> some_findings(std::size_t count, unsigned seed) {
    std::mt19937 random(seed);
    const auto pick = [&](unsigned below) { return static_cast<std::uint32_t>(random() % below); };
    std::vector<Finding> findings(count);
    for (Finding& f : findings) {
        f.about = static_cast<About>(pick(8));
        f.code = static_cast<std::uint16_t>(pick(5));
        f.constituent = pick(3) == 0 ? thresh::kNoConstituent : static_cast<thresh::ConstituentId>(pick(4));
        f.row = pick(20) == 0 ? kNone : pick(kPlaces);
        f.subject = pick(20) == 0 ? kNone : pick(kPlaces);
        f.detail = pick(3);
    }
    return findings;
}

// The order as a person would write it down, number by number.
auto written_out(const Finding& f) {
    const bool reading = f.about == About::value || f.about == About::reading;
    const int group = reading                     ? 0
                      : f.about == About::session ? 1
                      : f.about == About::sample  ? 2
                      : f.about == About::line    ? 3
                                                  : 4;
    const int constituent = f.constituent == thresh::kNoConstituent ? -1 : int{f.constituent};
    return std::tuple(group, reading ? f.row : f.subject, constituent, f.code, f.row, f.detail);
}

bool in_order(const std::vector<Finding>& findings) {
    return std::is_sorted(findings.begin(), findings.end(),
                          [](const Finding& a, const Finding& b) { return written_out(a) < written_out(b); });
}

} // namespace

TEST_CASE(
    "findings about the rows of a block are put in order as all findings are, whichever rule made them") {
    constexpr std::size_t kFirst = 7;
    for (const std::size_t count : {0U, 1U, 3000U}) {
        std::vector<std::vector<Finding>> of_rules(3);
        std::vector<Finding> all;
        for (Finding f : some_findings(count, 2))
            if (f.row != kNone) {
                f.about = f.about == About::reading ? About::reading : About::value;
                f.row += kFirst;
                all.push_back(f);
                of_rules[f.code % 3].push_back(f);
            }
        const std::vector<Finding> ordered = thresh::rules::by_rows(of_rules, kFirst, kPlaces);
        thresh::rules::sort_findings(all, 1);
        REQUIRE(ordered.size() == all.size());
        CHECK(in_order(ordered));
        for (std::size_t i = 0; i < all.size(); ++i)
            CHECK(written_out(ordered[i]) == written_out(all[i]));
    }
}

TEST_CASE("findings are put in order by group, place, constituent and code, whatever order they come in") {
    for (const unsigned threads : {1U, 3U})
        for (const std::size_t count : {0U, 1U, 7U, 500U, 30000U}) {
            std::vector<Finding> findings = some_findings(count, 1);
            thresh::rules::sort_findings(findings, threads);
            CHECK(findings.size() == count);
            CHECK(in_order(findings));
        }
}

TEST_CASE("findings of a later phase are merged into those of earlier ones") {
    for (const std::size_t later : {0U, 1U, 30U, 400U})
        for (const std::size_t earlier : {0U, 1U, 300U}) {
            std::vector<Finding> findings = some_findings(earlier, 2), more = some_findings(later, 3);
            thresh::rules::sort_findings(findings, 1);
            thresh::rules::sort_findings(more, 1);
            findings.insert(findings.end(), more.begin(), more.end());
            thresh::rules::merge_findings(findings, earlier);
            CHECK(findings.size() == earlier + later);
            CHECK(in_order(findings));
        }
}

TEST_CASE("findings of a later phase that stand behind or before all others keep their places") {
    std::vector<Finding> findings = some_findings(200, 4);
    thresh::rules::sort_findings(findings, 1);
    for (const std::size_t cut : {1U, 100U, 199U}) {
        std::vector<Finding> behind = findings, before(findings);
        thresh::rules::merge_findings(behind, cut);
        CHECK(in_order(behind));
        std::rotate(before.begin(), before.begin() + static_cast<std::ptrdiff_t>(cut), before.end());
        thresh::rules::merge_findings(before, 200 - cut);
        CHECK(in_order(before));
    }
}

TEST_CASE("where findings of many rows begin does not depend on the threads") {
    std::mt19937 random(6);
    constexpr std::uint32_t kRows = 700000;
    std::vector<Finding> findings;
    std::vector<std::uint32_t> expected(kRows + 1, 0);
    for (std::uint32_t row = 0; row < kRows; ++row) {
        expected[row] = static_cast<std::uint32_t>(findings.size());
        for (std::size_t i = random() % 7 == 0 ? random() % 3 : 0; i > 0; --i) {
            findings.emplace_back();
            findings.back().row = row;
        }
    }
    expected[kRows] = static_cast<std::uint32_t>(findings.size());
    findings.emplace_back(); // stands nowhere
    for (const unsigned threads : {1U, 3U})
        CHECK(thresh::rules::index_by(findings, kRows, FindingGroup::reading, threads) == expected);
    std::size_t taken = 0;
    bool whole = true;
    const auto stretches = thresh::rules::row_stretches(findings, 2);
    CHECK(stretches.size() == 2);
    for (const auto stretch : stretches) {
        whole = whole && stretch.data() == findings.data() + taken &&
                (taken == 0 || stretch.front().row != findings[taken - 1].row);
        taken += stretch.size();
    }
    CHECK(whole);
    CHECK(taken == findings.size());
}

TEST_CASE("the findings of each row, session, sample and line are told as a look through all of them does") {
    for (const std::size_t count : {0U, 1U, 60U, 2000U}) {
        std::vector<Finding> findings = some_findings(count, 5);
        thresh::rules::sort_findings(findings, 1);
        for (const FindingGroup group :
             {FindingGroup::reading, FindingGroup::session, FindingGroup::sample, FindingGroup::line}) {
            const auto begins = thresh::rules::index_by(findings, kPlaces, group, 1);
            REQUIRE(begins.size() == kPlaces + 1);
            for (std::uint32_t place = 0; place < kPlaces; ++place) {
                std::vector<std::uint32_t> expected;
                for (std::uint32_t i = 0; i < count; ++i)
                    if (std::get<0>(written_out(findings[i])) == static_cast<int>(group) &&
                        std::get<1>(written_out(findings[i])) == place)
                        expected.push_back(i);
                std::vector<std::uint32_t> told(begins[place + 1] - begins[place]);
                std::iota(told.begin(), told.end(), begins[place]);
                CHECK(told == expected);
            }
        }
    }
}
