// Long text is cut first, then columns of the highest detail are left out from the right, then columns that
// say the same in every row, then further ones from the right, then text is cut harder, and at last columns
// are left out from the right whatever they hold. Sentences are never cut: their columns get narrower and
// their rows higher. Headings break at their underscores, so that a long name does not widen a narrow column
// of numbers.
#include "report/terminal_layout.hpp"

#include "report/text_cells.hpp"

#include <algorithm>

namespace thresh::report {

namespace {

constexpr unsigned kGap = 2; // blanks between columns
constexpr unsigned kLongText = 48, kShortText = 12;
constexpr unsigned kLongSentence = 40, kShortSentence = 20, kShortestSentence = 14;

// `name` broken after underscores into lines of at most `width` where its parts allow.
std::vector<std::string> break_heading(const std::string& name, unsigned width) {
    std::vector<std::string> lines(1);
    std::size_t at = 0;
    while (at < name.size()) {
        const std::size_t end = std::min(name.find('_', at), name.size() - 1) + 1;
        const std::string part = name.substr(at, end - at);
        if (!lines.back().empty() && display_width(lines.back() + part) > width)
            lines.emplace_back();
        lines.back() += part;
        at = end;
    }
    return lines;
}

unsigned widest(const std::vector<std::string>& lines) {
    unsigned width = 0;
    for (const std::string& line : lines)
        width = std::max(width, display_width(line));
    return width;
}

unsigned total_width(const std::vector<LayoutColumn>& columns) {
    unsigned total = 0;
    for (const LayoutColumn& column : columns)
        total += column.width + (column.marks ? 1U : 0U) + kGap;
    return total > 0 ? total - kGap : 0;
}

// Narrows paths first, whose end is enough, then the widest columns of text, none below `longest`.
void cut_text(std::vector<LayoutColumn>& columns, unsigned longest, unsigned width) {
    for (unsigned total = total_width(columns); total > width; --total) {
        LayoutColumn* widest = nullptr;
        for (LayoutColumn& column : columns)
            if (!column.right && !column.sentence && column.width > longest &&
                (widest == nullptr ||
                 std::pair(column.path, column.width) > std::pair(widest->path, widest->width)))
                widest = &column;
        if (widest == nullptr)
            return;
        --widest->width;
    }
}

// Narrows the columns of sentences, none below `least`. Widths in proportion to the square roots of what the
// columns hold keep rows low: a long sentence gets more room than a short one, but not all of it.
void narrow_sentences(std::vector<LayoutColumn>& columns, unsigned least, unsigned width) {
    const auto share = [](const LayoutColumn& column) {
        return column.width * column.width / column.natural;
    };
    for (unsigned total = total_width(columns); total > width; total = total_width(columns)) {
        LayoutColumn* widest = nullptr;
        for (LayoutColumn& column : columns)
            if (column.sentence && column.width > least &&
                (widest == nullptr || share(column) > share(*widest)))
                widest = &column;
        if (widest == nullptr)
            return;
        --widest->width;
    }
}

// Whether a column of text says the same in every row, so that it can be told once.
bool same_in_every_row(const LayoutColumn& column, std::size_t table_columns, const Page& page, bool whole) {
    if (!whole || column.right || column.sentence || page.rows < 2)
        return false;
    const std::string& text = page.cells[column.index].text;
    for (std::size_t row = 1; row < page.rows; ++row)
        if (page.cells[row * table_columns + column.index].text != text)
            return false;
    return !text.empty();
}

// Leaves out columns of at least `detail`, from the right, never the first one.
void leave_out(Layout& layout, const std::vector<summary::OutColumn>& columns, const Page& page, bool whole,
               unsigned detail, unsigned width) {
    auto& shown = layout.columns;
    for (std::size_t i = shown.size(); i-- > 1 && total_width(shown) > width;) {
        const summary::OutColumn& column = columns[shown[i].index];
        if (column.detail < detail)
            continue;
        if (same_in_every_row(shown[i], columns.size(), page, whole))
            layout.same.emplace_back(column.name, page.cells[shown[i].index].text);
        else
            layout.narrow.push_back(column.name);
        shown.erase(shown.begin() + static_cast<std::ptrdiff_t>(i));
    }
}

// Leaves out columns that say the same in every row, as long as there is no room for them.
void leave_out_same(Layout& layout, const std::vector<summary::OutColumn>& columns, const Page& page,
                    bool whole, unsigned width) {
    auto& shown = layout.columns;
    for (std::size_t i = 0; i < shown.size() && total_width(shown) > width;) {
        if (shown.size() == 1 || !same_in_every_row(shown[i], columns.size(), page, whole)) {
            ++i;
            continue;
        }
        layout.same.emplace_back(columns[shown[i].index].name, page.cells[shown[i].index].text);
        shown.erase(shown.begin() + static_cast<std::ptrdiff_t>(i));
    }
}

LayoutColumn measure(const std::vector<summary::OutColumn>& columns, std::size_t index, const Page& page) {
    LayoutColumn column;
    column.index = index;
    column.right = columns[index].type == summary::ColumnType::number ||
                   columns[index].type == summary::ColumnType::integer;
    column.sentence = columns[index].sentence;
    column.path = columns[index].path;
    for (std::size_t row = 0; row < page.rows; ++row) {
        const ShownCell& cell = page.cells[row * columns.size() + index];
        column.width = std::max(column.width, cell.width);
        column.marks = column.marks || cell.shown != summary::Shown::plain;
    }
    return column;
}

} // namespace

Layout lay_out(const std::vector<summary::OutColumn>& columns, const Page& page, unsigned width, bool whole) {
    Layout layout;
    for (std::size_t i = 0; i < columns.size(); ++i) {
        LayoutColumn column = measure(columns, i, page);
        if (whole && page.rows > 0 && column.width == 0) {
            layout.empty.push_back(columns[i].name);
            continue;
        }
        column.heading = break_heading(columns[i].name, std::max(column.width, 6U));
        column.width = std::max(column.width, widest(column.heading));
        column.natural = std::max(1U, column.width);
        layout.columns.push_back(std::move(column));
    }
    if (width > 0) {
        cut_text(layout.columns, kLongText, width);
        narrow_sentences(layout.columns, kLongSentence, width);
        leave_out(layout, columns, page, whole, 2, width);
        leave_out(layout, columns, page, whole, 1, width);
        leave_out_same(layout, columns, page, whole, width);
        narrow_sentences(layout.columns, kShortSentence, width);
        cut_text(layout.columns, kShortText, width);
        narrow_sentences(layout.columns, kShortestSentence, width);
        leave_out(layout, columns, page, whole, 0, width);
        std::reverse(layout.narrow.begin(), layout.narrow.end());
        const auto place = [&](const std::string& name) {
            return std::find_if(columns.begin(), columns.end(),
                                [&](const summary::OutColumn& column) { return column.name == name; });
        };
        std::sort(layout.same.begin(), layout.same.end(),
                  [&](const auto& a, const auto& b) { return place(a.first) < place(b.first); });
    }
    for (LayoutColumn& column : layout.columns) {
        column.heading = break_heading(columns[column.index].name, column.width);
        layout.heading_lines = std::max(layout.heading_lines, column.heading.size());
    }
    return layout;
}

} // namespace thresh::report
