// Decisions from rows of text. One that contradicts another about the same reading is an Error; rows pasted
// twice are taken once.
#include <thresh/batch/list_reader.hpp>

#include "batch/list_columns.hpp"
#include "batch/list_rows.hpp"
#include "batch/words.hpp"

#include <charconv>
#include <fmt/format.h>
#include <map>
#include <tuple>
#include <unordered_set>

namespace thresh::batch {

namespace {

Result<Decision> make_decision(const std::string& source, const TextRow& row) {
    using C = DecisionColumnIndex;
    const std::string file = place(source, row.sheet);
    Decision d;
    d.row_line = row.line;
    d.sample = text_of(row, C::sample);
    d.source = text_of(row, C::source);
    d.constituent = text_of(row, C::constituent);
    d.code = text_of(row, C::code);
    d.to = text_of(row, C::to);
    d.reason = text_of(row, C::reason);
    d.initials = text_of(row, C::initials);
    d.date = text_of(row, C::date);

    const std::string word = text_of(row, C::decision);
    if (same_word(word, "keep"))
        d.action = Decision::Action::keep;
    else if (same_word(word, "drop"))
        d.action = Decision::Action::drop;
    else if (same_word(word, "rename"))
        d.action = Decision::Action::rename;
    else
        return fail(fmt::format("`{}` is no decision", word), "write keep, drop or rename", file, row.line,
                    column_of(row, C::decision));

    if (const std::string when = text_of(row, C::time); !when.empty()) {
        d.time = time_from_iso(when);
        if (d.time.missing())
            return fail(
                fmt::format("`{}` is no time", when),
                "write it as in the table of readings: 2026-08-03T07:41:09, 2026-08-03T07:41 or 2026-08-03",
                file, row.line, column_of(row, C::time));
    }
    if (const std::string number = text_of(row, C::row); !number.empty()) {
        std::uint32_t value = 0;
        const char* end = number.data() + number.size();
        const auto [stop, error] = std::from_chars(number.data(), end, value);
        if (error != std::errc{} || stop != end || value == 0)
            return fail(fmt::format("`{}` is no row number", number),
                        "write the row as in the table of readings", file, row.line, column_of(row, C::row));
        d.row = value;
        if (d.source.empty())
            return fail("a row number means nothing without its file", "name the file in the column `source`",
                        file, row.line, column_of(row, C::row));
    }
    const bool names_reading = !d.sample.empty() || d.row || !d.time.missing();
    if (!names_reading && !d.source.empty() && (d.action != Decision::Action::keep || d.code.empty()))
        return fail(
            fmt::format("the decision names `{}` and no reading of it", d.source),
            d.action == Decision::Action::keep
                ? "name the row, the time or the sample; or, of a finding about the whole file, its code"
                : "name the row, the time or the sample; a whole export is left out by not naming it "
                  "on the command line",
            file, row.line, column_of(row, C::source));
    if (!names_reading && (d.action != Decision::Action::keep || d.code.empty()))
        return fail("the decision does not say what it is about",
                    "name the sample, the time, or the source and row of the reading", file, row.line);
    if (d.action == Decision::Action::rename && d.to.empty())
        return fail("a rename does not say what to", "write the right sample ID in the column `to`", file,
                    row.line, column_of(row, C::to));
    return d;
}

// Two decisions about the very same thing that cannot both hold: dropped and renamed, renamed to two IDs, or
// kept and dropped.
std::string contradiction(const Decision& a, const Decision& b) {
    const auto about = [](const Decision& d) {
        return std::tie(d.sample, d.source, d.row, d.time, d.constituent);
    };
    using Action = Decision::Action;
    if (about(a) != about(b))
        return {};
    if (a.action != b.action) {
        // A keep that names a finding says nothing about the reading.
        const bool kept_finding =
            (a.action == Action::keep && !a.code.empty()) || (b.action == Action::keep && !b.code.empty());
        return kept_finding ? std::string() : "it says something else";
    }
    return a.action == Action::rename && a.to != b.to ? fmt::format("it renames to `{}`", a.to)
                                                      : std::string();
}

// The first decision that `d` contradicts; decisions are few, and those about one sample fewer.
Result<void> check_contradiction(const std::string& source, const TextRow& row,
                                 const std::multimap<std::string, const Decision*>& before,
                                 const Decision& d) {
    const auto [first, last] = before.equal_range(d.sample);
    for (auto at = first; at != last; ++at)
        if (const std::string why = contradiction(*at->second, d); !why.empty())
            return fail(
                fmt::format("the decision contradicts the one in line {}: {}", at->second->row_line, why),
                "leave one of the two", place(source, row.sheet), d.row_line,
                column_of(row, DecisionColumnIndex::decision));
    return {};
}

} // namespace

Result<std::vector<Decision>> make_decisions(const std::string& source, const std::vector<TextRow>& rows) {
    std::vector<Decision> decisions;
    std::unordered_set<std::string> seen;
    const Columns all(decision_headings().size(), true);
    decisions.reserve(rows.size()); // `before` points into it
    std::multimap<std::string, const Decision*> before;
    for (const TextRow& row : rows) {
        if (blank(row, all))
            continue;
        auto decision = make_decision(source, row);
        if (!decision)
            return tl::unexpected(decision.error());
        std::string words; // all that the row says
        for (std::size_t i = 0; i < decision_headings().size(); ++i)
            words += fmt::format("{}\n", trimmed(row.cell(i)));
        if (!seen.insert(std::move(words)).second)
            continue; // pasted twice
        if (auto good = check_contradiction(source, row, before, *decision); !good)
            return tl::unexpected(good.error());
        decisions.push_back(std::move(*decision));
        before.emplace(decisions.back().sample, &decisions.back());
    }
    return decisions;
}

} // namespace thresh::batch
