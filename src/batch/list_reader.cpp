// Sample list and decisions from rows of text. A list that contradicts itself is an Error, because every
// table would rest on it; rows pasted twice are taken once.
#include <thresh/batch/list_reader.hpp>

#include "batch/list_columns.hpp"
#include "batch/words.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <fmt/format.h>
#include <map>
#include <thresh/core/text_pool.hpp>
#include <tuple>
#include <unordered_set>

namespace thresh::batch {

namespace {

std::string text_of(const TextRow& row, std::size_t column) {
    return std::string(trimmed(row.cell(column)));
}
std::string text_of(const TextRow& row, DecisionColumnIndex column) {
    return text_of(row, static_cast<std::size_t>(column));
}

// The column of the file that holds a heading, for messages; 0 when it has none.
template <typename Index>
std::uint32_t column_of(const TextRow& row, Index column) {
    return row.column ? row.column(static_cast<std::size_t>(column)) : 0;
}

using Columns = std::vector<bool>; // which of the headings a list has

bool blank(const TextRow& row, const Columns& present) {
    for (std::size_t i = 0; i < present.size(); ++i)
        if (present[i] && !trimmed(row.cell(i)).empty())
            return false;
    return true;
}

std::string place(const std::string& source, const std::string& sheet) {
    return sheet.empty() ? source : fmt::format("{}[{}]", source, sheet);
}

// The list's words for what a packet holds, spelled as this program does: "Single plant" is single_plant.
constexpr std::array<std::string_view, 5> kKinds = {"plot", "bulk", "single_plant", "check", "remnant"};

std::optional<std::string> kind_named(std::string text) {
    std::ranges::replace_if(
        text, [](char c) { return c == ' ' || c == '-'; }, '_');
    for (const std::string_view kind : kKinds)
        if (same_word(text, kind) || same_word(text, std::string(kind) + "s"))
            return std::string(kind);
    return text.empty() ? std::optional<std::string>(std::string()) : std::nullopt;
}

// Columns of the list that hold what the column of the same name of an entry does.
constexpr std::pair<ListColumnIndex, ListText> kTexts[] = {
    {ListColumnIndex::sample, ListText::sample},
    {ListColumnIndex::line, ListText::line},
    {ListColumnIndex::trial, ListText::trial},
    {ListColumnIndex::environment, ListText::environment},
    {ListColumnIndex::year, ListText::year},
    {ListColumnIndex::rep, ListText::rep},
    {ListColumnIndex::block, ListText::block},
    {ListColumnIndex::plot, ListText::plot},
    {ListColumnIndex::material, ListText::material},
    {ListColumnIndex::kind, ListText::kind},
    {ListColumnIndex::generation, ListText::generation},
    {ListColumnIndex::oil_type, ListText::oil_type},
    {ListColumnIndex::seed_coat, ListText::seed_coat},
    {ListColumnIndex::location, ListText::location},
    {ListColumnIndex::due, ListText::due},
    {ListColumnIndex::duplicate_of, ListText::duplicate_of}};

// Fills in an entry, used again for row after row: lists are long. Texts of columns that the list has not
// stay blank.
Result<void> read_entry(const std::string& source, const TextRow& row, const Columns& present, ListEntry& e) {
    using C = ListColumnIndex;
    const auto text_of = [&](C column) {
        const auto index = static_cast<std::size_t>(column);
        return present[index] ? trimmed(row.cell(index)) : std::string_view();
    };
    e.row_line = row.line;
    e.sheet = row.sheet;
    for (const auto& [column, which] : kTexts)
        if (present[static_cast<std::size_t>(column)])
            e.text(which) = text_of(column);
    e.keep_whole = says_yes(text_of(C::keep_whole));
    e.treated = says_yes(text_of(C::treated));
    const std::string kind = std::move(e.kind);
    const auto known_kind = kind_named(kind);
    e.kind = known_kind.value_or(std::string());
    e.is_check = says_yes(text_of(C::check)) || e.kind == "check";
    if (e.sample.empty())
        return fail("a row of the sample list has no sample ID",
                    "fill in the column `sample`, or remove the row", place(source, row.sheet), row.line,
                    column_of(row, C::sample));
    // A single plant taken for a plot would be compared with its line: an unknown word is not passed over.
    if (!known_kind)
        return fail(fmt::format("the kind of sample `{}` is `{}`, which is none", e.sample, kind),
                    fmt::format("write one of {}, or leave the cell blank", fmt::join(kKinds, ", ")),
                    place(source, row.sheet), row.line, column_of(row, C::kind));
    const std::string_view mass = text_of(C::mass_g);
    e.mass_g = mass_in_grams(mass);
    if (!mass.empty() && !e.mass_g)
        return fail(fmt::format("the mass of sample `{}` is `{}`, which is no mass in grams", e.sample, mass),
                    "write it as a plain number such as 250 or 12.5, without thousands mark",
                    place(source, row.sheet), row.line, column_of(row, C::mass_g));
    return {};
}

// Where a row and an earlier one about its sample say different things: its heading and column; no heading
// when they do not.
std::pair<const char*, ListColumnIndex> contradiction(const SampleList& list, std::uint32_t earlier,
                                                      const ListEntry& entry) {
    using C = ListColumnIndex;
    constexpr std::tuple<const char*, ListText, C> kFields[] = {
        {"line", ListText::line, C::line},
        {"trial", ListText::trial, C::trial},
        {"environment", ListText::environment, C::environment},
        {"year", ListText::year, C::year},
        {"rep", ListText::rep, C::rep},
        {"block", ListText::block, C::block},
        {"plot", ListText::plot, C::plot},
        {"material", ListText::material, C::material},
        {"duplicate_of", ListText::duplicate_of, C::duplicate_of}};
    for (const auto& [name, which, column] : kFields)
        if (list.text(earlier, which) != entry.text(which))
            return {name, column};
    return {nullptr, C::sample};
}

// The IDs of a list, numbered as its rows. As long as each comes behind the one before, as in a list that was
// sorted, none can be there twice, and they need not be kept.
class ListedIds {
  public:
    explicit ListedIds(const SampleList& list) : list_(list) {}

