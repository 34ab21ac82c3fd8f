// Every candidate (delimiter x quote) is tried: its heading is looked for, then the rows below are held
// against it. Score = known headings x share of rows as wide as the heading x share of cells under number
// headings that are numbers (the better of decimal point and comma). Known headings weigh most: a wrong
// delimiter leaves none. What the user gave is fixed, not scored. Nearly always one candidate alone has a
// heading; it needs no score, and of the rows only what they tell about decimal marks and ends of lines.
#include "intake/detect_layout.hpp"

#include "intake/fold.hpp"
#include "intake/head_rows.hpp"
#include "intake/table_plan.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace thresh::intake {

namespace {

struct Fit {
    std::size_t rows = 0, regular = 0, trailing = 0, unclosed = 0;
    std::size_t cells = 0, point = 0, comma = 0; // filled cells; that fit each decimal mark
};

bool fits(std::string_view text, char mark) {
    return read_number_cell(text, {mark, '\0'}, 0).kind != NumberCell::Kind::unreadable;
}

// `12`, `12.5` and `12,5` are most cells: what each mark makes of them is seen without reading the number.
bool fit_plain(std::string_view text, Fit& fit) {
    constexpr std::size_t kDigits = 9; // longer numbers are read
    constexpr std::string_view kDigit = "0123456789";
    const std::size_t mark = text.find_first_not_of(kDigit);
    if (mark == 0 || text.size() > kDigits)
        return false;
    if (mark == std::string_view::npos) {
        ++fit.point;
        ++fit.comma;
        return true;
    }
    if ((text[mark] != '.' && text[mark] != ',') ||
        text.find_first_not_of(kDigit, mark + 1) != std::string_view::npos)
        return false;
    ++(text[mark] == '.' ? fit.point : fit.comma);
    return true;
}

void fit_cell(std::string_view text, Fit& fit) {
    ++fit.cells;
    if (fit_plain(text, fit))
        return;
    if (text.find_first_of(".,") == std::string_view::npos) {
        const bool reads = fits(text, '.');
        fit.point += reads;
        fit.comma += reads;
        return;
    }
    fit.point += fits(text, '.');
    fit.comma += fits(text, ',');
}

// Holds the rows below the heading against it.
Fit hold_against(std::string_view text, Dialect dialect, const HeadingFound& heading,
                 const HeadRow& last_head, const std::vector<std::uint32_t>& numbers, bool whole) {
    Fit fit;
    RecordCutter cutter(text, dialect, whole, last_head.end, last_head.line + last_head.lines);
    Record record;
    const std::size_t width = heading.headings.size();
    while (cutter.next(record)) {
        if (record.blank())
            continue;
        ++fit.rows;
        const bool one_more = record.cells.size() == width + 1 && record.cells.back().text.empty();
        fit.trailing += one_more;
        fit.unclosed += record.unclosed != 0;
        fit.regular += (record.cells.size() == width || one_more) && record.unclosed == 0;
        for (const std::uint32_t position : numbers)
            if (position < record.cells.size())
                if (const std::string_view cell = trim(record.cells[position].text); !cell.empty())
                    fit_cell(cell, fit);
    }
    return fit;
}

std::vector<std::uint32_t> number_positions(const HeadingFound& heading,
                                            const HeadingDictionary& dictionary) {
    std::vector<std::uint32_t> positions;
    for (std::uint32_t i = 0; i < heading.headings.size(); ++i)
        if (dictionary.understand(heading.headings[i]).constituent)
            positions.push_back(i);
    return positions;
}

struct Start {
    std::size_t offset = 0;
    std::uint32_t line = 1;
    std::optional<char> delimiter;
};

// A first line `sep=;`, perhaps in quotes, is for spreadsheet programs.
Start after_sep_line(std::string_view text) {
    const std::size_t cut = std::min(text.find_first_of("\r\n"), text.size());
    std::string_view line = text.substr(0, cut);
    if (line.size() >= 2 && line.front() == '"' && line.back() == '"')
        line = line.substr(1, line.size() - 2);
    if (line.size() != 5 || fold_words(line.substr(0, 3)) != "sep" || line[3] != '=')
        return {};
    Start start{cut, 2, line[4]};
    if (start.offset < text.size())
        start.offset += text.substr(start.offset).starts_with("\r\n") ? 2 : 1;
    return start;
}

// What all candidates are tried on.
struct Trial {
    std::string_view text;
    bool whole;
    Start start;
    const HeadingDictionary& dictionary;
    const ExportOptions& options;
};

// Whether a delimiter that is not there may still be right: a table of one column has lines that a heading
// fits. Most tables have none, and then their rows need not be looked at in this way.
bool may_be_one_column(const Trial& trial, Dialect dialect) {
    if (trial.options.header_row || trial.dictionary.for_lists() ||
        trial.text.find(dialect.delimiter) != std::string_view::npos ||
        (dialect.quote != '\0' && trial.text.find(dialect.quote) != std::string_view::npos))
        return true;
    for (std::size_t at = trial.start.offset; at < trial.text.size();) {
        const std::size_t end = std::min(trial.text.find('\n', at), trial.text.size());
        const std::string_view line = trial.text.substr(at, end - at);
        if (end == trial.text.size() && !trial.whole && line.find('\r') == std::string_view::npos)
            break;                                                          // half a row
        if (!is_row_cut_wrongly(line) || line.find('\r') < line.size() - 1) // a lone CR parts two lines
            return true;
        at = end + 1;
    }
    return false;
}

// What stands in a row, without its line end.
std::string_view raw_of(std::string_view text, const HeadRow& row) {
    std::string_view raw = text.substr(row.begin, row.end - row.begin);
    if (raw.ends_with('\n'))
        raw.remove_suffix(1);
    if (raw.ends_with('\r'))
        raw.remove_suffix(1);
    return raw;
}

std::optional<Layout> with_heading(const Trial& trial, Dialect dialect) {
    if (!may_be_one_column(trial, dialect))
        return std::nullopt;
    Layout layout;
    layout.dialect = dialect;
    layout.head = head_rows({trial.text, dialect, trial.whole, trial.start.offset, trial.start.line},
                            trial.options.header_row.has_value());
    auto heading = find_heading(layout.head, trial.dictionary, trial.options.header_row);
    if (!heading)
        return std::nullopt;
    layout.heading = std::move(*heading);
    for (std::size_t i = 0; i < layout.heading.first; ++i)
        layout.head[i].raw = raw_of(trial.text, layout.head[i]);
    return layout;
}

void score(const Trial& trial, Layout& layout) {
    const HeadingFound& heading = layout.heading;
    const std::size_t last = std::min(heading.data_row(), layout.head.size()) - 1;
    const Fit fit = hold_against(trial.text, layout.dialect, heading, layout.head[last],
                                 number_positions(heading, trial.dictionary), trial.whole);
    const auto share = [](std::size_t part, std::size_t of) {
        return of == 0 ? 1.0 : static_cast<double>(part) / static_cast<double>(of);
    };
    layout.mark = trial.options.decimal ? *trial.options.decimal : fit.comma > fit.point ? ',' : '.';
    layout.unclosed = fit.unclosed > 0;
    layout.trailing_delimiter = 2 * fit.trailing > fit.rows;
    // Text without quoting is the exception: a quote that never closes must not make it look better.
    const double unquoted = layout.dialect.quote == '\0' ? 0.6 : 1;
    layout.score = unquoted * std::max(heading.known, 0.01) * (0.1 + 0.9 * share(fit.regular, fit.rows)) *
                   (0.1 + 0.9 * share(layout.mark == ',' ? fit.comma : fit.point, fit.cells));
}

// Whether, without quotes, surely not more than half of the rows from `at` on end with the delimiter: at
// least as many lines end with something else that is no blank.
bool few_trailing(std::string_view text, std::size_t at, char delimiter) {
    std::size_t trailing = text.ends_with(delimiter), other = 0;
    while (at < text.size()) {
        const std::size_t feed = std::min(text.find('\n', at), text.size());
        std::string_view line = text.substr(at, feed - at);
        at = feed + 1;
        if (line.ends_with('\r'))
            line.remove_suffix(1);
        if (line.find('\r') != std::string_view::npos)
            return false; // lines that end otherwise
        trailing += line.ends_with(delimiter);
        other += feed < text.size() && !line.empty() && line.back() > ' ' && line.back() < '\x7f' &&
                 line.back() != delimiter;
    }
    return trailing <= other;
}

// The only candidate with a heading has nothing to be compared with. When commas part its cells, none of them
// holds a decimal comma; without quotes none stays open. Then the rows need not be cut.
void score_alone(const Trial& trial, Layout& layout) {
    const Dialect dialect = layout.dialect;
    const std::size_t last = std::min(layout.heading.data_row(), layout.head.size()) - 1;
    const bool quotes = dialect.quote != '\0' && trial.text.find(dialect.quote) != std::string_view::npos;
    if (quotes || (dialect.delimiter != ',' && !trial.options.decimal) ||
        !few_trailing(trial.text, layout.head[last].end, dialect.delimiter))
        score(trial, layout);
    else
        layout.mark = trial.options.decimal.value_or('.');
}

std::vector<Dialect> candidates(std::string_view text, std::optional<char> delimiter) {
    std::vector<char> delimiters = {',', ';', '\t', '|'};
    if (delimiter)
        delimiters = {*delimiter};
    std::vector<char> quotes = {'"'};
    const std::string_view top = text.substr(0, std::min(text.size(), kHeadingBytes));
    // Delimiters that do not occur all cut the same way: one of them stands for a table of one column.
    const auto absent = std::find_if(delimiters.begin(), delimiters.end(),
                                     [&](char d) { return top.find(d) == std::string_view::npos; });
    if (absent != delimiters.end())
        delimiters.erase(std::remove_if(absent + 1, delimiters.end(),
                                        [&](char d) { return top.find(d) == std::string_view::npos; }),
                         delimiters.end());
    if (top.find('"') != std::string_view::npos)
        quotes.push_back('\0');
    for (const char c : {'\'', '~'})
        if (top.starts_with(c) || top.find(std::string("\n") + c) != std::string_view::npos)
            quotes.push_back(c);
    std::vector<Dialect> all;
    for (const char d : delimiters)
        for (const char q : quotes)
            all.push_back({d, q});
    return all;
}

Error no_heading(std::string_view text, const Start& start, const ExportOptions& options) {
    Error error;
    if (options.header_row) {
        error.message = fmt::format("there is no line {} that could be the heading", *options.header_row);
        error.help = "check --header-row against the file";
        error.line = *options.header_row;
        return error;
    }
    const std::size_t cut = std::min(text.find_first_of("\r\n", start.offset), text.size());
    const std::string seen(beginning(text.substr(start.offset, cut - start.offset), 120));
    error.message =
        fmt::format("no heading row was found: no row names a constituent or a sample beside another "
                    "known column; the file begins with `{}`",
                    seen);
    error.help = "name the headings in the rules file (\"columns\"), or give --header-row or --delimiter";
    error.line = start.line;
    return error;
}

} // namespace

