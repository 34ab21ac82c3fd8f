// One pass over the bytes of a record. Quoting starts only at the start of a cell; a quote elsewhere is a
// character like others and is told. A quoted cell that runs over too many lines, or whose closing quote is
// followed by text although it holds line breaks, is taken as a quote that was never closed: then the record
// is its first physical line, and `unclosed` says where the quote stands.
#include "intake/record.hpp"

#include "intake/fold.hpp"

#include <fmt/format.h>

namespace thresh::intake {

bool Record::blank() const {
    for (const CellText& cell : cells)
        if (!trim(cell.text).empty())
            return false;
    return true;
}

// Moves `at` behind the line end that starts there. A CR at the end of a text that goes on may be half of a
// CRLF.
bool RecordCutter::end_of_line(std::size_t& at, bool& incomplete) const {
    if (text_[at] == '\n') {
        ++at;
        return true;
    }
    if (text_[at] != '\r')
        return false;
    if (at + 1 == text_.size() && !last_)
        incomplete = true;
    at += at + 1 < text_.size() && text_[at + 1] == '\n' ? 2 : 1;
    return true;
}

std::string Record::unclosed_reason() const {
    return overlong ? fmt::format("a quote opened at character {} is not closed within {} lines and {} KiB",
                                  unclosed, kMaxQuotedLines, kMaxQuotedBytes >> 10)
                    : fmt::format("a quote opened at character {} is never closed", unclosed);
}

RecordCutter::Cut RecordCutter::quoted_cell(Record& record, std::size_t& at) {
    const std::size_t open = at++;
    std::size_t start = at;
    std::string* copy = nullptr;
    std::uint32_t lines = 0;
    for (;; ++at) {
        if (at - open > kMaxQuotedBytes || lines > kMaxQuotedLines)
            return Cut::overlong;
        if (at >= text_.size())
            return last_ ? Cut::unclosed : Cut::incomplete;
        const char c = text_[at];
        if (c == '\n' || c == '\r') {
            if (c == '\r' && at + 1 == text_.size() && !last_)
                return Cut::incomplete;
            if (c == '\r' && at + 1 < text_.size() && text_[at + 1] == '\n')
                ++at;
            ++lines;
            continue;
        }
        if (c != dialect_.quote)
            continue;
        if (at + 1 == text_.size() && !last_)
            return Cut::incomplete;
        if (at + 1 < text_.size() && text_[at + 1] == dialect_.quote) {
            if (!copy)
                copy = &unescaped_.emplace_back();
            copy->append(text_.substr(start, at + 1 - start));
            start = at + 2;
            ++at;
            continue;
        }
        break;
    }
    const std::string_view piece = text_.substr(start, at - start);
    ++at; // behind the closing quote
    const std::size_t tail = at;
    while (at < text_.size() && text_[at] != dialect_.delimiter && text_[at] != '\n' && text_[at] != '\r')
        ++at;
    if (at == text_.size() && !last_)
        return Cut::incomplete;
    const std::string_view behind = text_.substr(tail, at - tail);
    if (!trim(behind).empty()) {
        if (lines > 0)
            return Cut::unclosed;
        record.stray_quote = true;
        if (!copy)
            copy = &unescaped_.emplace_back();
        copy->append(piece).append(behind);
        record.cells.push_back({*copy, true, SheetKind::text, open});
    } else {
        if (copy)
            copy->append(piece);
        record.cells.push_back({copy ? std::string_view(*copy) : piece, true, SheetKind::text, open});
    }
    record.lines += lines;
    return Cut::done;
}

RecordCutter::Cut RecordCutter::cut(Record& record, char quote) {
    record.cells.clear();
    record.lines = 1;
    record.stray_quote = false;
    std::size_t at = at_;
    for (;;) {
        if (quote != '\0' && at < text_.size() && text_[at] == quote) {
            const std::size_t open = at;
            const Cut outcome = quoted_cell(record, at);
            if (outcome == Cut::unclosed || outcome == Cut::overlong) {
                record.overlong = outcome == Cut::overlong;
                std::string_view before = text_.substr(at_, open - at_);
                record.unclosed = 1;
                for (; !before.empty(); next_character(before))
                    ++record.unclosed;
            }
            if (outcome != Cut::done)
                return outcome;
        } else {
            const std::size_t start = at;
            bool stray = false;
            while (at < text_.size() && text_[at] != dialect_.delimiter && text_[at] != '\n' &&
                   text_[at] != '\r') {
                stray = stray || (quote != '\0' && text_[at] == quote);
                ++at;
            }
            const std::string_view cell = text_.substr(start, at - start);
            const std::string_view trimmed = stray ? trim(cell) : cell;
            record.stray_quote =
                record.stray_quote || (stray && without_guard(trimmed).size() == trimmed.size());
            record.cells.push_back({cell, false, SheetKind::text, start});
        }
        if (at >= text_.size()) {
            if (!last_)
                return Cut::incomplete;
            record.end = text_.size();
            record.raw = text_.substr(at_);
            return Cut::done;
        }
        const std::size_t content_end = at;
        bool incomplete = false;
        if (end_of_line(at, incomplete)) {
            if (incomplete)
                return Cut::incomplete;
            record.end = at;
            record.raw = text_.substr(at_, content_end - at_);
            return Cut::done;
        }
        ++at; // the delimiter
    }
}

bool RecordCutter::next(Record& record) {
    if (at_ >= text_.size())
        return false;
    unescaped_.clear();
    record.unclosed = 0;
    record.overlong = false;
    Cut outcome = cut(record, dialect_.quote);
    if (outcome == Cut::unclosed || outcome == Cut::overlong)
        outcome = cut(record, '\0');
    if (outcome != Cut::done)
        return false;
    record.line = line_;
    record.begin = at_;
    at_ = record.end;
    line_ += record.lines;
    return true;
}

} // namespace thresh::intake
