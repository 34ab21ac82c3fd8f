// How cells are spelled in the text formats; shared by their writers.
#pragma once

#include <thresh/core/time.hpp>
#include <thresh/report/inert_text.hpp>

#include <cstdint>
#include <string>
#include <string_view>

namespace thresh::report {

void append_integer(std::string& into, std::int64_t value);
void append_time(std::string& into, Time value);

// Quoted when it holds a comma, quote or line end; with a leading apostrophe when a spreadsheet would run it
// or when taking one off would lose one (RFC 4180; INTERFACE: results).
void append_csv_text(std::string& into, std::string_view text);
// Whether a text that begins with this byte may be one of those that a spreadsheet would run.
constexpr bool may_run(char first) {
    return first == '=' || first == '@' || first == '\t' || first == '\r' || first == '+' || first == '-';
}
// Tab-separated text has no quoting: backslash, tab and line ends are written as \\ \t \n \r.
void append_tsv_text(std::string& into, std::string_view text);
// A JSON string with its quotes. Bytes that are no UTF-8 become U+FFFD.
void append_json_text(std::string& into, std::string_view text);

// Columns that the text takes on a terminal.
unsigned display_width(std::string_view text);
// `text` cut to at most `width` columns, the last one an ellipsis when something was cut.
std::string cut_to_width(std::string_view text, unsigned width);
// The same, cut at the beginning.
std::string end_to_width(std::string_view text, unsigned width);

} // namespace thresh::report
