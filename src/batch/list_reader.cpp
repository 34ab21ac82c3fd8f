// The sample list from rows of text. A list that contradicts itself is an Error, because every
// table would rest on it; rows pasted twice are taken once.
#include <thresh/batch/list_reader.hpp>

#include "batch/list_columns.hpp"
#include "batch/list_rows.hpp"
#include "batch/no_id.hpp"
#include "batch/words.hpp"

#include <algorithm>
#include <array>
#include <fmt/format.h>
#include <map>
#include <thresh/batch/materials.hpp>
#include <thresh/core/nearest.hpp>
#include <thresh/core/text_pool.hpp>
#include <tuple>

namespace thresh::batch {

namespace {

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

// Beside words for yes and no, a check may be marked by its own line's name, and a treatment be named.
std::optional<bool> says_yes(ListColumnIndex column, std::string_view text, std::string_view line) {
    const auto said = yes_or_no(text);
    if (said)
        return said;
    const bool yes = column == ListColumnIndex::check     ? same_word(text, line) || same_word(text, "check")
                     : column == ListColumnIndex::treated ? names_something(text)
                                                          : false;
    return yes ? std::optional(true) : std::nullopt;
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
    const std::string kind = std::move(e.kind);
    const auto known_kind = kind_named(kind);
    e.kind = known_kind.value_or(std::string());
    if (e.sample.empty())
        return fail("a row of the sample list has no sample ID",
                    "fill in the column `sample`, or remove the row", place(source, row.sheet), row.line,
                    column_of(row, C::sample));
    if (is_no_id(e.sample))
        return fail(fmt::format("`{}` is no sample ID", e.sample),
                    "fill in the column `sample`, or remove the row", place(source, row.sheet), row.line,
                    column_of(row, C::sample));
    // A single plant taken for a plot would be compared with its line: an unknown word is not passed over.
    if (!known_kind)
        return fail(fmt::format("the kind of sample `{}` is `{}`, which is none", e.sample, kind),
                    fmt::format("write one of {}, or leave the cell blank", fmt::join(kKinds, ", ")),
                    place(source, row.sheet), row.line, column_of(row, C::kind));
    for (const auto& [column, said] :
         {std::pair(C::check, &e.is_check), std::pair(C::keep_whole, &e.keep_whole),
          std::pair(C::treated, &e.treated)}) {
        const std::string_view text = text_of(column);
        const auto yes = says_yes(column, text, e.line);
        if (!yes)
            return fail(fmt::format("`{}` of sample `{}` is `{}`, which is neither yes nor no",
                                    sample_list_headings()[static_cast<std::size_t>(column)].name, e.sample,
                                    text),
                        std::string(kYesOrNo), place(source, row.sheet), row.line, column_of(row, column));
        *said = *yes;
    }
    if (e.kind == "check" && !e.is_check && !text_of(C::check).empty())
        return fail(fmt::format("sample `{}` is a check by its kind, and `check` says no", e.sample),
                    "correct one of the two", place(source, row.sheet), row.line, column_of(row, C::check));
    e.is_check = e.is_check || e.kind == "check";
    const std::string_view mass = text_of(C::mass_g);
    e.mass_g = mass_in_grams(mass);
    if (!mass.empty() && !e.mass_g)
        return fail(fmt::format("the mass of sample `{}` is `{}`, which is no mass in grams", e.sample, mass),
                    "write it as a plain number such as 250 or 12.5, without thousands mark",
                    place(source, row.sheet), row.line, column_of(row, C::mass_g));
    return {};
}

// Writes an entry's material as the rules spell it. Rows of a list mostly name the one of the row before.
class Materials {
  public:
    explicit Materials(const Settings* settings) : settings_(settings) {}
    Result<void> settle(const std::string& source, const TextRow& row, ListEntry& e) {
        if (settings_ == nullptr || e.material.empty())
            return {};
        if (e.material != written_) {
            const auto spelled = material_spelled(*settings_, e.material);
            if (!spelled)
                return fail(fmt::format("the material of sample `{}` is `{}`, for which there are no rules",
                                        e.sample, e.material),
                            nearest_hint(e.material, settings_->material_names), place(source, row.sheet),
                            row.line, column_of(row, ListColumnIndex::material));
            written_ = e.material;
            spelled_ = *spelled;
        }
        e.material = spelled_;
        return {};
    }

