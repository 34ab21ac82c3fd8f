// Turns the text tables of intake into the sample list and the decisions. Intake is not known here: the
// caller passes plain rows.
#pragma once

#include <thresh/batch/sample_list.hpp>
#include <thresh/batch/settings.hpp>
#include <thresh/core/readings.hpp>

#include <functional>
#include <string_view>

namespace thresh::batch {

// Column names of a sample list and the headings they may stand under, for intake::read_list.
struct ListHeading {
    std::string_view name;
    std::vector<std::string_view> headings;
};
const std::vector<ListHeading>& sample_list_headings();
const std::vector<ListHeading>& decision_headings();
// The names of both, and of reference results, each once, in that order.
const std::vector<std::string_view>& list_column_names();

// A row of text cells: `cell(i)` is the text under heading i of the lists above, empty when absent.
struct TextRow {
    std::uint32_t line = 0;
    std::string sheet;
    std::function<std::string_view(std::size_t)> cell;
    std::function<std::uint32_t(std::size_t)> column = {}; // of heading i in the file, from 1; for messages
};

// Errors (with source, line and remedy): a row without sample; one sample in two lines; duplicate_of a sample
// that is not listed; a mass that is no number; neither yes nor no. `has(i)`: whether the list has heading i
// at all. With settings also a material that no rule is about; the others are spelled as the rules do.
Result<SampleList> make_sample_list(std::string source, const std::vector<TextRow>& rows,
                                    const std::function<bool(std::size_t)>& has,
                                    const Settings* settings = nullptr);
// A note (`plot-shared`) for each row whose plot (trial, environment, year, rep, block and plot) an earlier
// row gives to another line. Single plants, which may be selected from one plot under names of their own, and
// duplicates, which follow their originals, are not asked.
std::vector<IntakeNote> shared_plots(const SampleList& list);

// Rows that say the same (pasted twice) are one decision. Errors: an unknown decision word, rename without
// `to`, a row that identifies nothing.
Result<std::vector<Decision>> make_decisions(const std::string& source, const std::vector<TextRow>& rows);

} // namespace thresh::batch
