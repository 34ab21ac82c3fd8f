// The hot path. Invariants: a row is filled here only when it has as many cells as most rows, when at least
// one number was read, and when its sample ID is neither blank nor a summary word; before that nothing has
// been changed that cannot be taken back. All else is cut and judged by the straightforward way, one row at a
// time. Numbers are integers over powers of ten, so no rounding happens here.
#include "intake/fast_rows.hpp"

#include "intake/fold.hpp"
#include "intake/row_kind.hpp"

#include <algorithm>
#include <bit>
#include <cstring>

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

// The same for one to eight characters before `end` without a sign, all at once; eight bytes before `end`
// must be readable. False too for what plain_number takes: ask it then.
inline bool short_number(const char* end, std::size_t size, char mark, std::int32_t& digits,
                         unsigned& decimals) {
    if constexpr (std::endian::native != std::endian::little)
        return false;
    constexpr std::uint64_t kEach = 0x0101010101010101ULL, kHigh = 0x8080808080808080ULL;
    const auto last_bytes = [](std::size_t n) { return ~std::uint64_t{0} << (64 - 8 * n); }; // n > 0
    std::uint64_t word = 0; // its last byte is the last character
    std::memcpy(&word, end - 8, 8);
    const std::uint64_t off = word ^ (kEach * static_cast<unsigned char>(mark));
    const std::uint64_t marks = ~(((off & ~kHigh) + ~kHigh) | off | ~kHigh) & last_bytes(size);
    decimals = 0;
    if (marks != 0) {
        const auto at = static_cast<unsigned>(std::countr_zero(marks)) / 8;
        if ((marks & (marks - 1)) != 0 || size == 1)
            return false;
        // What stands before the mark moves up over it.
        const std::uint64_t before = (std::uint64_t{1} << (8 * at)) - 1;
        word = (word & ~before & ~(std::uint64_t{0xff} << (8 * at))) | ((word & before) << 8);
        decimals = 7 - at;
        --size;
    }
    const std::uint64_t kept = last_bytes(size);
    std::uint64_t value = ((word ^ (kEach * '0')) & kept);
    if ((((value + kEach * 0x76) | value) & kHigh) != 0)
        return false; // something else than a digit
    // Pairs of digits, then pairs of pairs.
    constexpr std::uint64_t kPairs = 0x000000ff000000ffULL;
    value = value * 10 + (value >> 8);
    value =
        ((value & kPairs) * (100 + (1000000ULL << 32)) + ((value >> 16) & kPairs) * (1 + (10000ULL << 32))) >>
        32;
    digits = static_cast<std::int32_t>(static_cast<std::uint32_t>(value));
    return true;
}

} // namespace

std::string_view FastRows::cell(std::string_view text, std::size_t first, std::size_t begin,
                                std::size_t position, bool quoted) const {
    std::size_t from = position == 0 ? begin : std::size_t{rows_.ends[first + position - 1]} + 1;
    std::size_t to = rows_.ends[first + position];
    if (text[to] == '\n' && to > from && text[to - 1] == '\r')
        --to;
    if (quoted && to > from && text[from] == dialect_.quote) {
        ++from;
        --to;
    }
    return text.substr(from, to - from);
}

bool FastRows::plain_numbers(std::string_view text, std::size_t first, std::size_t begin, bool quoted,
                             Block& block) {
    const std::size_t before = block.cells.size(), side_before = block.side.size();
    const std::size_t width = plan_.numbers.size();
    block.cells.resize(before + width);
    bool good = false, odd = false;
    const char* const readable = text.data() + std::min<std::size_t>(8, text.size()); // from here eight back
    for (std::size_t c = 0; c < width; ++c) {
        const NumberPlan& number = plan_.numbers[c];
        const std::string_view value = cell(text, first, begin, number.position, quoted);
        if (value.empty())
            continue; // missing, as the cell is already
        std::int32_t digits = 0;
        unsigned decimals = 0;
        const char* const end = value.data() + value.size();
        if (number.shift == 0 && ((value.size() <= 8 && end >= readable &&
                                   short_number(end, value.size(), plan_.style.mark, digits, decimals)) ||
                                  plain_number(value.data(), end, plan_.style.mark, digits, decimals))) {
            block.cells[before + c] = Cell::decimal(digits, decimals);
            good = true;
            continue;
        }
        const Cell read = builder_.number(c, {value, quoted});
        block.cells[before + c] = read;
        good = good || (read.state() != CellState::missing && read.state() != CellState::unreadable);
        // Perhaps a row that is cut by another delimiter.
        odd = odd || (read.state() == CellState::unreadable &&
                      value.find_first_of(";|\t,") != std::string_view::npos);
    }
    if (!good || odd) {
        block.cells.resize(before);
        block.side.resize(side_before);
    }
    return good && !odd;
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
    return known == kNoText ? !is_summary_word(sample.id) : pools_.summary_word[known] == 0;
}

bool FastRows::plain_row(std::string_view text, std::size_t row, std::size_t begin, bool quoted) {
    if (rows_.cells(row) != plan_.data_width || !plan_.repeats.empty() || (quoted && rows_.special[row] != 0))
        return false;
    const std::size_t first = rows_.first(row);
    if (plan_.data_width > plan_.width && !cell(text, first, begin, plan_.width, quoted).empty())
        return false;
    TextId known = kNoText;
    if (!sample_is_plain(coming_[row % kAhead], known))
        return false;
    Block& block = builder_.open_block();
    if (!plain_numbers(text, first, begin, quoted, block))
        return false;
    const std::uint32_t line = part_.lines;
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
            {builder_.time(0, {cell(text, first, begin, *plan_.time, quoted)}, line).bits()});
    if (plan_.clock)
        part_.clock.back().push_back(
            builder_.time(1, {cell(text, first, begin, *plan_.clock, quoted)}, line));
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
    const auto holds = [&](char c) {
        return !text.empty() && std::memchr(text.data(), c, text.size()) != nullptr;
    };
    // Carriage returns that do not stand before a line feed end lines of their own.
    bool odd = holds('\0') || dialect_.delimiter == '\n';
    if (!odd && holds('\r'))
        for (std::size_t at = text.find('\r'); at != std::string_view::npos && !odd;
             at = text.find('\r', at + 1))
            odd = at + 1 < text.size() ? text[at + 1] != '\n' : last;
    if (odd || settings_.path == Path::straightforward)
        return take_slowly(text, limit, last, static_cast<std::size_t>(-1));
    const bool quoted = dialect_.quote != '\0' && holds(dialect_.quote);
    for (;;) {
        if (quoted)
            scan_quoted_rows(text, taken_, dialect_, settings_.plain_scan, rows_);
        else
            scan_rows(text, taken_, dialect_.delimiter, settings_.plain_scan, rows_);
        const std::size_t scanned =
            rows_.rows() == 0 ? taken_ : std::size_t{rows_.ends[rows_.row_last.back()]} + 1;
        if (!take_scanned(text, limit, quoted))
            return false;
        if (taken_ >= limit || taken_ >= text.size())
            return true;
        if (taken_ < scanned)
            continue;
        // What the scan left: a row that must be cut slowly, or the last one, without line feed.
        if (!(quoted && rows_.stopped) && !last)
            return true;
        const std::size_t before = taken_;
        if (!take_slowly(text, limit, last, 1))
            return false;
        if (taken_ == before)
            return true; // incomplete
    }
}

} // namespace thresh::intake
