// What is kept from block to block: rules find the same in every block as if everything were made anew for
// it.
#include "rules/catalogue_list.hpp"
#include "rules/limits.hpp"
#include "unit/rules/judged.hpp"

#include <catch2/catch.hpp>
#include <set>

using namespace thresh;
using namespace thresh::rules;

namespace {

std::uint32_t state = 7;
std::uint32_t pick(std::uint32_t below) {
    state = state * 1664525 + 1013904223;
    return (state >> 16) % below;
}

// A number around `usual`, now and then far off or missing.
std::string number(double usual, unsigned decimals) {
    const std::uint32_t odd = pick(40);
    if (odd < 2)
        return odd == 0 ? "" : "<0.1";
    const double share = odd == 2 ? 3 : odd == 3 ? 0.1 : 0.9 + 0.002 * pick(100);
    return fmt::format("{:.{}f}", usual * share, decimals);
}

// Many small files: soybean and peanut, headings of several kinds, decimals as the instrument had them.
std::vector<std::pair<std::string, std::string>> small_files(std::size_t count) {
    std::vector<std::pair<std::string, std::string>> files;
    for (std::size_t f = 0; f < count; ++f) {
        const std::string basis = pick(3) == 0 ? "(% dry)" : "(% as is)";
        std::string text =
            fmt::format("Sample ID,Analysis,{},Oil {},Ash (% as is),Protein {},Palmitic (% of oil),"
                        "Stearic (% of oil),Oleic (% of oil),Linoleic (% of oil)",
                        pick(6) == 0 ? "Operator" : "Moisture (%)", basis, basis);
        // Some of the headings are met again and again, so many others are not that none can be kept for
        // good.
        text += pick(2) == 0 ? ",Fiber (% as is)\n" : fmt::format(",Remark {}\n", f);
        const unsigned decimals = pick(3);
        const std::size_t rows = 1 + pick(90);
        for (std::size_t row = 0; row < rows; ++row) {
            const bool peanut = pick(20) == 0;
            text += fmt::format("S{}-{},{},{}", f, row, peanut ? "Peanut kernels" : "Soybean whole",
                                number(7, decimals));
            for (const double usual :
                 {peanut ? 48.0 : 20.0, 5.0, peanut ? 25.0 : 38.0, 11.0, 4.0, 24.0, 54.0, 5.0})
                text += "," + number(usual, pick(10) == 0 ? 2 : decimals);
            text += "\n";
        }
        files.emplace_back(fmt::format("f{:03}.csv", f), text);
    }
    return files;
}

std::string words(const std::vector<Finding>& findings) {
    std::string all;
    for (const Finding& f : findings)
        all += fmt::format("{} {} {} {} {};", f.code, f.row, f.constituent, static_cast<int>(f.severity),
                           f.detail);
    return all;
}

} // namespace

TEST_CASE("rules about single readings find the same whether or not something is kept from block to block") {
    const test::Judged judged({.exports = small_files(200)});
    const batch::Batch& batch = judged.batch();
    REQUIRE(batch.readings.blocks.size() == 200);
    Judgement none;
    none.verdict.assign(batch.kind.size(), Verdict::use);
    none.index_marks(batch.kind.size());
    const Evidence anew{batch, judged.ruleset(), none};
    ReadyMade ready;
    std::size_t found = 0, looked_at = 0;
    std::set<std::uint16_t> codes;
    for (const Block& block : batch.readings.blocks) {
        Evidence kept = anew, told = anew;
        kept.ready = &ready;
        const OtherRows others_anew = other_rows(anew, block, 0, block.rows),
                        others = other_rows(kept, block, 0, block.rows);
        REQUIRE(others.rows == others_anew.rows);
        REQUIRE(others.sums == others_anew.sums);
        REQUIRE(others.sums_told == others_anew.sums_told);
        looked_at += others.rows.size();
        kept.others = &others;
        told.others = &others_anew;
        for (const ListedRule& listed : listed_rules()) {
            if (listed.rule->declarations().front().phase != Phase::reading)
                continue;
            std::vector<Sink::Setting> settings;
            for (const std::uint16_t code : listed.codes)
                settings.push_back({code, Severity::review, false});
            Sink every_row(settings), few_rows(settings), from_kept(settings);
            listed.rule->check_rows(anew, block, 0, block.rows, every_row);
            listed.rule->check_rows(told, block, 0, block.rows, few_rows);
            listed.rule->check_rows(kept, block, 0, block.rows, from_kept);
            REQUIRE(words(from_kept.findings) == words(every_row.findings));
            REQUIRE(words(few_rows.findings) == words(every_row.findings));
            found += every_row.findings.size();
            for (const Finding& f : every_row.findings)
                codes.insert(f.code);
        }
    }
    CHECK(found > 1000);
    CHECK(codes.size() >= 5);
    CHECK(looked_at > 1000);
    CHECK(looked_at < batch.kind.size());
}
