// Numbers are stored as the csv files spell them, so that both hold the same to the last digit, and shown
// with their column's own decimals.
#include "report/workbook/cell_sink.hpp"

#include "report/format_writer.hpp"
#include "report/text_cells.hpp"
#include "report/workbook/book_text.hpp"

#include <thresh/report/write.hpp>

#include <algorithm>
#include <charconv>
#include <cmath>

namespace thresh::report {

namespace {

using summary::Shown;

constexpr std::size_t kNoteText = 1000;
constexpr unsigned kNoteWidth = 320, kNoteLine = 17, kNoteLineCharacters = 46; // pixels; characters a line

double stored(double value, std::optional<int> digits, std::string& room) {
    room.clear();
    append_number(room, value, digits);
    double read = value;
    std::from_chars(room.data(), room.data() + room.size(), read);
    return read;
}

} // namespace

CellSink::CellSink(Book& book, lxw_worksheet* sheet, const summary::Table& table,
                   const std::vector<std::size_t>& kept, std::optional<int> digits, SheetFacts& facts)
    : book_(book), sheet_(sheet), table_(table), place_(table.columns().size(), kLeftOut), digits_(digits),
      facts_(facts), use_(kept.size()) {
    for (std::size_t i = 0; i < kept.size(); ++i)
        place_[kept[i]] = i;
}

bool CellSink::taken(unsigned width) {
    if (place_[column_++] == kLeftOut)
        return false;
    ColumnUse& use = use_[column()];
    use.width = std::max(use.width, width);
    use.any = true;
    any_ = true;
    return true;
}

void CellSink::write_text(std::string_view value, Look look) {
    bool cut = false;
    const std::string text = book_text(value, kCellText, cut);
    facts_.cut_texts += cut ? 1U : 0U;
    book_.check(worksheet_write_string(sheet_, row(), column(), text.c_str(), book_.format(look)));
}

void CellSink::text(std::string_view value) {
    if (value.empty())
        return missing();
    constexpr std::size_t kMeasured = 2000; // more than the highest row can show
    const std::string_view measured = value.substr(0, kMeasured);
    const unsigned width = display_width(measured);
    if (!taken(width))
        return;
    const unsigned most = widest_text(about());
    if (width + 1 > most || measured.find('\n') != std::string_view::npos)
        lines_ = std::max(lines_, lines_needed(measured, most - 1));
    write_text(value, Look::text);
}

void CellSink::integer(std::int64_t value) {
    spelled_.clear();
    append_integer(spelled_, value);
    if (taken(static_cast<unsigned>(spelled_.size() + 1)))
        book_.check(worksheet_write_number(sheet_, row(), column(), static_cast<double>(value),
                                           book_.format(Look::integer)));
}

void CellSink::number(double value, Shown shown) {
    if (!std::isfinite(value))
        return missing();
    const unsigned decimals = table_.columns()[column_].decimals;
    spelled_.clear();
    append_number(spelled_, value, static_cast<int>(decimals));
    if (!taken(static_cast<unsigned>(spelled_.size() + 2)))
        return;
    if (summary::only_for_people(shown))
        return write_text(Book::sign(shown) + spelled_, Look::provisional);
    const double number = stored(value, digits_of_column(about(), value, digits_), spelled_);
    book_.check(
        worksheet_write_number(sheet_, row(), column(), number, book_.format(Look::number, decimals, shown)));
}

void CellSink::time(Time value) {
    if (value.missing())
        return missing();
    const std::string text = to_text(value);
    if (!taken(static_cast<unsigned>(text.size())))
        return;
    const auto days = book_time(value);
    if (!days)
        return write_text(text, Look::text);
    const Look look = value.precision() == Time::Precision::day      ? Look::day
                      : value.precision() == Time::Precision::minute ? Look::minute
                                                                     : Look::second;
    book_.check(worksheet_write_number(sheet_, row(), column(), *days, book_.format(look)));
}

void CellSink::end_row() {
    // Not every program finds the height of broken text by itself.
    if (lines_ > 1)
        book_.check(worksheet_set_row(sheet_, row(), row_height(lines_), nullptr));
    facts_.written += any_ ? 1U : 0U;
    any_ = false;
    ++row_;
    ++facts_.rows;
}

void CellSink::note(std::string_view why) {
    if (place_[column_ - 1] == kLeftOut)
        return;
    ++facts_.of_notes;
    if (facts_.notes == kMostNotes)
        return;
    ++facts_.notes;
    bool cut = false;
    const std::string text = book_text(why, kNoteText, cut);
    unsigned lines = 1;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t end = std::min(text.find('\n', at), text.size());
        lines += 1 + display_width(std::string_view(text).substr(at, end - at)) / kNoteLineCharacters;
        at = end + 1;
    }
    std::string author = "thresh";
    lxw_comment_options options{};
    options.author = author.data();
    options.width = kNoteWidth;
    options.height = static_cast<std::uint16_t>(std::min(lines, 30U) * kNoteLine);
    book_.check(worksheet_write_comment_opt(sheet_, row(), column(), text.c_str(), &options));
}

} // namespace thresh::report
