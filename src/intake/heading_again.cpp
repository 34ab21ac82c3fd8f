// Pages that are put together repeat their heading, and often with it a row of units or of groups. As long as
// these say the same, the table goes on; values under others would be converted by the wrong basis.
#include "intake/heading_again.hpp"

#include "intake/fold.hpp"
#include "intake/row_kind.hpp"

#include <algorithm>

namespace thresh::intake {

namespace {

using Fold = std::string (*)(std::string_view);

bool repeats(const HeadRow& row, const std::vector<std::string>& keys, Fold fold) {
    for (std::size_t i = 0; i < row.cells.size(); ++i)
        if (const std::string key = fold(row.cells[i]); !key.empty() && (i >= keys.size() || key != keys[i]))
            return false;
    return true;
}

// Of the columns with numbers.
bool mean_the_same(const std::vector<std::string>& a, const std::vector<std::string>& b,
                   const HeadingDictionary& dictionary) {
    for (std::size_t i = 0; i < std::max(a.size(), b.size()); ++i) {
        const HeadingMeaning x = dictionary.understand(i < a.size() ? a[i] : std::string());
        const HeadingMeaning y = dictionary.understand(i < b.size() ? b[i] : std::string());
        if (x.constituent != y.constituent ||
            (x.constituent && (x.unit_shift != y.unit_shift || x.unit_known != y.unit_known ||
                               x.part_of != y.part_of || !(x.basis == y.basis))))
            return false;
    }
    return true;
}

bool repeats_any(const HeadRow& row, const std::vector<std::vector<std::string>>& rows, Fold fold) {
    return std::any_of(rows.begin(), rows.end(),
                       [&](const std::vector<std::string>& keys) { return repeats(row, keys, fold); });
}

} // namespace

bool other_units(const HeadRow& units, const HeadingFound& own, const HeadingDictionary& dictionary) {
    return !repeats_any(units, own.unit_keys, fold_words) &&
           !mean_the_same(join_headings(own.unitless, heading_texts(units), false, dictionary).headings,
                          own.headings, dictionary);
}

bool other_group(const HeadRow& group, const HeadingFound& own, const HeadingDictionary& dictionary) {
    if (own.groupless.empty() || group.numbers || repeats_any(group, own.row_keys, fold_key))
        return false;
    double known = worth_of(own.groupless, dictionary);
    const auto joined = joined_to_more(heading_texts(group), own.groupless, group.spans, known, dictionary);
    return joined && !mean_the_same(joined->headings, own.unitless, dictionary);
}

HeadingFound heading_below(const std::vector<HeadRow>& rows, const HeadingFound& own,
                           const HeadingDictionary& dictionary) {
    const HeadRow& row = rows.front();
    const bool units = only_units(row);
    if (!units) {
        Record record;
        for (const std::string& cell : row.cells)
            record.cells.push_back({cell});
        auto found = find_heading(rows, dictionary, row.line);
        if (found && (found->rows > 1 || is_heading(record, dictionary)))
            return std::move(*found);
    }
    HeadingFound below = own;
    if (units) {
        JoinedHeadings joined = join_headings(own.unitless, heading_texts(row), false, dictionary);
        below.headings = std::move(joined.headings);
        below.unit_keys.assign(1, {});
        for (const std::string& cell : row.cells)
            below.unit_keys[0].push_back(fold_words(cell));
    }
    below.first = below.rows = 0;
    below.unit_rows = 1;
    below.line = row.line;
    below.above = 0;
    return below;
}

} // namespace thresh::intake
