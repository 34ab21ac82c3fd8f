// Headings to columns. Each constituent and each text field gets one column; a second one is a repeat that
// is compared with the first while the rows are read. Nothing is dropped without a note, except what the
// rules say to ignore and a column without heading.
#include "intake/table_plan.hpp"

#include "intake/fold.hpp"
#include "intake/heading_words.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace thresh::intake {

namespace {

constexpr std::size_t kToldUnknown = 100; // unknown headings told one by one

class Planner {
  public:
    Planner(const HeadingDictionary& dictionary, const ExportOptions& options, std::vector<IntakeNote>& notes,
            TablePlan& plan, TableColumns& table)
        : dictionary_(dictionary), options_(options), notes_(notes), plan_(plan), table_(table) {
        for (std::uint32_t position = 0; position < table.headings.size(); ++position)
            if (const auto meaning = dictionary.understand(table.headings[position]);
                meaning.by_rules && !ignored(table.headings[position]))
                named_.emplace_back(position, meaning);
    }

    void place(std::uint32_t position);
    void note_untold();
    void note_spared(const SparedMoisture& spared);
    void note_spread(const SpreadGroup& spread);

  private:
    IntakeNote& note(std::string code, std::uint32_t position, bool doubt, std::string message,
                     std::string help);
    void place_number(std::uint32_t position, const HeadingMeaning& meaning);
    bool ignored(const std::string& heading) const {
        return std::ranges::any_of(
            options_.ignore, [&](const std::string& pattern) { return matches_pattern(pattern, heading); });
    }
    bool given_way(std::uint32_t position, const HeadingMeaning& meaning);
    void place_text(std::uint32_t position, TextField field);
    void place_time(std::uint32_t position);
    void question_heading(const HeadingMeaning& meaning, NumberPlan& number, const Column& column);
    void settle_basis(const HeadingMeaning& meaning, Column& column);
    const ConstituentInfo& info(ConstituentId id) const { return dictionary_.table()[id]; }

