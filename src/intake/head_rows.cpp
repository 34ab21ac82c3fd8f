// Nearly all rows are data. Of a row whose cells are not wanted when it holds a number, only the cells from
// the last number on are looked at; that needs lines which are rows, as they are without quotes.
#include "intake/head_rows.hpp"

#include "intake/detect_layout.hpp"

#include <algorithm>
#include <optional>

namespace thresh::intake {

namespace {

// The line that ends at `feed`, without LF or CRLF; nothing when it is incomplete or holds another line end.
std::optional<std::string_view> plain_line(std::string_view text, std::size_t at, std::size_t feed) {
    if (feed == std::string_view::npos)
        return std::nullopt;
    std::string_view line = text.substr(at, feed - at);
    if (line.ends_with('\r'))
        line.remove_suffix(1);
    return line.find('\r') == std::string_view::npos ? std::optional(line) : std::nullopt;
}

// `12` and `12.5`: most numbers are seen to be some without reading them.
bool plain_number(std::string_view cell) {
    constexpr std::size_t kDigits = 9; // longer ones are read
    if (cell.empty() || cell.size() > kDigits || cell[0] == '.')
        return false;
    bool mark = false;
    for (const char c : cell) {
        if ((c < '0' || c > '9') && (c != '.' || mark))
            return false;
        mark = mark || c == '.';
    }
    return true;
}

} // namespace

bool has_number(std::string_view line, char delimiter) {
    const bool commas = delimiter != ',';
    for (;;) {
        const std::size_t at = line.rfind(delimiter);
        const std::string_view cell = line.substr(at + 1);
        if (plain_number(cell) || is_number(cell, commas))
            return true;
        if (at == std::string_view::npos)
            return false;
        line = line.substr(0, at);
    }
}

std::vector<HeadRow> head_rows(const HeadText& from, bool want_numbers) {
    const Dialect dialect = from.dialect;
    const bool lines_are_rows =
        !want_numbers && (dialect.quote == '\0' || from.text.find(dialect.quote) == std::string_view::npos);
    std::vector<HeadRow> rows;
    rows.reserve(128);
    Record record;
    std::size_t at = from.offset;
    std::uint32_t line = from.line;
    while (rows.size() < kHeadingRows && at < kHeadingBytes) {
        if (lines_are_rows) {
            const std::size_t feed = from.text.find('\n', at);
            const auto plain = plain_line(from.text, at, feed);
            if (plain && has_number(*plain, dialect.delimiter)) {
                HeadRow& row = rows.emplace_back();
                row.numbers = true;
                row.line = line++;
                row.begin = at;
                row.end = at = feed + 1;
                continue;
            }
        }
        RecordCutter cutter(from.text, dialect, from.whole, at, line);
        if (!cutter.next(record))
            break;
        rows.push_back(HeadRow::of(record, want_numbers, dialect.delimiter != ','));
        at = cutter.position();
        line = cutter.line();
    }
    return rows;
}

} // namespace thresh::intake
