// A heading is compared with the names of the columns that the list lacks only: whoever has a column `line`
// means something else by `lane`. Names are compared folded, so that case, accents and punctuation are no
// typing error.
#include <thresh/intake/list_table.hpp>

#include "intake/fold.hpp"
#include "intake/heading.hpp"

#include <algorithm>
#include <array>
#include <fmt/format.h>
#include <thresh/core/nearest.hpp>

namespace thresh::intake {

namespace {

constexpr std::size_t kMostNamed = 10; // unused columns

// What people write beside their seed, one letter away from `weight`, `site`, `plot` and `coat`.
constexpr std::array<std::string_view, 6> kOtherWords = {"height", "size", "lot", "pot", "slot", "cost"};

// Words of three letters are near many others: of those only two neighbours that changed places count.
bool one_error_apart(const std::string& a, const std::string& b) {
    if (std::min(a.size(), b.size()) < 3 || edit_distance(a, b) != 1)
        return false;
    return std::max(a.size(), b.size()) > 3 || std::ranges::is_permutation(a, b);
}

// A heading of a column, as people write it.
struct Name {
    std::string_view written;
    std::string key;
    std::string_view column;
    bool present = false; // the list has the column
};

std::vector<Name> names_of(const ListTable& table, const std::vector<ListColumn>& columns,
                           const ConstituentTable* numbers) {
    std::vector<Name> names;
    const auto add = [&](std::string_view written, std::string_view column, bool present) {
        names.push_back({written, fold_key(written), column, present});
    };
    for (std::size_t i = 0; i < columns.size(); ++i) {
        add(columns[i].name, columns[i].name, table.known[i].has_value());
        for (const std::string_view heading : columns[i].headings)
            add(heading, columns[i].name, table.known[i].has_value());
    }
    for (std::size_t c = 0; numbers != nullptr && c < numbers->size(); ++c) {
        const ConstituentInfo& info = (*numbers)[static_cast<ConstituentId>(c)];
        add(info.name, info.name, false);
        for (const std::string_view heading : info.headings)
            add(heading, info.name, false);
    }
    return names;
}

IntakeNote note_about(const ListTable& table, std::size_t column, std::string code) {
    IntakeNote note;
    note.code = std::move(code);
    note.line = table.heading_line;
    note.column = static_cast<std::uint32_t>(column + 1);
    note.heading = table.columns[column];
    return note;
}

std::string in_rules_file(std::string_view column, std::string_view heading) {
    return fmt::format("in the rules file: \"columns\": {{ \"{}\": {{ \"headings\": [\"{}\"] }} }}", column,
                       heading);
}

IntakeNote note_mistyped(const ListTable& table, std::size_t column, const Name& meant) {
    IntakeNote note = note_about(table, column, "heading-unknown");
    note.doubt = true;
    note.message =
        fmt::format("`{}` is not a heading that is known; the column is not used; did you mean `{}`?",
                    note.heading, meant.written);
    note.help = "correct the heading in the list, or " + in_rules_file(meant.column, note.heading);
    return note;
}

IntakeNote note_repeated(const ListTable& table, std::size_t column, const Name& name) {
    IntakeNote note = note_about(table, column, "heading-repeated");
    note.message = fmt::format("`{}` means `{}`, which another column is; this one is not used", note.heading,
                               name.column);
    const std::string key = fold_key(note.heading);
    const auto same = [&](const std::string& heading) { return fold_key(heading) == key; };
    note.help = std::ranges::count_if(table.columns, same) > 1
                    ? fmt::format("rename one of the columns `{}` in the list", note.heading)
                    : "to use this one instead, " + in_rules_file(name.column, note.heading);
    return note;
}

IntakeNote note_unused(const ListTable& table, const std::vector<std::size_t>& unused) {
    IntakeNote note = note_about(table, unused.front(), "heading-unknown");
    for (std::size_t i = 0; i < std::min(unused.size(), kMostNamed); ++i)
        note.message += fmt::format("{}`{}`", i == 0 ? "" : ", ", table.columns[unused[i]]);
    if (unused.size() > kMostNamed)
        note.message += fmt::format(" and {} more", unused.size() - kMostNamed);
    note.message += unused.size() == 1 ? " is not a heading of such a list; the column is not used"
                                       : " are not headings of such a list; the columns are not used";
    note.help =
        "nothing, when they are remarks; to use one as a line, say, " + in_rules_file("line", note.heading);
    return note;
}

} // namespace

void note_unused_columns(ListTable& table, const std::vector<ListColumn>& columns,
                         const ExportOptions& exports, const ConstituentTable* numbers) {
    const std::vector<Name> names = names_of(table, columns, numbers);
    std::optional<HeadingDictionary> constituents;
    if (numbers != nullptr)
        constituents.emplace(*numbers, exports.columns);
    std::vector<std::size_t> unused;
    for (std::size_t i = 0; i < table.columns.size(); ++i) {
        const std::string& heading = table.columns[i];
        const bool used = std::ranges::find(table.known, std::optional(i)) != table.known.end();
        const bool ignored = std::ranges::any_of(
            exports.ignore, [&](const std::string& pattern) { return matches_pattern(pattern, heading); });
        if (heading.empty() || used || ignored ||
            (constituents && constituents->understand(heading).constituent))
            continue;
        const std::string key = fold_key(heading);
        const auto same = std::ranges::find(names, key, &Name::key);
        const auto near = std::ranges::find_if(
            names, [&](const Name& name) { return !name.present && one_error_apart(key, name.key); });
        if (same != names.end())
            table.notes.push_back(note_repeated(table, i, *same));
        else if (near != names.end() && std::ranges::find(kOtherWords, key) == kOtherWords.end())
            table.notes.push_back(note_mistyped(table, i, *near));
        else
            unused.push_back(i);
    }
    if (!unused.empty())
        table.notes.push_back(note_unused(table, unused));
}

} // namespace thresh::intake