    const HeadingDictionary& dictionary_;
    const ExportOptions& options_;
    std::vector<IntakeNote>& notes_;
    TablePlan& plan_;
    TableColumns& table_;
    std::vector<std::pair<std::uint32_t, HeadingMeaning>> named_; // columns that the rules file names
};

IntakeNote& Planner::note(std::string code, std::uint32_t position, bool doubt, std::string message,
                          std::string help) {
    IntakeNote& made = notes_.emplace_back();
    made.code = std::move(code);
    made.line = table_.heading_line;
    made.column = position + 1;
    made.heading = table_.headings[position];
    made.doubt = doubt;
    made.message = std::move(message);
    made.help = std::move(help);
    return made;
}

void Planner::settle_basis(const HeadingMeaning& meaning, Column& column) {
    column.basis = meaning.basis;
    column.basis_given = meaning.basis_by_rules;
    const ConstituentInfo& about = info(column.constituent);
    const bool converts = column.part_of == PartOf::sample && column.constituent != constituent::moisture;
    if (!converts || column.basis.kind != Basis::Kind::not_stated)
        return;
    if (options_.assume_basis) {
        column.basis = *options_.assume_basis;
        column.basis_given = true;
        return;
    }
    note("basis-assumed", column.position, false,
         fmt::format("`{}` does not say which moisture its values refer to; they are taken as-is",
                     column.heading),
         fmt::format("--assume-basis as-is (or dry, or a percentage), or in the rules file: \"columns\": {{ "
                     "\"{}\": {{ "
                     "\"basis\": \"as-is\" }} }}",
                     about.name))
        .constituent = column.constituent;
}

void Planner::question_heading(const HeadingMeaning& meaning, NumberPlan& number, const Column& column) {
    const std::string& name = info(column.constituent).name;
    const auto rules = [&](std::string_view key, std::string_view value) {
        return fmt::format(
            "in the rules file: \"columns\": {{ \"{}\": {{ \"headings\": [\"{}\"], \"{}\": \"{}\" }} }}",
            name, column.heading, key, value);
    };
    if (!meaning.unit_known) {
        number.doubt =
            fmt::format("`{}` states a unit that is not known: `{}`", column.heading, meaning.unit);
        number.doubt_help =
            info(column.constituent).group == Group::instrument
                ? rules("unit", "") + ", where the values are in the unit that the rules expect"
                : rules("unit", "%");
    } else if (meaning.basis_doubtful) {
        number.doubt =
            fmt::format("`{}` does not say clearly which moisture its values refer to", column.heading);
        number.doubt_help = rules("basis", "dry") + " (or as-is, or percent moisture)";
    } else if (column.constituent == constituent::moisture && column.basis.kind == Basis::Kind::fixed &&
               !meaning.basis_by_rules) {
        number.doubt =
            fmt::format("`{}` states moisture on another basis than the sample as it is", column.heading);
        number.doubt_help = rules("basis", "as-is");
    } else if (info(column.constituent).part_of == PartOf::oil && !meaning.part_stated &&
               column.basis.kind != Basis::Kind::not_stated && column.basis.kind != Basis::Kind::as_is) {
        number.doubt =
            fmt::format("`{}` states a basis, which a share of the oil has not; it may be a share of "
                        "the sample or of the oil",
                        column.heading);
        number.doubt_help = rules("part_of", "sample") + " (or oil)";
    }
}

void Planner::place_number(std::uint32_t position, const HeadingMeaning& meaning) {
    const ConstituentId id = *meaning.constituent;
    if (const auto earlier = table_.find(id)) {
        const Column& first = table_.numbers[*earlier];
        const bool same = first.part_of == meaning.part_of &&
                          plan_.numbers[*earlier].shift == meaning.unit_shift &&
                          (meaning.basis == first.basis ||
                           (first.basis_given && meaning.basis.kind == Basis::Kind::not_stated));
        if (same) {
            plan_.repeats.push_back({position, *earlier, {}});
            return;
        }
        note("heading-repeated", position, false,
             fmt::format(
                 "`{}` (column {}) reports {} as `{}` (column {}) does, in another way; the first is used",
                 table_.headings[position], position + 1, info(id).title, first.heading, first.position + 1),
             "to use this one instead, " + leave_out(table_.headings, first.position))
            .constituent = id;
        return;
    }
    Column column;
    column.constituent = id;
    column.part_of = meaning.part_of;
    column.position = position;
    column.heading = table_.headings[position];
    column.unit = meaning.unit;
    settle_basis(meaning, column);
    NumberPlan number;
    number.position = position;
    number.shift = info(id).group == Group::instrument ? 0 : meaning.unit_shift;
    number.unit_settled = meaning.unit_by_rules;
    question_heading(meaning, number, column);
    table_.numbers.push_back(std::move(column));
    plan_.numbers.push_back(std::move(number));
}

void Planner::place_text(std::uint32_t position, TextField field) {
    auto& slot = table_.text[static_cast<std::size_t>(field)];
    if (slot) {
        plan_.repeats.push_back({position, {}, field});
        return;
    }
    slot = position;
    plan_.texts.emplace_back(field, position);
}

void Planner::place_time(std::uint32_t position) {
    if (!plan_.time) {
        plan_.time = position;
    } else if (!plan_.clock) {
        plan_.clock = position;
    } else {
        note("heading-repeated", position, false,
             fmt::format("`{}` (column {}) is a third column of times and is not used",
                         table_.headings[position], position + 1),
             leave_out(table_.headings, position));
    }
}

// Whether the rules file names another column of the table for the same: that one is used. Of times there may
// be two, a date and a clock.
bool Planner::given_way(std::uint32_t position, const HeadingMeaning& meaning) {
    if (meaning.by_rules || meaning.time || !meaning.known())
        return false;
    for (const auto& [other, named] : named_) {
        if (named.constituent != meaning.constituent || named.field != meaning.field || named.time)
            continue;
        note("heading-repeated", position, false,
             fmt::format("`{}` (column {}) is not used: the rules file names `{}` (column {}) for it",
                         table_.headings[position], position + 1, table_.headings[other], other + 1),
             leave_out(table_.headings, position));
        if (meaning.constituent)
            notes_.back().constituent = *meaning.constituent;
        return true;
    }
    return false;
}

void Planner::place(std::uint32_t position) {
    const std::string& heading = table_.headings[position];
    if (heading.empty()) {
        plan_.unnamed.push_back(position);
        return;
    }
    if (ignored(heading))
        return;
    const HeadingMeaning meaning = dictionary_.with_rules(dictionary_.understand(heading));
    if (given_way(position, meaning))
        return;
    if (meaning.constituent) {
        place_number(position, meaning);
    } else if (meaning.field) {
        place_text(position, *meaning.field);
    } else if (meaning.time) {
        place_time(position);
    } else {
        table_.unknown.push_back({position, heading});
        if (table_.unknown.size() > kToldUnknown)
            return; // told together in the end
        note("heading-unknown", position, false,
             fmt::format("`{}` is not a heading that is known; the column is not used", heading),
             fmt::format("in the rules file: \"columns\": {{ \"ignore\": [\"{0}\"] }}, or what it is, as in "
                         "\"columns\": {{ \"protein\": {{ \"headings\": [\"{0}\"] }} }}",
                         heading));
    }
}

void Planner::note_untold() {
    if (table_.unknown.size() <= kToldUnknown)
        return;
    const auto& next = table_.unknown[kToldUnknown];
    note("heading-unknown", next.position, false,
         fmt::format("{} more headings from here on are not known either; their columns are not used",
                     table_.unknown.size() - kToldUnknown),
         "`inspect --format json` lists every column");
}

void Planner::note_spared(const SparedMoisture& spared) {
    const auto position = static_cast<std::uint32_t>(spared.position);
    const auto column = std::find_if(table_.numbers.begin(), table_.numbers.end(),
                                     [&](const Column& c) { return c.position == position; });
    if (column == table_.numbers.end() || column->basis_given)
        return;
    note("basis-assumed", position, false,
         fmt::format("`{}` stands under `{}`; moisture is taken as that of the sample as it is",
                     column->heading, spared.group),
         fmt::format("in the rules file: \"columns\": {{ \"moisture\": {{ \"headings\": [\"{}\"], "
                     "\"basis\": \"as-is\" }} }}",
                     column->heading))
        .constituent = constituent::moisture;
}

void Planner::note_spread(const SpreadGroup& spread) {
    const auto position = static_cast<std::uint32_t>(spread.position);
    const auto column = std::find_if(table_.numbers.begin(), table_.numbers.end(),
                                     [&](const Column& c) { return c.position == position; });
    if (column == table_.numbers.end() || column->basis_given)
        return;
    const std::string taken = column->part_of == PartOf::oil       ? "\"part_of\": \"oil\""
                              : column->part_of == PartOf::protein ? "\"part_of\": \"protein\""
                              : column->basis.kind == Basis::Kind::not_stated
                                  ? "\"part_of\": \"sample\""
                                  : fmt::format("\"basis\": \"{}\"", to_text(column->basis));
    note("basis-assumed", position, false,
         fmt::format("`{}` stands under a blank to the right of `{}`, which is taken to reach so far",
                     column->heading, spread.group),
         fmt::format(
             "write it into the heading, or in the rules file: \"columns\": {{ \"{}\": {{ \"headings\": "
             "[\"{}\"], {} }} }}",
             info(column->constituent).name, column->heading, taken))
        .constituent = column->constituent;
}

} // namespace