std::string delimiter_name(char delimiter) {
    return delimiter == '\t' ? "tab" : delimiter == '\n' ? "" : std::string(1, delimiter);
}

namespace {

// The best candidate so far and the best with another delimiter.
struct Best {
    std::optional<Layout> best, second;
    std::optional<char> clean; // the delimiter with which all quotes close: they are no plain characters then

    void consider(Layout layout) {
        if (layout.dialect.quote == '"' && !layout.unclosed)
            clean = layout.dialect.delimiter;
        if (!best || layout.score > best->score * 1.000001) {
            if (best && best->dialect.delimiter != layout.dialect.delimiter)
                second = std::move(best);
            best = std::move(layout);
        } else if (layout.dialect.delimiter != best->dialect.delimiter &&
                   (!second || layout.score > second->score)) {
            second = std::move(layout);
        }
    }
};

Best try_all(const Trial& trial, const std::vector<Dialect>& dialects) {
    Best found;
    std::optional<Layout> alone; // the first with a heading, as long as no other needs its score
    const auto compare = [&](std::optional<Layout>& layout) {
        if (!layout)
            return;
        score(trial, *layout);
        found.consider(std::move(*layout));
        layout.reset();
    };
    for (const Dialect dialect : dialects) {
        if (dialect.quote == '\0') {
            compare(alone);
            if (found.clean == dialect.delimiter)
                continue;
        }
        auto layout = with_heading(trial, dialect);
        if (!layout)
            continue;
        if (!alone && !found.best) {
            alone = std::move(layout);
            continue;
        }
        compare(alone);
        compare(layout);
    }
    if (alone) {
        score_alone(trial, *alone);
        found.best = std::move(alone);
    }
    return found;
}

std::size_t about_row_bytes(const Layout& layout) {
    const std::size_t rows = layout.head.size(), last = std::min(layout.heading.data_row(), rows) - 1;
    return (layout.head.back().end - layout.head[last].end) / std::max<std::size_t>(1, rows - 1 - last);
}

// Whether what another delimiter shows is a table above the heading.
bool heads_rows_above(const Layout& other, const Layout& best, const HeadingDictionary& dictionary) {
    const std::size_t row = other.heading.data_row();
    return row < other.head.size() && other.head[row].numbers && other.head[row].line < best.heading.line &&
           !number_positions(other.heading, dictionary).empty();
}

} // namespace

