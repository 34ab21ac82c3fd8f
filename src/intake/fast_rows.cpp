// The hot path. Invariants: a row is filled here only when it has as many cells as most rows, when at least
// one number was read, and when its sample ID is neither blank nor a summary word; before that nothing has
// been changed that cannot be taken back. All else is cut and judged by the straightforward way, one row at a
// time. Numbers are integers over powers of ten, so no rounding happens here.
#include "intake/fast_rows.hpp"

#include "intake/fold.hpp"
#include "intake/number_lanes.hpp"
#include "intake/row_kind.hpp"

#include <algorithm>
#include <bit>

namespace thresh::intake {

namespace {

// A number without exponent, blanks, grouping or more than eight digits; false for everything else.
inline bool plain_number(const char* at, const char* end, char mark, std::int32_t& digits,
                         unsigned& decimals) {
    const bool negative = *at == '-';
    at += negative;
    if (end - at > 9 || at == end)
        return false;
    std::uint32_t value = 0, count = 0;
    const char* point = nullptr;
    for (; at != end; ++at) {
        const unsigned digit = static_cast<unsigned char>(*at) - unsigned{'0'};
        if (digit <= 9) {
            value = value * 10 + digit;
            ++count;
        } else if (*at == mark && !point) {
            point = at;
        } else {
            return false;
        }
    }
    if (count == 0 || count > 8)
        return false;
    digits = negative ? -static_cast<std::int32_t>(value) : static_cast<std::int32_t>(value);
    decimals = point ? static_cast<unsigned>(end - point - 1) : 0;
    return true;
}

} // namespace

void FastRows::find_lanes() {
    const auto has_shift = [](const NumberPlan& number) { return number.shift != 0; };
    if (settings_.plain_scan || !has_number_lanes() || plan_.numbers.size() < 4 ||
        std::any_of(plan_.numbers.begin(), plan_.numbers.end(), has_shift))
        return;
    for (const NumberPlan& number : plan_.numbers)
        positions_.push_back(number.position);
    if (positions_.size() >= ColumnLanes::kLanes)
        column_lanes_.emplace(positions_, plan_.style.mark);
}

// All numbers of the row at once, where its columns have the decimals that they had before. What a single row
// has of its own changes nothing; where more than a few do, asking costs more than it saves.
bool FastRows::numbers_as_before(std::string_view text, std::size_t first, Cell* cells, bool& good) {
    if (rows_to_wait_ > 0) {
        --rows_to_wait_;
        return false;
    }
    if (column_lanes_->read(text.data(), rows_.ends.data() + first, cells, good)) {
        trust_ = std::min(trust_ + 1, kMostTrust);
        unlike_ = 0;
        return true;
    }
    ++unlike_;
    trust_ -= kMostTrust / 8;
    if (trust_ < 0) {
        trust_ = kMostTrust / 2;
        rows_to_wait_ = 256;
    }
    return false;
}

Cell FastRows::one_number(std::size_t column, std::string_view value, bool quoted, Met& met) {
    if (value.empty())
        return {}; // missing
    std::int32_t digits = 0;
    unsigned decimals = 0;
    if (plan_.numbers[column].shift == 0 &&
        plain_number(value.data(), value.data() + value.size(), plan_.style.mark, digits, decimals)) {
        met.good = true;
        return Cell::decimal(digits, decimals);
    }
    const Cell read = builder_.number(column, {value, quoted});
    met.good = met.good || (read.state() != CellState::missing && read.state() != CellState::unreadable);
    met.odd = met.odd || (read.state() == CellState::unreadable && may_be_cut_otherwise(value));
    return read;
}

// All numbers of the row whatever they are; `lanes`: several at a time.
FastRows::Met FastRows::any_numbers(std::string_view text, std::size_t first, std::size_t begin, bool quoted,
                                    bool lanes, Cell* cells) {
    Met met;
    const auto read_one = [&](std::size_t c) {
        cells[c] = one_number(c, cell(text, first, begin, plan_.numbers[c].position, quoted), quoted, met);
    };
    const std::size_t width = plan_.numbers.size();
    std::size_t c = 0;
    while (lanes && width - c >= 4) {
        const std::size_t count = std::min(width - c, kMostLanes);
        const LanesRead read =
            read_number_lanes(text.data(), rows_.ends.data() + first, std::span(positions_).subspan(c, count),
                              {plan_.style.mark, quoted ? dialect_.quote : '\0'}, cells + c);
        met.good = met.good || (read.filled & ~read.left) != 0;
        for (std::uint64_t left = read.left; left != 0; left &= left - 1)
            read_one(c + static_cast<std::size_t>(std::countr_zero(left)));
        c += count;
    }
    for (; c < width; ++c)
        read_one(c);
    if (column_lanes_ && unlike_ > 1 && met.good && !met.odd) {
        column_lanes_->expect(std::span(cells, width));
        unlike_ = 0;
    }
    return met;
}

bool FastRows::plain_numbers(std::string_view text, std::size_t first, std::size_t begin, bool quoted,
                             Block& block) {
    const std::size_t before = block.cells.size(), side_before = block.side.size();
    block.cells.resize(before + plan_.numbers.size());
    Cell* const cells = block.cells.data() + before;
    // Several at a time: not the first row, before which nothing need be readable.
    const bool lanes = !positions_.empty() && first > 0 && begin > 8;
    Met met;
    if (!(lanes && column_lanes_ && !quoted && numbers_as_before(text, first, cells, met.good)))
        met = any_numbers(text, first, begin, quoted, lanes, cells);
    if (met.good && !met.odd)
        return true;
    block.cells.resize(before);
    block.side.resize(side_before);
    return false;
}

// Sample IDs come in any order, so the pool's memory is asked for some rows ahead.
void FastRows::ask_ahead(std::string_view text, std::size_t row, std::size_t origin, bool quoted) {
    if (row >= rows_.rows())
        return;
    ComingId& coming = coming_[row % kAhead];
    coming.id = {};
    const auto sample = plan_.text_position(TextField::sample);
    if (!sample || rows_.cells(row) <= *sample)
        return;
    coming.id = trim(cell(text, rows_.first(row), rows_.begin(row, origin), *sample, quoted));
    coming.hash = hash_bytes(coming.id);
    pools_.pools[static_cast<std::size_t>(TextField::sample)].prefetch(coming.hash);
}

// `known`: the ID's number if it has been seen as it is spelled here.
bool FastRows::sample_is_plain(const ComingId& sample, TextId& known) const {
    if (sample.id.empty())
        return false;
    known = pools_.pools[static_cast<std::size_t>(TextField::sample)].find(sample.id, sample.hash);
    if (known == kNoText)
        return !is_summary_word(without_guard(sample.id));
    return !pools_.any_summary_word || pools_.summary_word[known] == 0;
}

bool FastRows::plain_row(std::string_view text, std::size_t row, std::size_t begin, bool quoted) {
    if (rows_.cells(row) != plan_.data_width || !plan_.repeats.empty())
        return false;
    if (quoted && (rows_.special[row] != 0 || rows_.ends[rows_.row_last[row]] - begin > kMaxQuotedBytes))
        return false; // what is special, or too long a quote, is judged where it is cut
    const std::size_t first = rows_.first(row);
    if (plan_.data_width > plan_.width && !cell(text, first, begin, plan_.width, quoted).empty())
        return false;
    TextId known = kNoText;
    const std::string_view sample = coming_[row % kAhead].id;
    if (!sample_is_plain(coming_[row % kAhead], known))
        return false;
    Block& block = builder_.open_block();
    std::uint32_t& row_end = rows_.ends[rows_.row_last[row]];
    const bool returns = returns_ && row_end > begin && text[row_end - 1] == '\r';
    row_end -= returns; // a number ends before the carriage return
    const bool numbers = plain_numbers(text, first, begin, quoted, block);
    row_end += returns;
    if (!numbers)
        return false;
    const std::uint32_t line = part_.lines;
    if (known == kNoText && !may_be_guarded(sample))
        known = builder_.new_text(TextField::sample, sample, coming_[row % kAhead].hash);
    for (const auto& [field, position] : plan_.texts)
        block.text[static_cast<std::size_t>(field)].push_back(
            field == TextField::sample && known != kNoText
                ? known
                : builder_.text(field, cell(text, first, begin, position, quoted)));
    for (const std::uint32_t position : plan_.unnamed)
        if (!trim(cell(text, first, begin, position, quoted)).empty())
            builder_.event(RowEvent::unnamed_cell, line, position + 1,
                           cell(text, first, begin, position, quoted));
    if (plan_.time)
        block.time.push_back(
            {builder_.time(0, cell(text, first, begin, *plan_.time, quoted), SheetKind::text, line).bits()});
    if (plan_.clock)
        part_.clock.back().push_back(
            builder_.time(1, cell(text, first, begin, *plan_.clock, quoted), SheetKind::text, line));
    block.line.push_back(line);
    ++block.rows;
    ++part_.records;
    ++part_.lines;
    return true;
}

// At most `most` records the straightforward way, from taken_ on. False at the heading of another table.
bool FastRows::take_slowly(std::string_view text, std::size_t limit, bool last, std::size_t most) {
    RecordCutter cutter(text, dialect_, last, taken_, part_.lines);
    Record record;
    for (std::size_t i = 0; i < most && taken_ < limit && cutter.next(record); ++i) {
        if (builder_.add(record) == RowOutcome::new_table)
            return false;
        taken_ = record.end;
    }
    return true;
}

bool FastRows::take_scanned(std::string_view text, std::size_t limit, bool quoted) {
    const std::size_t origin = taken_;
    for (std::size_t row = 0; row < kAhead; ++row)
        ask_ahead(text, row, origin, quoted);
    for (std::size_t row = 0; row < rows_.rows(); ++row) {
        const std::size_t begin = rows_.begin(row, origin);
        if (begin >= limit)
            return true;
        taken_ = begin;
        const std::size_t end = std::size_t{rows_.ends[rows_.row_last[row]]} + 1;
        const bool plain = plain_row(text, row, begin, quoted);
        ask_ahead(text, row + kAhead, origin, quoted);
        pools_.pools[static_cast<std::size_t>(TextField::sample)].prefetch_text(
            coming_[(row + kAhead / 2) % kAhead].hash);
        if (plain) {
            taken_ = end;
            continue;
        }
        if (!take_slowly(text.substr(0, end), limit, true, 1))
            return false;
        if (taken_ != end)
            return true; // a quote that was judged never to close: the rest must be scanned anew
    }
    return true;
}

bool FastRows::take(std::string_view text, std::size_t limit, bool last) {
    taken_ = 0;
    if (dialect_.delimiter == '\n' || settings_.path == Path::straightforward) {
        ascii_ = false; // not looked at
        return take_slowly(text, limit, last, static_cast<std::size_t>(-1));
    }
    const auto scan = [&] { return scan_rows(text, taken_, dialect_, settings_.plain_scan, rows_); };
    const Survey survey = scan();
    ascii_ = !survey.beyond_ascii;
    returns_ = survey.carriage_return;
    // Carriage returns that do not stand before a line feed end lines of their own.
    bool odd = survey.zero;
    if (!odd && survey.carriage_return)
        for (std::size_t at = text.find('\r'); at != std::string_view::npos && !odd;
             at = text.find('\r', at + 1))
            odd = at + 1 < text.size() ? text[at + 1] != '\n' : last;
    if (odd)
        return take_slowly(text, limit, last, static_cast<std::size_t>(-1));
    for (bool scanned_rows = !survey.quote;; scanned_rows = false) {
        if (survey.quote)
            scan_quoted_rows(text, taken_, dialect_, settings_.plain_scan, rows_);
        else if (!scanned_rows)
            scan();
        const std::size_t scanned =
            rows_.rows() == 0 ? taken_ : std::size_t{rows_.ends[rows_.row_last.back()]} + 1;
        if (!take_scanned(text, limit, survey.quote))
            return false;
        if (taken_ >= limit || taken_ >= text.size())
            return true;
        if (taken_ < scanned)
            continue;
        // What the scan left: a row that must be cut slowly, or the last one, without line feed.
        if (!(survey.quote && rows_.stopped) && !last)
            return true;
        const std::size_t before = taken_;
        if (!take_slowly(text, limit, last, 1))
            return false;
        if (taken_ == before)
            return true; // incomplete
    }
}

} // namespace thresh::intake