IntakeNote table_above_note(std::uint32_t line, std::uint32_t read_line, const std::string& further) {
    IntakeNote note;
    note.code = "layout-doubtful";
    note.line = line;
    note.doubt = true;
    note.message =
        fmt::format("what stands above the heading on line {} looks like a table of its own and is "
                    "not read",
                    read_line);
    note.help = fmt::format(
        "put it into a file of its own if its values count; --header-row {}{} begins with it", line, further);
    return note;
}

std::string leave_out(const std::vector<std::string>& headings, std::uint32_t position) {
    const std::string& heading = headings[position];
    const auto same = [&](const std::string& other) { return matches_pattern(heading, other); };
    if (std::ranges::count_if(headings, same) > 1)
        return fmt::format("rename one of the columns `{}` in a copy of the export", heading);
    return fmt::format("in the rules file: \"columns\": {{ \"ignore\": [\"{}\"] }}", heading);
}

std::string heading_text(std::string_view cell) {
    std::string text;
    for (const char c : trim(cell)) {
        const bool blank = c == '\n' || c == '\r' || c == '\t' || c == ' ';
        if (!blank)
            text.push_back(c);
        else if (!text.empty() && text.back() != ' ')
            text.push_back(' ');
    }
    return text;
}

bool has_control_character(std::string_view text) {
    const auto control = [](char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7f; };
    return std::any_of(text.begin(), text.end(), control);
}

std::string text_cell(std::string_view cell) {
    const std::string_view text = without_guard(trim(cell));
    return has_control_character(text) ? heading_text(text) : std::string(text);
}

TablePlan plan_table(const HeadingFound& heading, const HeadingDictionary& dictionary,
                     const ExportOptions& options, std::vector<IntakeNote>& notes) {
    const std::vector<std::string>& headings = heading.headings;
    TablePlan plan;
    const auto table = std::make_shared<TableColumns>();
    table->headings = headings;
    table->heading_line = heading.line;
    plan.table = table;
    plan.width = plan.data_width = headings.size();
    plan.heading = std::make_shared<HeadingFound>(heading);
    Planner planner(dictionary, options, notes, plan, *table);
    for (std::uint32_t position = 0; position < headings.size(); ++position)
        planner.place(position);
    planner.note_untold();
    for (const SparedMoisture& spared : heading.spared)
        planner.note_spared(spared);
    for (const SpreadGroup& spread : heading.spread)
        planner.note_spread(spread);
    table->time = plan.time;
    return plan;
}

} // namespace thresh::intake
