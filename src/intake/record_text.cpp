// The line of a file again, for messages. The file is decoded and walked once more from its top: this is for
// the few places that are shown to people.
#include "intake/fold.hpp"
#include "intake/record.hpp"
#include "intake/source_text.hpp"

#include <thresh/intake/exports.hpp>

#include <algorithm>

namespace thresh::intake {

namespace {

// Where physical line `line` starts; npos when there are fewer.
std::size_t line_start(std::string_view text, std::uint32_t line) {
    std::size_t at = 0;
    for (std::uint32_t l = 1; l < line; ++l) {
        at = text.find_first_of("\r\n", at);
        if (at == std::string_view::npos)
            return at;
        at += text[at] == '\r' && at + 1 < text.size() && text[at + 1] == '\n' ? 2 : 1;
    }
    return at;
}

std::uint32_t characters(std::string_view text) {
    std::uint32_t count = 0;
    for (; !text.empty(); next_character(text))
        ++count;
    return count;
}

// The whole text is decoded for one line of it: of a larger file no line is shown.
constexpr std::uint64_t kLargest = 64 << 20;

char delimiter_of(const SourceFile& file) {
    return file.delimiter == "tab" ? '\t' : file.delimiter.empty() ? '\n' : file.delimiter[0];
}

} // namespace

RecordText record_text(const Input& input, const SourceFile& file, std::uint32_t line,
                       std::optional<std::uint32_t> position) {
    if (!input.bytes || file.encoding == "workbook" || line == 0 || input.bytes->size() > kLargest)
        return {};
    std::vector<IntakeNote> notes;
    const std::optional<std::string> encoding =
        file.encoding.empty() ? std::nullopt : std::optional<std::string>(file.encoding);
    const auto source = open_text(input, encoding, true, notes);
    if (!source)
        return {};
    const auto bytes = read_all(*source->bytes);
    if (!bytes)
        return {};
    const std::string_view text = *bytes;
    std::size_t start = line_start(text, line);
    if (start >= text.size())
        return {};
    RecordText found;
    found.line_number = line;
    std::optional<std::size_t> cell_start;
    if (position) {
        RecordCutter cutter(text, {delimiter_of(file), '"'}, true, start, line);
        Record record;
        if (cutter.next(record) && *position < record.cells.size()) {
            const CellText& cell = record.cells[*position];
            cell_start = cell.begin;
            found.width = std::max<std::uint32_t>(1, characters(cell.text));
            // A cell behind line breaks in quotes stands on a later physical line.
            for (std::size_t next = line_start(text.substr(start), 2);
                 next != std::string_view::npos && start + next <= *cell_start;
                 next = line_start(text.substr(start), 2)) {
                start += next;
                ++found.line_number;
            }
        }
    }
    const std::size_t end = std::min(text.find_first_of("\r\n", start), text.size());
    found.line = std::string(text.substr(start, end - start));
    if (cell_start)
        found.column = 1 + characters(text.substr(start, *cell_start - start));
    return found;
}

} // namespace thresh::intake