Result<Layout> detect_layout(std::string_view text, bool whole, const HeadingDictionary& dictionary,
                             const ExportOptions& options) {
    const Start start = after_sep_line(text);
    const std::optional<char> fixed = options.delimiter ? options.delimiter : start.delimiter;
    auto [best, second, clean] = try_all({text, whole, start, dictionary, options}, candidates(text, fixed));
    if (!best)
        return tl::unexpected(no_heading(text, start, options));
    best->sep_line = start.delimiter.has_value();
    best->delimiter_given = options.delimiter.has_value();
    best->mark_given = options.decimal.has_value();
    best->heading_given = options.header_row.has_value();
    best->row_bytes = about_row_bytes(*best);
    // One column is one column under any delimiter.
    const bool same =
        second && second->heading.headings == best->heading.headings && best->heading.headings.size() == 1;
    if (second && !same) {
        best->margin = 1 - second->score / best->score;
        best->runner_up = second->dialect;
        best->runner_up_columns = second->heading.headings.size();
    }
    best->above = best->heading.above;
    best->above_delimiter = best->dialect.delimiter;
    if (best->above == 0 && second && heads_rows_above(*second, *best, dictionary)) {
        best->above = second->heading.line;
        best->above_delimiter = second->dialect.delimiter;
    }
    return std::move(*best);
}

} // namespace thresh::intake
