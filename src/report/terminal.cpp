// A table for people: columns aligned, marks beside numbers, each column with its own decimals. Widths are
// taken from the first page of rows; later pages keep them, and text that does not fit is cut. Numbers are
// never cut.
#include "report/format_writer.hpp"
#include "report/terminal_layout.hpp"
#include "report/text_cells.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <set>
#include <span>

namespace thresh::report {

namespace {

using summary::Shown;

constexpr std::size_t kRowsAPage = 10000;

class PageSink final : public summary::RowSink {
  public:
    PageSink(Page& page, const std::vector<summary::OutColumn>& columns) : page_(page), columns_(columns) {}
    void begin_row() override { column_ = 0; }
    void text(std::string_view value) override { add(inert_text(value)); }
    void integer(std::int64_t value) override {
        std::string text;
        append_integer(text, value);
        add(std::move(text));
    }
    void number(double value, Shown shown) override {
        std::string text;
        const summary::OutColumn& column = columns_[column_];
        append_number(text, value, decimals_to_show(value, column.decimals, column.significant));
        // A chance is never nothing.
        if (column.name.ends_with("_p") && value > 0 && text.find_first_not_of("0.") == std::string::npos)
            text = text.substr(0, text.size() - 1).insert(0, "<") + '1';
        add(std::move(text), shown);
    }
    void time(Time value) override { add(to_text(value)); }
    void missing() override { add({}); }
    void end_row() override { ++page_.rows; }

  private:
    void add(std::string text, Shown shown = Shown::plain) {
        const unsigned width = display_width(text);
        page_.cells.push_back({std::move(text), width, shown});
        ++column_;
    }

