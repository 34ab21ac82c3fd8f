// The heading is the first row that names at least half as many known columns as the best row does, or a row
// above that one which heads a table of its own. A row above or below is joined to it, column by column, when
// the joined words say more: a unit, a basis, the group that a merged cell stands for. Rows with numbers are
// never part of a heading.
#include "intake/detect_heading.hpp"

#include "intake/fold.hpp"
#include "intake/heading_words.hpp"
#include "intake/number_cell.hpp"
#include "intake/row_kind.hpp"
#include "intake/table_plan.hpp"

#include <algorithm>
#include <iterator>

namespace thresh::intake {

namespace {

constexpr std::size_t kLongestHeading = 200; // characters: longer text is no heading

bool may_be_heading(std::string_view cell) {
    return !cell.empty() && cell.size() <= kLongestHeading &&
           std::count_if(cell.begin(), cell.end(),
                         [](char c) { return c == ',' || c == ';' || c == '|' || c == '\t'; }) <= kMostMarks;
}

struct Worth {
    double known = 0;
    std::size_t names = 0;
    bool about_seed = false;
    bool constituent = false;
    bool sample = false;
};

Worth worth(const std::vector<std::string>& headings, const HeadingDictionary& dictionary) {
    Worth worth;
    for (const std::string& heading : headings) {
        if (!may_be_heading(heading))
            continue;
        const HeadingMeaning meaning = dictionary.understand(heading);
        if (!meaning.known())
            continue;
        ++worth.names;
        worth.known += meaning.unit_known ? 1 : 0.5;
        worth.known += 0.1 * (!meaning.unit.empty() + meaning.part_stated +
                              (meaning.basis.kind != Basis::Kind::not_stated));
        worth.constituent = worth.constituent || meaning.constituent;
        worth.sample = worth.sample || meaning.field == TextField::sample;
        worth.about_seed = worth.about_seed || meaning.constituent || worth.sample;
    }
    return worth;
}

bool enough(const Worth& worth, std::size_t filled) {
    return worth.about_seed && (worth.names >= 2 || (worth.names == 1 && worth.constituent && filled <= 2));
}

std::size_t filled(const std::vector<std::string>& headings) {
    return static_cast<std::size_t>(
        std::count_if(headings.begin(), headings.end(), [](const std::string& h) { return !h.empty(); }));
}

constexpr double kMore = 0.05; // of a heading's worth: less is not said by a row beside it

void take(HeadingFound& found, JoinedHeadings joined) {
    found.headings = std::move(joined.headings);
    std::move(joined.spared.begin(), joined.spared.end(), std::back_inserter(found.spared));
    std::move(joined.spread.begin(), joined.spread.end(), std::back_inserter(found.spread));
}

// A line such as "Instrument, NIR-7" above a heading whose first cell is blank: the key would name that
// column. Its value stands above a name to which it adds nothing. Only a sample's key may be what the heading
// lacks.
bool is_key_and_value(const std::vector<std::string>& above, const std::vector<std::string>& names,
                      const HeadingDictionary& dictionary) {
    const std::vector<std::string> joined = join_headings(above, names, false, dictionary).headings;
    const auto at = [](const std::vector<std::string>& row, std::size_t i) {
        return i < row.size() ? std::string_view(row[i]) : std::string_view();
    };
    bool keys = false;
    for (std::size_t i = 0; i < above.size(); ++i) {
        if (above[i].empty())
            continue;
        if (at(names, i).empty()) {
            const bool sample = dictionary.understand(above[i]).field == TextField::sample;
            if (at(above, i + 1).empty() || at(names, i + 1).empty() ||
                (sample && !worth(names, dictionary).sample))
                return false;
            keys = true;
        } else if (joined[i] != names[i]) {
            return false;
        }
    }
    return keys;
}

// Joins the rows around the heading row that make it say more: below, up to two rows, or rows of units of
// which the second says more than the first; above, one row.
void extend(HeadingFound& found, const std::vector<HeadRow>& rows, const HeadingDictionary& dictionary) {
    found.unitless = found.headings;
    while (found.rows + found.unit_rows < 4 && found.unit_rows < 2) {
        const std::size_t next = found.data_row();
        if (next >= rows.size() || rows[next].blank() || rows[next].numbers)
            break;
        const bool units = only_units(rows[next]);
        if (!units && (found.unit_rows > 0 || found.rows == 3))
            break;
        auto best = joined_to_more(found.headings, heading_texts(rows[next]), rows[found.first].spans,
                                   found.known, dictionary);
        if (!best && !(units && next == found.first + 1))
            break;
        take(found, best ? std::move(*best)
                         : join_headings(found.headings, heading_texts(rows[next]), false, dictionary));
        ++(units ? found.unit_rows : found.rows);
        if (!units)
            found.unitless = found.headings;
    }
    if (found.first > 0 && !rows[found.first - 1].blank() && !rows[found.first - 1].numbers) {
        const HeadRow& above = rows[found.first - 1];
        std::optional<JoinedHeadings> joined;
        if (!is_key_and_value(heading_texts(above), found.headings, dictionary))
            joined =
                joined_to_more(heading_texts(above), found.headings, above.spans, found.known, dictionary);
        if (joined) {
            found.groupless = found.unitless;
            double known = worth_of(found.unitless, dictionary);
            if (auto names =
                    joined_to_more(heading_texts(above), found.unitless, above.spans, known, dictionary))
                found.unitless = std::move(names->headings);
            take(found, std::move(*joined));
            --found.first;
            ++found.rows;
            found.line = above.line;
        }
    }
}

HeadingFound heading_at(std::size_t row, double known, const std::vector<HeadRow>& rows,
                        const HeadingDictionary& dictionary) {
    HeadingFound found;
    found.first = row;
    found.headings = heading_texts(rows[row]);
    found.line = rows[row].line;
    found.known = known;
    extend(found, rows, dictionary);
    for (std::size_t r = found.first; r < std::min(found.data_row(), rows.size()); ++r) {
        const bool units = r >= found.first + found.rows;
        std::vector<std::string>& keys = (units ? found.unit_keys : found.row_keys).emplace_back();
        for (const std::string& cell : rows[r].cells)
            keys.push_back(units ? fold_words(cell) : fold_key(cell));
    }
    return found;
}

// Whether the rows between an earlier heading and the best one surely are a table whose end the best one
// marks: nothing but rows with numbers and blank ones, and no row joined from above that would be lost.
bool surely_two_tables(const HeadingFound& earlier, const HeadingFound& best, std::size_t best_row,
                       const std::vector<HeadRow>& rows, const HeadingDictionary& dictionary) {
    Record record;
    for (const std::string& cell : rows[best_row].cells)
        record.cells.push_back({cell});
    return best.first == best_row && is_heading(record, dictionary) &&
           std::all_of(rows.begin() + static_cast<std::ptrdiff_t>(earlier.data_row()),
                       rows.begin() + static_cast<std::ptrdiff_t>(best_row),
                       [](const HeadRow& row) { return row.numbers || row.blank(); });
}

} // namespace

// All filled cells are units or the like.
bool only_units(const HeadRow& row) {
    bool any = false;
    for (const std::string& cell : row.cells) {
        const std::string_view text = trim(cell);
        if (text.empty() || is_missing_mark(text))
            continue;
        if (!is_only_qualifiers(text))
            return false;
        any = true;
    }
    return any;
}

std::vector<std::string> heading_texts(const HeadRow& row) {
    std::vector<std::string> headings;
    for (const std::string& cell : row.cells)
        headings.push_back(heading_text(cell));
    return headings;
}

double worth_of(const std::vector<std::string>& headings, const HeadingDictionary& dictionary) {
    return worth(headings, dictionary).known;
}

std::optional<JoinedHeadings> joined_to_more(const std::vector<std::string>& upper,
                                             const std::vector<std::string>& lower, bool spans, double& known,
                                             const HeadingDictionary& dictionary) {
    std::optional<JoinedHeadings> best;
    for (const bool spread : {false, true}) {
        if (spread && spans)
            continue;
        JoinedHeadings joined = join_headings(upper, lower, spread, dictionary);
        const double value = worth(joined.headings, dictionary).known;
        if (value > known + kMore) {
            known = value;
            best = std::move(joined);
        }
    }
    return best;
}

bool is_number(std::string_view cell, bool commas) {
    const std::string_view text = trim(cell);
    // Nothing else begins a number; most texts are told by this.
    constexpr std::string_view kFirst = "0123456789+-.,\xE2";
    if (text.empty() || kFirst.find(text[0]) == std::string_view::npos)
        return false;
    const auto reads = [&](NumberStyle style) {
        const auto kind = read_number_cell(text, style, 0).kind;
        return kind == NumberCell::Kind::decimal || kind == NumberCell::Kind::wide;
    };
    return reads({}) || (commas && text.find(',') != std::string_view::npos && reads({',', '\0'}));
}

// Told without settling blanks, which counts tabs among them.
bool is_row_cut_wrongly(std::string_view cell) {
    std::ptrdiff_t marks = 0;
    return std::any_of(cell.begin(), cell.end(), [&](char c) {
        marks += c == ',' || c == ';' || c == '|';
        return marks > kMostMarks;
    });
}

bool HeadRow::blank() const {
    return !numbers && std::all_of(cells.begin(), cells.end(),
                                   [](const std::string& cell) { return trim(cell).empty(); });
}

HeadRow HeadRow::of(const Record& record, bool want_numbers, bool commas) {
    HeadRow row;
    row.numbers = std::any_of(record.cells.begin(), record.cells.end(),
                              [&](const CellText& cell) { return is_number(cell.text, commas); });
    if (want_numbers || !row.numbers) {
        row.cells.reserve(record.cells.size());
        for (const CellText& cell : record.cells)
            row.cells.emplace_back(cell.text);
        row.raw = std::string(record.raw);
    }
    row.line = record.line;
    row.lines = record.lines;
    row.begin = record.begin;
    row.end = record.end;
    return row;
}

std::optional<HeadingFound> find_heading(const std::vector<HeadRow>& rows,
                                         const HeadingDictionary& dictionary,
                                         std::optional<std::uint32_t> forced_line) {
    std::vector<Worth> worths;
    double most = 0;
    for (const HeadRow& row : rows) {
        Worth w;
        if (row.blank() || (!forced_line && row.numbers) ||
            std::all_of(row.cells.begin(), row.cells.end(), is_row_cut_wrongly)) {
            worths.push_back(w);
            continue;
        }
        const std::vector<std::string> headings = heading_texts(row);
        w = worth(headings, dictionary);
        const bool list_heading = dictionary.for_lists() && w.names > 0;
        if (!forced_line && !list_heading && !enough(w, filled(headings)))
            w = {};
        most = std::max(most, w.known);
        worths.push_back(w);
    }
    for (std::size_t i = 0; i < rows.size(); ++i) {
        const bool here = forced_line ? rows[i].line == *forced_line
                                      : most > 0 && worths[i].known > 0 && worths[i].known >= most / 2;
        if (!here)
            continue;
        HeadingFound found = heading_at(i, worths[i].known, rows, dictionary);
        // Lists are one table.
        for (std::size_t j = 0; j < found.first && !forced_line && !dictionary.for_lists(); ++j) {
            if (worths[j].known <= 0 || !worths[j].constituent)
                continue;
            HeadingFound earlier = heading_at(j, worths[j].known, rows, dictionary);
            if (earlier.data_row() >= found.first || !rows[earlier.data_row()].numbers)
                continue;
            if (worths[j].sample && surely_two_tables(earlier, found, i, rows, dictionary))
                return earlier;
            found.above = earlier.line;
            break;
        }
        return found;
    }
    return std::nullopt;
}

} // namespace thresh::intake
