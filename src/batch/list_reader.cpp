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

bool blank(const TextRow& row, std::size_t columns) {
    for (std::size_t i = 0; i < columns; ++i)
        if (!trimmed(row.cell(i)).empty())
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

using Columns = std::vector<bool>; // which of the headings a list has

// Fills in a new entry: lists are long, and an entry is too large to hand around.
Result<void> read_entry(const std::string& source, const TextRow& row, const Columns& present, ListEntry& e) {
    using C = ListColumnIndex;
    const auto text_of = [&](const TextRow& of, C column) {
        const auto index = static_cast<std::size_t>(column);
        return present[index] ? std::string(trimmed(of.cell(index))) : std::string();
    };
    e.row_line = row.line;
    e.sheet = row.sheet;
    e.sample = text_of(row, C::sample);
    e.line = text_of(row, C::line);
    e.trial = text_of(row, C::trial);
    e.environment = text_of(row, C::environment);
    e.year = text_of(row, C::year);
    e.rep = text_of(row, C::rep);
    e.block = text_of(row, C::block);
    e.plot = text_of(row, C::plot);
    e.check = text_of(row, C::check);
    e.material = text_of(row, C::material);
    e.generation = text_of(row, C::generation);
    e.oil_type = text_of(row, C::oil_type);
    e.seed_coat = text_of(row, C::seed_coat);
    e.location = text_of(row, C::location);
    e.due = text_of(row, C::due);
    e.duplicate_of = text_of(row, C::duplicate_of);
    e.keep_whole = says_yes(text_of(row, C::keep_whole));
    e.treated = says_yes(text_of(row, C::treated));
    const std::string kind = text_of(row, C::kind);
    const auto known_kind = kind_named(kind);
    e.kind = known_kind.value_or(std::string());
    e.is_check = says_yes(e.check) || e.kind == "check";
    if (e.sample.empty())
        return fail("a row of the sample list has no sample ID",
                    "fill in the column `sample`, or remove the row", place(source, row.sheet), row.line,
                    column_of(row, C::sample));
    // A single plant taken for a plot would be compared with its line: an unknown word is not passed over.
    if (!known_kind)
        return fail(fmt::format("the kind of sample `{}` is `{}`, which is none", e.sample, kind),
                    fmt::format("write one of {}, or leave the cell blank", fmt::join(kKinds, ", ")),
                    place(source, row.sheet), row.line, column_of(row, C::kind));
    const std::string mass = text_of(row, C::mass_g);
    e.mass_g = mass_in_grams(mass);
    if (!mass.empty() && !e.mass_g)
        return fail(fmt::format("the mass of sample `{}` is `{}`, which is no mass in grams", e.sample, mass),
                    "write it as a plain number such as 250 or 12.5, without thousands mark",
                    place(source, row.sheet), row.line, column_of(row, C::mass_g));
    return {};
}

// Where two rows about one sample say different things: its heading and column; no heading when they do not.
std::pair<const char*, ListColumnIndex> contradiction(const ListEntry& a, const ListEntry& b) {
    using C = ListColumnIndex;
    const std::tuple<const char*, std::string ListEntry::*, C> kFields[] = {
        {"line", &ListEntry::line, C::line},
        {"trial", &ListEntry::trial, C::trial},
        {"environment", &ListEntry::environment, C::environment},
        {"year", &ListEntry::year, C::year},
        {"rep", &ListEntry::rep, C::rep},
        {"block", &ListEntry::block, C::block},
        {"plot", &ListEntry::plot, C::plot},
        {"material", &ListEntry::material, C::material},
        {"duplicate_of", &ListEntry::duplicate_of, C::duplicate_of}};
    for (const auto& [name, field, column] : kFields)
        if (a.*field != b.*field)
            return {name, column};
    return {nullptr, C::sample};
}

// `duplicate_of` must lead, perhaps over other duplicates, to a listed sample that is none.
// The IDs of a list, numbered as its entries. As long as each comes behind the one before, as in a list that
// was sorted, none can be there twice, and they need not be kept.
class ListedIds {
  public:
    explicit ListedIds(const std::vector<ListEntry>& entries) : entries_(entries) {}

    // The number of the last entry's ID: an earlier entry's when it is there twice.
    std::size_t add_last() {
        const std::size_t last = entries_.size() - 1;
        if (ids_.size() == 0) {
            if (last == 0 || entries_[last - 1].sample < entries_[last].sample)
                return last;
            keep(last);
        }
        return ids_.intern(entries_[last].sample);
    }
    std::optional<std::size_t> find(std::string_view sample) {
        if (ids_.size() == 0)
            keep(entries_.size());
        const TextId id = ids_.find(sample);
        return id == kNoText ? std::nullopt : std::optional<std::size_t>(id);
    }

  private:
    void keep(std::size_t entries) {
        for (std::size_t i = 0; i < entries; ++i)
            ids_.intern(entries_[i].sample);
    }
    const std::vector<ListEntry>& entries_;
    TextPool ids_;
};

// `rows`: of the entries, in their order.
Result<void> check_duplicates(const SampleList& list, ListedIds& samples,
                              const std::vector<const TextRow*>& rows) {
    for (const ListEntry& entry : list.entries) {
        const ListEntry* at = &entry;
        const auto column = [&](const ListEntry& of) {
            return column_of(*rows[static_cast<std::size_t>(&of - list.entries.data())],
                             ListColumnIndex::duplicate_of);
        };
        for (std::size_t steps = 0; !at->duplicate_of.empty(); ++steps) {
            const auto original = samples.find(at->duplicate_of);
            if (!original)
                return fail(fmt::format("sample `{}` is a duplicate of `{}`, which is not listed", at->sample,
                                        at->duplicate_of),
                            fmt::format("add a row for `{}`, or correct `duplicate_of`", at->duplicate_of),
                            place(list.source, at->sheet), at->row_line, column(*at));
            if (steps > list.entries.size() || &list.entries[*original] == &entry)
                return fail(
                    fmt::format("sample `{}` is, over `duplicate_of`, a duplicate of itself", entry.sample),
                    "name the original in `duplicate_of`, and leave the original's own cell blank",
                    place(list.source, entry.sheet), entry.row_line, column(entry));
            at = &list.entries[*original];
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
    list.entries.reserve(rows.size());
    Columns present;
    for (std::size_t i = 0; i < sample_list_headings().size(); ++i)
        present.push_back(has(i));
    ListedIds samples(list.entries);
    std::vector<const TextRow*> row_of; // of each entry
    row_of.reserve(rows.size());
    for (const TextRow& row : rows) {
        if (blank(row, sample_list_headings().size()))
            continue;
        ListEntry& entry = list.entries.emplace_back();
        if (auto good = read_entry(list.source, row, present, entry); !good)
            return tl::unexpected(good.error());
        if (const std::size_t known = samples.add_last(); known + 1 < list.entries.size()) {
            const ListEntry& first = list.entries[known];
            if (const auto [field, column] = contradiction(first, entry); field != nullptr)
                return fail(
                    fmt::format("sample `{}` is listed twice with a different {}: here and in line {}{}",
                                entry.sample, field, first.row_line,
                                first.sheet.empty() ? "" : fmt::format(" of sheet `{}`", first.sheet)),
                    "a sample ID stands for one packet of one line: correct the ID or remove one row",
                    place(list.source, entry.sheet), entry.row_line, column_of(row, column));
            list.entries.pop_back(); // pasted twice
            continue;
        }
        row_of.push_back(&row);
    }
    if (list.entries.empty())
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
    decisions.reserve(rows.size()); // `before` points into it
    std::multimap<std::string, const Decision*> before;
    for (const TextRow& row : rows) {
        if (blank(row, decision_headings().size()))
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
