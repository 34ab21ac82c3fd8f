// A record is first judged as a whole (blank, too long, summary, heading, text between tables), then its
// cells are read. What a rule must know later (below a limit, unreadable, wide) goes to the block's side
// table; times are kept raw until the whole column is known.
#include "intake/block_builder.hpp"

#include "intake/fold.hpp"
#include "intake/heading_again.hpp"
#include "intake/row_kind.hpp"
#include "intake/xlsx/number_text.hpp"

#include <algorithm>
#include <bit>
#include <cstring>
#include <fmt/format.h>

namespace thresh::intake {

Block& BlockBuilder::new_block() {
    Block& block = part_.blocks.emplace_back();
    block.table = plan_.table;
    const std::size_t rows = std::min(expected_rows_, Block::kMaxRows);
    block.cells.reserve(rows * plan_.numbers.size());
    block.line.reserve(rows);
    if (plan_.time)
        block.time.reserve(rows);
    for (const auto& [field, position] : plan_.texts)
        block.text[static_cast<std::size_t>(field)].reserve(rows);
    part_.clock.emplace_back();
    part_.native.emplace_back();
    if (plan_.clock)
        part_.clock.back().reserve(rows);
    return block;
}

void BlockBuilder::event(RowEvent kind, std::uint32_t line, std::uint32_t column, std::string_view example) {
    EventCount& count = part_.events[static_cast<std::size_t>(kind)];
    if (count.count++ == 0) {
        count.line = line;
        count.column = column;
        count.example = std::string(beginning(example, 80));
    }
}

Cell BlockBuilder::number(std::size_t column, const CellText& cell) {
    const NumberStyle style = cell.kind == SheetKind::number ? NumberStyle{} : plan_.style;
    return store(read_number_cell(cell.text, style, plan_.numbers[column].shift), cell);
}

Cell BlockBuilder::store(const NumberCell& number, const CellText& cell) {
    Block& block = part_.blocks.back();
    const auto beside = [&](double value) {
        block.side.push_back({value, std::string(trim(cell.text))});
        return static_cast<std::uint32_t>(block.side.size() - 1);
    };
    switch (number.kind) {
    case NumberCell::Kind::decimal:
        return Cell::decimal(number.digits, number.decimals);
    case NumberCell::Kind::missing:
        return {};
    case NumberCell::Kind::wide:
        return Cell::wide(beside(number.value));
    case NumberCell::Kind::below_limit:
        return Cell::below_limit(beside(number.value));
    case NumberCell::Kind::unreadable:
        break;
    }
    return Cell::unreadable(beside(0));
}

TextId BlockBuilder::other_text(TextField field, std::string_view text, Last& last) {
    last.text = text;
    last.id = kNoText;
    text = trim(text);
    if (text.empty())
        return kNoText;
    text = without_guard(text);
    if (text.empty())
        return kNoText;
    const std::uint64_t hash = hash_bytes(text);
    if (const TextId known = pools_.pools[static_cast<std::size_t>(field)].find(text, hash); known != kNoText)
        return last.id = known;
    return last.id = new_text(field, text, hash);
}

TextId BlockBuilder::new_text(TextField field, std::string_view text, std::uint64_t hash) {
    const auto f = static_cast<std::size_t>(field);
    if (has_control_character(text)) {
        scratch_ = heading_text(text); // line breaks as blanks
        text = scratch_;
        hash = hash_bytes(text);
    }
    const TextId id = pools_.pools[f].intern(text, hash);
    if (field == TextField::sample && id >= pools_.summary_word.size()) {
        pools_.summary_word.resize(id + 1);
        pools_.summary_word[id] = is_summary_word(text);
        pools_.any_summary_word = pools_.any_summary_word || pools_.summary_word[id] != 0;
    }
    return id;
}

namespace {

// `hh:mm:ss` as seconds of the day; kNoClock for all else. All eight characters are looked at together.
constexpr std::uint32_t kNoClock = 86400;
std::uint32_t plain_clock(const char* at) {
    std::uint64_t word = 0, expected = 0;
    std::memcpy(&word, at, sizeof word);
    std::memcpy(&expected, "00:00:00", sizeof expected);
    word ^= expected; // digits as their values, colons as 0
    if constexpr (std::endian::native == std::endian::big)
        word = __builtin_bswap64(word);
    // The highest bit of a byte: it is above 9 for a digit, above 0 for a colon.
    if (((word | (word + 0x76767f76767f7676ULL)) & 0x8080808080808080ULL) != 0)
        return kNoClock;
    const auto two_digits = [word](unsigned byte) {
        return static_cast<std::uint32_t>((word >> (8 * byte) & 15) * 10 + (word >> (8 * byte + 8) & 15));
    };
    const std::uint32_t hour = two_digits(0), minute = two_digits(3), second = two_digits(6);
    return hour > 23 || minute > 59 || second > 59 ? kNoClock : hour * 3600 + minute * 60 + second;
}

} // namespace

// 2026-08-03T07:41 and with seconds, the commonest spelling; the day of the row before is remembered.
bool BlockBuilder::plain_time(std::string_view text, RawTime& time) {
    if (text.size() != 16 && text.size() != 19)
        return false;
    const bool seconds = text.size() == 19;
    if (text[10] != 'T' && text[10] != ' ')
        return false;
    std::array<char, 8> minutes{'0', '0', ':', '0', '0', ':', '0', '0'};
    if (!seconds)
        std::copy_n(text.begin() + 11, 5, minutes.begin());
    const std::uint32_t clock = plain_clock(seconds ? text.data() + 11 : minutes.data());
    if (clock == kNoClock)
        return false;
    if (!same_text(text.substr(0, 10), day_text_)) {
        constexpr std::string_view kPattern = "dddd-dd-dd";
        for (std::size_t i = 0; i < kPattern.size(); ++i)
            if (kPattern[i] == 'd' ? text[i] < '0' || text[i] > '9' : text[i] != kPattern[i])
                return false;
        const TimeCell day = read_time_cell(text.substr(0, 10));
        if (day.form != TimeForm::year_first)
            return false;
        day_text_ = text.substr(0, 10);
        day_seconds_ = Time{day.raw.bits()}.seconds();
    }
    time = RawTime::settled(
        Time::of(day_seconds_ + clock, seconds ? Time::Precision::second : Time::Precision::minute));
    return true;
}

// The row at hand, whose time is not in the block yet, begins a run.
void BlockBuilder::new_offset(std::size_t which, std::int16_t offset) {
    const std::size_t row = which == 0 ? part_.blocks.back().time.size() : part_.clock.back().size();
    part_.offsets[which].push_back({part_.blocks.size() - 1, row, offset});
    offset_[which] = offset;
}

RawTime BlockBuilder::time(std::size_t which, std::string_view text, SheetKind kind, std::uint32_t line) {
    TimeCell time;
    if (kind == SheetKind::doubtful_date)
        time.form = TimeForm::unreadable;
    else if (plain_time(text, time.raw))
        time.form = TimeForm::year_first;
    else
        time = read_time_cell(text);
    const auto see = [&](EventCount& count) {
        if (count.count++ == 0) {
            count.line = line;
            count.example = std::string(beginning(trim(text), 40));
        }
    };
    see(part_.time_forms[which][static_cast<std::size_t>(time.form)]);
    if (time.unfit != 0)
        see(part_.unfit_dates[which][time.unfit]);
    if (time.offset != offset_[which] && time.form != TimeForm::clock &&
        time.raw.precision() > Time::Precision::day)
        new_offset(which, time.offset);
    return time.raw;
}

void Part::shift_lines(std::uint32_t base) {
    for (Block& block : blocks)
        block.line.shift(base);
    const auto shift = [base](EventCount& count) { count.line += count.count > 0 ? base : 0; };
    for (auto& forms : time_forms)
        std::for_each(forms.begin(), forms.end(), shift);
    for (auto& orders : unfit_dates)
        std::for_each(orders.begin(), orders.end(), shift);
    std::for_each(events.begin(), events.end(), shift);
    for (std::uint32_t& line : repeats_line)
        line += base;
    for (RejectedRow& row : rejected)
        row.line += base;
}

RowOutcome BlockBuilder::reject(const Record& record, std::string reason) {
    part_.rejected.push_back({0, {}, record.line, std::move(reason), std::string(record.raw)});
    ++part_.records;
    return RowOutcome::rejected;
}

RowOutcome BlockBuilder::not_a_reading(const Record& record, RowEvent kind) {
    event(kind, record.line, 0, record.raw);
    ++part_.records;
    ++part_.not_a_reading;
    return RowOutcome::not_a_reading;
}

std::string BlockBuilder::foreign_reason(const Record& record) const {
    const char delimiter = foreign_delimiter(record, plan_.width);
    return fmt::format("its cells are parted by {}, those of the rows above are not",
                       delimiter == '\t' ? std::string("tabs") : fmt::format("`{}`", delimiter));
}

// A row none of whose number columns holds a number, or all of whose are unreadable.
RowOutcome BlockBuilder::judge_numberless(const Record& record, std::size_t filled, std::size_t error_words) {
    if (repeats_heading(record, plan_))
        return not_a_reading(record, RowEvent::repeated_heading);
    if (is_heading(record, dictionary_))
        return RowOutcome::new_table;
    const auto sample = plan_.text_position(TextField::sample);
    if (is_units_row(record, sample))
        return other_units(HeadRow::of(record), *plan_.heading, dictionary_)
                   ? RowOutcome::new_table
                   : not_a_reading(record, RowEvent::units_row);
    const bool named = sample && !trim(cell_at(record, *sample)).empty();
    if (!named && other_group(HeadRow::of(record), *plan_.heading, dictionary_))
        return RowOutcome::new_table;
    if (filled == 0) {
        const std::size_t cells =
            static_cast<std::size_t>(std::count_if(record.cells.begin(), record.cells.end(),
                                                   [](const CellText& c) { return !trim(c.text).empty(); }));
        if (foreign_delimiter(record, plan_.width) != '\0')
            return reject(record, foreign_reason(record));
        // A single cell under the heading of IDs is an ID without values, unless the row is short (a sheet's
        // row has no width of its own) or the cell reads like words.
        const bool words = named && trim(cell_at(record, *sample)).find(' ') != std::string_view::npos;
        const bool narrow = words || (!record.of_sheet && record.cells.size() < plan_.width);
        if (cells == 1 && plan_.width > 2 && (!named || narrow))
            return not_a_reading(record, RowEvent::text_row);
    } else if (filled >= 2 && error_words == 0) {
        return reject(record, "text where numbers are expected");
    }
    return RowOutcome::reading;
}

void BlockBuilder::compare_repeats(const Record& record) {
    for (std::size_t r = 0; r < plan_.repeats.size(); ++r) {
        const Repeat& repeat = plan_.repeats[r];
        const std::uint32_t first =
            repeat.number ? plan_.numbers[*repeat.number].position : *plan_.text_position(*repeat.field);
        const std::string_view a = trim(cell_at(record, first)), b = trim(cell_at(record, repeat.position));
        if (a == b)
            continue;
        if (repeat.number) {
            const NumberCell x = read_number_cell(a, plan_.style, 0), y = read_number_cell(b, plan_.style, 0);
            const auto value = [](const NumberCell& n) {
                return n.kind == NumberCell::Kind::decimal ? n.digits / kPowersOfTen[n.decimals] : n.value;
            };
            const auto is_number = [](const NumberCell& n) {
                return n.kind == NumberCell::Kind::decimal || n.kind == NumberCell::Kind::wide;
            };
            if ((is_number(x) && is_number(y) && !(value(x) < value(y)) && !(value(x) > value(y))) ||
                (x.kind == NumberCell::Kind::missing && y.kind == NumberCell::Kind::missing))
                continue;
        }
        if (part_.repeats_differ[r]++ == 0)
            part_.repeats_line[r] = record.line;
    }
}

void BlockBuilder::append(const Record& record) {
    Block& block = open_block();
    static const CellText kBlank;
    const auto at = [&](std::uint32_t position) -> const CellText& {
        return position < record.cells.size() ? record.cells[position] : kBlank;
    };
    for (std::size_t c = 0; c < plan_.numbers.size(); ++c) {
        const CellText& cell = at(plan_.numbers[c].position);
        if (cell.kind == SheetKind::uncomputed)
            event(RowEvent::uncomputed, record.line, plan_.numbers[c].position + 1, {});
        block.cells.push_back(store(read_[c], cell));
        if (record.of_sheet)
            part_.native.back().push_back(cell.kind == SheetKind::number);
    }
    for (const auto& [field, position] : plan_.texts)
        block.text[static_cast<std::size_t>(field)].push_back(text(field, at(position).text));
    if (const auto sample = plan_.text_position(TextField::sample); sample && record.of_sheet)
        if (const CellText& id = at(*sample);
            id.kind == SheetKind::number && id.text.size() > 15 && xlsx::loses_digits(id.text))
            part_.number_ids.emplace_back(id.text);
    const auto time_at = [&](std::size_t which, std::uint32_t position) {
        return time(which, at(position).text, at(position).kind, record.line);
    };
    if (plan_.time)
        block.time.push_back({time_at(0, *plan_.time).bits()});
    if (plan_.clock)
        part_.clock.back().push_back(time_at(1, *plan_.clock));
    block.line.push_back(record.line);
    ++block.rows;
}

RowOutcome BlockBuilder::add(const Record& record) {
    part_.lines += record.lines;
    if (record.unclosed != 0)
        return reject(record, record.unclosed_reason());
    if (record.blank()) {
        ++part_.blank;
        return RowOutcome::blank;
    }
    if (!record.of_sheet && record.raw.find('\0') != std::string_view::npos)
        return reject(record, "the record holds a NUL byte");
    std::size_t filled = 0, unreadable = 0, error_words = 0;
    bool cut_otherwise = false;
    read_.clear();
    for (const NumberPlan& number : plan_.numbers) {
        const std::string_view text = trim(cell_at(record, number.position));
        const bool sheet_number =
            number.position < record.cells.size() && record.cells[number.position].kind == SheetKind::number;
        read_.push_back(read_number_cell(text, sheet_number ? NumberStyle{} : plan_.style, number.shift));
        const auto kind = read_.back().kind;
        if (kind == NumberCell::Kind::missing)
            continue;
        ++filled;
        if (kind == NumberCell::Kind::unreadable) {
            ++unreadable;
            cut_otherwise = cut_otherwise || may_be_cut_otherwise(text);
            error_words += is_error_word(text) ||
                           std::any_of(text.begin(), text.end(), [](char c) { return c >= '0' && c <= '9'; });
        }
    }
    if (cut_otherwise && foreign_delimiter(record, plan_.width) != '\0')
        return reject(record, foreign_reason(record));
    if (unreadable == filled) {
        const RowOutcome outcome = judge_numberless(record, filled, error_words);
        if (outcome == RowOutcome::new_table)
            part_.lines -= record.lines;
        if (outcome != RowOutcome::reading)
            return outcome;
    }
    for (std::size_t i = plan_.width; i < record.cells.size(); ++i)
        if (!trim(record.cells[i].text).empty()) {
            ++part_.longer;
            return reject(record,
                          fmt::format("{} cells under {} headings", record.cells.size(), plan_.width));
        }
    const auto sample = plan_.text_position(TextField::sample);
    const std::string_view id = sample ? without_guard(trim(cell_at(record, *sample))) : std::string_view();
    const auto timeless = [&] {
        const std::string_view time = plan_.time ? trim(cell_at(record, *plan_.time)) : std::string_view();
        return time.empty() || (id.empty() && read_time_cell(time).form == TimeForm::unreadable);
    };
    if (is_summary_word(id.empty() ? first_filled(record) : id) && timeless())
        return not_a_reading(record, RowEvent::summary_row);
    if (record.cells.size() < plan_.width && !record.of_sheet)
        event(RowEvent::short_row, record.line, 0, record.raw);
    if (record.stray_quote)
        event(RowEvent::stray_quote, record.line, 0, record.raw);
    for (const std::uint32_t position : plan_.unnamed)
        if (!trim(cell_at(record, position)).empty())
            event(RowEvent::unnamed_cell, record.line, position + 1, cell_at(record, position));
    compare_repeats(record);
    append(record);
    ++part_.records;
    return RowOutcome::reading;
}

} // namespace thresh::intake
