// Every candidate (delimiter x quote) is tried: its heading is looked for, then the rows below are held
// against it. Score = known headings x share of rows as wide as the heading x share of cells under number
// headings that are numbers (the better of decimal point and comma). Known headings weigh most: a wrong
// delimiter leaves none. What the user gave is fixed, not scored.
#include "intake/detect_layout.hpp"

#include "intake/fold.hpp"
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

void fit_cell(std::string_view text, Fit& fit) {
    ++fit.cells;
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

std::vector<HeadRow> head_rows(std::string_view text, Dialect dialect, bool last, std::size_t from,
                               std::uint32_t line) {
    std::vector<HeadRow> rows;
    RecordCutter cutter(text, dialect, last, from, line);
    Record record;
    while (rows.size() < kHeadingRows && cutter.position() < kHeadingBytes && cutter.next(record))
        rows.push_back(HeadRow::of(record));
    return rows;
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

std::optional<Layout> try_dialect(std::string_view text, bool whole, Dialect dialect, const Start& start,
                                  const HeadingDictionary& dictionary, const ExportOptions& options) {
    Layout layout;
    layout.dialect = dialect;
    layout.head = head_rows(text, dialect, whole, start.offset, start.line);
    const auto heading = find_heading(layout.head, dictionary, options.header_row);
    if (!heading)
        return std::nullopt;
    layout.heading = *heading;
    const std::size_t last = std::min(heading->data_row(), layout.head.size()) - 1;
    const Fit fit = hold_against(text, dialect, *heading, layout.head[last],
                                 number_positions(*heading, dictionary), whole);
    const auto share = [](std::size_t part, std::size_t of) {
        return of == 0 ? 1.0 : static_cast<double>(part) / static_cast<double>(of);
    };
    const char mark = options.decimal ? *options.decimal : fit.comma > fit.point ? ',' : '.';
    layout.mark = mark;
    layout.unclosed = fit.unclosed > 0;
    layout.trailing_delimiter = 2 * fit.trailing > fit.rows;
    // Text without quoting is the exception: a quote that never closes must not make it look better.
    const double unquoted = dialect.quote == '\0' ? 0.6 : 1;
    layout.score = unquoted * std::max(heading->known, 0.01) * (0.1 + 0.9 * share(fit.regular, fit.rows)) *
                   (0.1 + 0.9 * share(mark == ',' ? fit.comma : fit.point, fit.cells));
    return layout;
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
    std::string seen(text.substr(start.offset, std::min<std::size_t>(cut - start.offset, 120)));
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

Result<Layout> detect_layout(std::string_view text, bool whole, const HeadingDictionary& dictionary,
                             const ExportOptions& options) {
    const Start start = after_sep_line(text);
    const std::optional<char> fixed = options.delimiter ? options.delimiter : start.delimiter;
    std::optional<Layout> best, second;
    std::optional<char> clean; // the delimiter with which all quotes close: they are no plain characters then
    for (const Dialect dialect : candidates(text, fixed)) {
        if (dialect.quote == '\0' && clean == dialect.delimiter)
            continue;
        auto layout = try_dialect(text, whole, dialect, start, dictionary, options);
        if (!layout)
            continue;
        if (dialect.quote == '"' && !layout->unclosed)
            clean = dialect.delimiter;
        if (!best || layout->score > best->score * 1.000001) {
            if (best && best->dialect.delimiter != dialect.delimiter)
                second = std::move(best);
            best = std::move(layout);
        } else if (layout->dialect.delimiter != best->dialect.delimiter &&
                   (!second || layout->score > second->score)) {
            second = std::move(layout);
        }
    }
    if (!best)
        return tl::unexpected(no_heading(text, start, options));
    best->sep_line = start.delimiter.has_value();
    best->delimiter_given = options.delimiter.has_value();
    best->mark_given = options.decimal.has_value();
    best->heading_given = options.header_row.has_value();
    // One column is one column under any delimiter.
    const bool same =
        second && second->heading.headings == best->heading.headings && best->heading.headings.size() == 1;
    if (second && !same) {
        best->margin = 1 - second->score / best->score;
        best->runner_up = second->dialect;
        best->runner_up_columns = second->heading.headings.size();
    }
    return std::move(*best);
}

} // namespace thresh::intake