    // The row of an ID that is about to be added: an earlier one when it is there twice.
    std::uint32_t next(std::string_view sample) {
        const auto rows = static_cast<std::uint32_t>(list_.size());
        if (ids_.size() == 0) {
            if (rows == 0 || list_.text(rows - 1, ListText::sample) < sample)
                return rows;
            keep();
        }
        return ids_.intern(sample);
    }
    // kNone when it is not there.
    std::uint32_t find(std::string_view sample) {
        if (ids_.size() == 0)
            keep();
        const TextId id = ids_.find(sample);
        return id == kNoText ? kNone : id;
    }

  private:
    void keep() {
        for (std::uint32_t row = 0; row < list_.size(); ++row)
            ids_.intern(list_.text(row, ListText::sample));
    }
    const SampleList& list_;
    TextPool ids_;
};

// `duplicate_of` must lead, perhaps over other duplicates, to a listed sample that is none. `rows`: of the
// list's rows, in their order.
Result<void> check_duplicates(const SampleList& list, ListedIds& samples,
                              const std::vector<const TextRow*>& rows) {
    if (!list.states(ListText::duplicate_of))
        return {};
    const auto original_of = [&](std::uint32_t row) { return list.text(row, ListText::duplicate_of); };
    const auto refuse = [&](std::uint32_t row, std::string message, std::string help) -> Result<void> {
        return fail(std::move(message), std::move(help), place(list.source, std::string(list.sheet(row))),
                    list.row_line(row), column_of(*rows[row], ListColumnIndex::duplicate_of));
    };
    for (std::uint32_t first = 0; first < list.size(); ++first) {
        std::uint32_t at = first;
        for (std::size_t steps = 0; !original_of(at).empty(); ++steps) {
            const std::uint32_t original = samples.find(original_of(at));
            if (original == kNone)
                return refuse(at,
                              fmt::format("sample `{}` is a duplicate of `{}`, which is not listed",
                                          list.text(at, ListText::sample), original_of(at)),
                              fmt::format("add a row for `{}`, or correct `duplicate_of`", original_of(at)));
            if (steps > list.size() || original == first)
                return refuse(first,
                              fmt::format("sample `{}` is, over `duplicate_of`, a duplicate of itself",
                                          list.text(first, ListText::sample)),
                              "name the original in `duplicate_of`, and leave the original's own cell blank");
            at = original;
        }
    }
    return {};
}

} // namespace

Result<SampleList> make_sample_list(std::string source, const std::vector<TextRow>& rows,
                                    const std::function<bool(std::size_t)>& has) {
    const auto has_column = [&](ListColumnIndex column) { return has(static_cast<std::size_t>(column)); };
    SampleList list;
    list.source = std::move(source);
    list.has_trial = has_column(ListColumnIndex::trial);
    list.has_plot = has_column(ListColumnIndex::plot);
    list.has_rep = has_column(ListColumnIndex::rep);
    list.has_environment = has_column(ListColumnIndex::environment);
    list.reserve(rows.size());
    Columns present;
    for (std::size_t i = 0; i < sample_list_headings().size(); ++i)
        present.push_back(has(i));
    ListedIds samples(list);
    std::vector<const TextRow*> row_of; // of each row of the list
    row_of.reserve(rows.size());
    ListEntry entry;
    for (const TextRow& row : rows) {
        if (blank(row, present))
            continue;
        if (auto good = read_entry(list.source, row, present, entry); !good)
            return tl::unexpected(good.error());
        if (const std::uint32_t known = samples.next(entry.sample); known < list.size()) {
            const std::string_view sheet = list.sheet(known);
            if (const auto [field, column] = contradiction(list, known, entry); field != nullptr)
                return fail(
                    fmt::format("sample `{}` is listed twice with a different {}: here and in line {}{}",
                                entry.sample, field, list.row_line(known),
                                sheet.empty() ? "" : fmt::format(" of sheet `{}`", sheet)),
                    "a sample ID stands for one packet of one line: correct the ID or remove one row",
                    place(list.source, entry.sheet), entry.row_line, column_of(row, column));
            continue; // pasted twice
        }
        list.add(entry);
        row_of.push_back(&row);
    }
    if (list.empty())
        return fail("the sample list names no sample",
                    "fill in a row for each sample, or leave --samples away", list.source);
    if (auto good = check_duplicates(list, samples, row_of); !good)
        return tl::unexpected(good.error());
    return list;
}

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
    const bool names_reading = !d.sample.empty() || !d.source.empty() || !d.time.missing();
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