  private:
    const Settings* settings_;
    std::string written_;
    std::string_view spelled_;
};

// Writes an oil type as the list spelled it first: `High-Oleic` and `high-oleic` are one.
class OilTypes {
  public:
    void settle(ListEntry& e) {
        if (e.oil_type.empty())
            return;
        const auto same = [&](const std::string& known) { return same_word(known, e.oil_type); };
        const auto known = std::ranges::find_if(spelled_, same);
        if (known == spelled_.end())
            spelled_.push_back(e.oil_type);
        else
            e.oil_type = *known;
    }

  private:
    std::vector<std::string> spelled_; // few
};

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
        {"kind", ListText::kind, C::kind},
        {"oil_type", ListText::oil_type, C::oil_type},
        {"due", ListText::due, C::due},
        {"duplicate_of", ListText::duplicate_of, C::duplicate_of}};
    for (const auto& [name, which, column] : kFields)
        if (list.text(earlier, which) != entry.text(which))
            return {name, column};
    if (!same_word(list.text(earlier, ListText::seed_coat), entry.seed_coat))
        return {"seed_coat", C::seed_coat};
    if (list.mass_g(earlier) != entry.mass_g)
        return {"mass_g", C::mass_g};
    for (const auto& [name, before, now, column] :
         {std::tuple("check", list.is_check(earlier), entry.is_check, C::check),
          std::tuple("keep_whole", list.keep_whole(earlier), entry.keep_whole, C::keep_whole),
          std::tuple("treated", list.treated(earlier), entry.treated, C::treated)})
        if (before != now)
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

// A line is a check in all rows of its trial, or in none; a blank cell says nothing.
Result<void> check_checks(const SampleList& list, const std::vector<const TextRow*>& rows) {
    using Line = std::pair<std::string_view, std::string_view>;
    const auto line_of = [&](std::uint32_t row) {
        return Line(list.text(row, ListText::trial), list.text(row, ListText::line));
    };
    std::map<Line, std::uint32_t> checks; // to the first row that says so
    for (std::uint32_t row = 0; row < list.size(); ++row)
        if (list.is_check(row) && !list.text(row, ListText::line).empty())
            checks.emplace(line_of(row), row);
    for (std::uint32_t row = 0; row < list.size() && !checks.empty(); ++row) {
        if (list.is_check(row) ||
            trimmed(rows[row]->cell(static_cast<std::size_t>(ListColumnIndex::check))).empty())
            continue;
        if (const auto at = checks.find(line_of(row)); at != checks.end())
            return fail(fmt::format("line `{}` is no check here, and one in line {} of the list",
                                    at->first.second, list.row_line(at->second)),
                        "say the same in all rows of the line",
                        place(list.source, std::string(list.sheet(row))), list.row_line(row),
                        column_of(*rows[row], ListColumnIndex::check));
    }
    return {};
}

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
                                    const std::function<bool(std::size_t)>& has, const Settings* settings) {
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
    Materials materials(settings);
    OilTypes oil_types;
    ListEntry entry;
    for (const TextRow& row : rows) {
        if (blank(row, present))
            continue;
        if (auto good = read_entry(list.source, row, present, entry); !good)
            return tl::unexpected(good.error());
        if (auto good = materials.settle(list.source, row, entry); !good)
            return tl::unexpected(good.error());
        oil_types.settle(entry);
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
    if (has_column(ListColumnIndex::check))
        if (auto good = check_checks(list, row_of); !good)
            return tl::unexpected(good.error());
    if (auto good = check_duplicates(list, samples, row_of); !good)
        return tl::unexpected(good.error());
    return list;
}

} // namespace thresh::batch