    Page& page_;
    const std::vector<summary::OutColumn>& columns_;
    std::size_t column_ = 0;
};

struct Mark {
    const char* sign;
    const char* color; // ANSI: 33 of the 256 is blue, 208 orange; both read on dark and on light
    const char* meaning;
};
Mark mark_of(Shown shown) {
    switch (shown) {
    case Shown::low:
        return {"\u25BC", "\x1b[38;5;33m", "below the expected range"};
    case Shown::high:
        return {"\u25B2", "\x1b[38;5;208m", "above the expected range"};
    case Shown::review:
        return {"?", "\x1b[1m", "to review"};
    case Shown::excluded:
        return {"\u00D7", "\x1b[2m", "excluded"};
    case Shown::left_out:
        return {"\u00D7", "\x1b[2m", "excluded; missing in files"};
    case Shown::provisional:
        return {"~", "\x1b[2m", "provisional: all its readings are excluded; missing in files"};
    case Shown::plain:
        break;
    }
    return {" ", "", ""};
}

void pad(std::string& into, unsigned used, unsigned width) {
    into.append(width > used ? width - used : 0, ' ');
}

void trim_end(std::string& line) {
    line.erase(line.find_last_not_of(' ') + 1);
}

void append_cell(std::string& into, const ShownCell& cell, const LayoutColumn& column, bool color) {
    const bool fits = cell.width <= column.width || column.right;
    const std::string text = fits          ? cell.text
                             : column.path ? end_to_width(cell.text, column.width)
                                           : cut_to_width(cell.text, column.width);
    const unsigned width = fits ? cell.width : display_width(text);
    const Mark mark = mark_of(cell.shown);
    const bool paint = color && cell.shown != Shown::plain;
    if (column.right)
        pad(into, width, column.width);
    if (paint)
        into += mark.color;
    into += text;
    if (column.marks)
        into += mark.sign;
    if (paint)
        into += "\x1b[0m";
    if (!column.right)
        pad(into, width, column.width);
}

std::string heading_text(const Layout& layout) {
    std::string text;
    for (std::size_t line = 0; line < layout.heading_lines; ++line) {
        std::string row;
        for (const LayoutColumn& column : layout.columns) {
            // Short headings stand at the bottom, next to their numbers.
            const std::size_t skip = layout.heading_lines - column.heading.size();
            const std::string part = line >= skip ? column.heading[line - skip] : "";
            const unsigned width = display_width(part);
            row += row.empty() && &column == &layout.columns.front() ? "" : "  ";
            if (column.right)
                pad(row, width, column.width);
            row += part;
            if (!column.right)
                pad(row, width, column.width);
            row.append(column.marks ? 1 : 0, ' ');
        }
        trim_end(row);
        text += row + '\n';
    }
    std::string rule;
    for (const LayoutColumn& column : layout.columns) {
        rule += rule.empty() ? "" : "  ";
        rule.append(column.width + (column.marks ? 1U : 0U), '-');
    }
    return text + rule + '\n';
}

// How much of a word that is longer than a line stands on the next one: as many whole characters as there is
// room for, of a path up to a name's end where that fills a third.
std::size_t fitting(std::string_view word, unsigned width) {
    std::size_t fit = 0, name = 0;
    for (std::size_t at = 1; at <= word.size(); ++at)
        if (at == word.size() || (static_cast<unsigned char>(word[at]) & 0xC0U) != 0x80) {
            if (display_width(word.substr(0, at)) > width && fit > 0)
                break;
            fit = at;
            name = word[at - 1] == '/' && display_width(word.substr(0, at)) >= width / 3 ? at : name;
        }
    return name > 0 ? name : fit;
}

// Breaks a sentence into lines of at most `width`: at blanks, a longer word wherever it must be.
std::vector<std::string> lines_of(std::string_view sentence, unsigned width) {
    std::vector<std::string> lines(1);
    while (!sentence.empty()) {
        std::size_t end = std::min(sentence.find(' '), sentence.size());
        std::string_view word = sentence.substr(0, end);
        sentence.remove_prefix(std::min(sentence.size(), end + 1));
        const unsigned used = display_width(lines.back());
        if (used > 0 && used + 1 + display_width(word) <= width) {
            lines.back() += ' ';
            lines.back() += word;
            continue;
        }
        if (used > 0)
            lines.emplace_back();
        while (display_width(word) > width) {
            const std::size_t fit = fitting(word, width);
            lines.back() = word.substr(0, fit);
            lines.emplace_back();
            word.remove_prefix(fit);
        }
        lines.back() = word;
    }
    return lines;
}

// A row, one line or several where sentences are broken.
std::string row_text(std::span<const ShownCell> cells, const Layout& layout, bool color) {
    std::vector<std::vector<std::string>> broken(layout.columns.size());
    std::size_t height = 1;
    for (std::size_t c = 0; c < layout.columns.size(); ++c) {
        const LayoutColumn& column = layout.columns[c];
        if (column.sentence && cells[column.index].width > column.width)
            broken[c] = lines_of(cells[column.index].text, column.width);
        height = std::max(height, broken[c].size());
    }
    std::string text;
    for (std::size_t i = 0; i < height; ++i) {
        std::string line;
        for (std::size_t c = 0; c < layout.columns.size(); ++c) {
            line += c == 0 ? "" : "  ";
            ShownCell cell = i == 0 && broken[c].empty() ? cells[layout.columns[c].index] : ShownCell{};
            if (i < broken[c].size())
                cell = {broken[c][i], display_width(broken[c][i]), summary::Shown::plain};
            append_cell(line, cell, layout.columns[c], color);
        }
        trim_end(line);
        text += line + '\n';
    }
    return text;
}

std::string page_text(const Page& page, const Layout& layout, std::size_t table_columns, bool color) {
    std::string text;
    for (std::size_t row = 0; row < page.rows; ++row)
        text += row_text(std::span(page.cells).subspan(row * table_columns, table_columns), layout, color);
    return text;
}

std::string names(const std::vector<std::string>& columns) {
    constexpr std::size_t kMost = 6;
    std::string text;
    for (std::size_t i = 0; i < std::min(columns.size(), kMost); ++i)
        text += (i > 0 ? ", " : "") + columns[i];
    if (columns.size() > kMost)
        text += fmt::format(" and {} more", columns.size() - kMost);
    return text;
}

// The lines below the table, broken to its width.
std::string notes(const Layout& layout, const std::set<Shown>& seen, unsigned width) {
    std::vector<std::string> all;
    std::string marks;
    for (const Shown shown : seen) {
        const Mark mark = mark_of(shown);
        marks += fmt::format("{}{} {}", marks.empty() ? "" : "   ", mark.sign, mark.meaning);
    }
    if (!marks.empty())
        all.push_back(marks);
    std::string same;
    for (const auto& [name, text] : layout.same)
        same += fmt::format("{}{} {}", same.empty() ? "in every row: " : ", ", name, text);
    if (!same.empty())
        all.push_back(same);
    if (!layout.empty.empty())
        all.push_back(fmt::format("without any value: {}", names(layout.empty)));
    if (!layout.narrow.empty())
        all.push_back(
            fmt::format("not shown for want of width: {} (--format csv has all)", names(layout.narrow)));
    std::string text;
    for (const std::string& note : all)
        for (const std::string& line : width > 0 ? lines_of(note, width) : std::vector<std::string>{note})
            text += line + '\n';
    return text;
}

} // namespace

void write_terminal_table(const summary::Table& table, const WriteOptions& options, const Output& output) {
    const std::size_t rows = table.rows();
    Layout layout;
    std::set<Shown> seen;
    for (std::size_t first = 0; first == 0 || first < rows; first += kRowsAPage) {
        const std::size_t last = std::min(rows, first + kRowsAPage);
        Page page;
        PageSink sink(page, table.columns());
        table.write(first, last, sink);
        if (first == 0) {
            layout = lay_out(table.columns(), page, options.width, last == rows);
            if (!output(heading_text(layout)))
                return;
        }
        for (const LayoutColumn& column : layout.columns)
            for (std::size_t row = 0; row < page.rows; ++row)
                if (const Shown shown = page.cells[row * table.columns().size() + column.index].shown;
                    shown != Shown::plain)
                    seen.insert(shown);
        if (!output(page_text(page, layout, table.columns().size(), options.color)))
            return;
    }
    if (rows == 0 && !output("no rows\n"))
        return;
    if (const std::string text = notes(layout, seen, options.width); !text.empty())
        output("\n" + text);
}

} // namespace thresh::report
