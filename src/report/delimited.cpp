// Comma- and tab-separated text: a heading, then one line a row. Both differ only in how a text cell is
// spelled and what stands between cells. Rows are put together in the string itself, so that a cell costs
// neither a call nor a copy; what is rare in a cell is left to the functions of
// text_cells.hpp and number.cpp, which write the same bytes.
#include "report/digit_lanes.hpp"
#include "report/fixed_decimals.hpp"
#include "report/format_writer.hpp"
#include "report/plain_text.hpp"
#include "report/text_cells.hpp"
#include "report/time_text.hpp"

#include <algorithm>
#include <bit>
#include <charconv>
#include <cmath>
#include <cstring>
#include <type_traits>
#include <vector>

namespace thresh::report {

namespace {

// The bytes of some rows, in a string that is as long as the text may become: nothing is filled in twice or
// copied once more.
class RowBytes {
  public:
    // What `into` holds is written over.
    explicit RowBytes(std::string& into)
        : into_(into), end_(into.data()), limit_(into.data() + into.size()) {}
    // Where the next bytes go: room for `count`.
    char* room(std::size_t count) {
        if (static_cast<std::size_t>(limit_ - end_) < count)
            grow(count);
        return end_;
    }
    void end_at(char* end) { end_ = end; }
    void append(std::string_view text) { end_ = std::copy(text.begin(), text.end(), room(text.size())); }
    std::size_t size() const { return static_cast<std::size_t>(end_ - into_.data()); }

  private:
    void grow(std::size_t count) {
        const std::size_t used = size();
        into_.resize(std::max(into_.capacity(), into_.size() + into_.size() / 2 + count + 4096));
        end_ = into_.data() + used;
        limit_ = into_.data() + into_.size();
    }
    std::string& into_;
    char* end_;
    char* limit_;
};

template <char kDelimiter>
class DelimitedSink final : public summary::RowSink {
  public:
    DelimitedSink(std::string& into, std::optional<int> digits, const summary::Table& table)
        : digits_(digits), columns_(table.columns()), decimals_(digits.value_or(0)),
          same_digits_(std::all_of(columns_.begin(), columns_.end(),
                                   [](const summary::OutColumn& column) { return column.significant == 0; })),
          row_(into) {}
    // Bytes written.
    std::size_t size() const { return row_.size(); }
    void begin_row() override { column_ = 0; }
    void text(std::string_view value) override {
        char* at = next(value.size());
        Copier copier;
        char* end = copier.put(at, value);
        if (!copier.held_any() && !may_be_changed(value))
            return row_.end_at(end);
        row_.end_at(at);
        spell(value);
    }
    // Most of a large table is sent in groups. What a loop keeps in members is written and read again for
    // every cell, because a byte that is written may be part of them as far as the compiler knows: so all
    // stays local. Texts that need spelling are rare: one that does sends all of its group cell by cell.
    void texts(std::span<const std::string_view> values) override {
        std::size_t most = values.size();
        for (const std::string_view value : values)
            most += value.size();
        char* at = row_.room(most);
        Copier copier;
        bool changed = false, first = column_ == 0;
        for (const std::string_view value : values) {
            *at = kDelimiter;
            at = copier.put(at + (first ? 0 : 1), value);
            changed = changed || may_be_changed(value);
            first = false;
        }
        if (copier.held_any() || changed) {
            for (const std::string_view value : values)
                text(value);
            return;
        }
        column_ += values.size();
        row_.end_at(at);
    }
    void integer(std::int64_t value) override {
        char* at = next(kRoomOfInteger);
        row_.end_at(put_integer(at, value));
    }
    void number(double value, summary::Shown shown) override {
        if (summary::only_for_people(shown))
            missing();
        else
            put_number(value);
    }
    void numbers(std::span<const double> values, std::span<const bool> whole) override {
        const bool quickly = same_digits_ && column_ > 0;
        while (!values.empty()) {
            std::size_t done = 0;
            if (quickly) {
                const auto put = put_numbers(decimals_, kDelimiter, values, whole,
                                             row_.room(values.size() * kRoomOfNumber));
                row_.end_at(put.end);
                column_ += put.count;
                done = put.count;
            }
            if (done < values.size()) {
                send_one(values[done], !whole.empty() && whole[done]);
                ++done;
            }
            values = values.subspan(done);
            whole = whole.empty() ? whole : whole.subspan(done);
        }
    }
    void time(Time value) override {
        char* at = next(TimeText::kRoom);
        char* end = times_.put(at, value);
        if (end != nullptr)
            return row_.end_at(end);
        row_.end_at(at);
        scratch_.clear();
        append_time(scratch_, value);
        row_.append(scratch_);
    }
    void missing() override { row_.end_at(next(0)); }
    void end_row() override { row_.append("\n"); }
    bool wants_marks() const override { return false; }

  private:
    // Room for a cell of up to `count` bytes, behind the delimiter.
    char* next(std::size_t count) {
        char* at = row_.room(count + 1);
        if (column_++ > 0)
            *at++ = kDelimiter;
        return at;
    }

    using Copier = std::conditional_t<kDelimiter == ',', PlainCopier<',', '"', '\n', '\r'>,
                                      PlainCopier<'\t', '\n', '\r', '\\'>>;
    // By how it begins.
    static bool may_be_changed(std::string_view value) {
        if constexpr (kDelimiter == ',')
            return !value.empty() && may_run(value.front());
        else
            return false;
    }
    void spell(std::string_view value) {
        scratch_.clear();
        if constexpr (kDelimiter == ',')
            append_csv_text(scratch_, value);
        else
            append_tsv_text(scratch_, value);
        row_.append(scratch_);
    }

    void send_one(double value, bool whole) {
        if (std::isnan(value))
            missing();
        else if (whole)
            integer(static_cast<std::int64_t>(value));
        else
            put_number(value);
    }
    static constexpr std::size_t kRoomOfInteger = 20;
    static char* put_integer(char* at, std::int64_t value) {
        if (value < 0 || value >= 100'000'000 || std::endian::native != std::endian::little)
            return std::to_chars(at, at + kRoomOfInteger, value).ptr;
        const std::uint64_t digits = FixedDecimals::eight_digits(static_cast<std::uint64_t>(value));
        constexpr std::uint64_t kLast = std::uint64_t{1} << 56; // a zero there is written
        const auto zeros = static_cast<unsigned>(std::countr_zero(digits | kLast)) / 8;
        const std::uint64_t text = (digits | 0x3030303030303030U) >> (8 * zeros);
        std::memcpy(at, &text, sizeof text);
        return at + (8 - zeros);
    }

    void put_number(double value) {
        char* at = next(FixedDecimals::kRoom);
        char* end = same_digits_ ? decimals_.put(at, value) : nullptr;
        if (end != nullptr)
            return row_.end_at(end);
        row_.end_at(at);
        append_slowly(value, columns_[column_ - 1]);
    }
    void append_slowly(double value, const summary::OutColumn& column) {
        scratch_.clear();
        append_number(scratch_, value, digits_of_column(column, value, digits_));
        row_.append(scratch_);
    }

    std::optional<int> digits_;
    const std::vector<summary::OutColumn>& columns_;
    FixedDecimals decimals_;
    bool same_digits_; // of all columns: `digits_`
    std::size_t column_ = 0;
    RowBytes row_;
    std::string scratch_;
    TimeText times_;
};

template <char kDelimiter>
class DelimitedWriter final : public FormatWriter {
  public:
    explicit DelimitedWriter(std::optional<int> digits) : digits_(digits) {}
    std::size_t head(const summary::Table& table, std::string& into) const override {
        DelimitedSink<kDelimiter> sink(into, digits_, table);
        sink.begin_row();
        for (const summary::OutColumn& column : table.columns())
            sink.text(column.name);
        sink.end_row();
        return sink.size();
    }
    std::size_t rows(const summary::Table& table, std::size_t first, std::size_t last,
                     std::string& into) const override {
        DelimitedSink<kDelimiter> sink(into, digits_, table);
        table.write(first, last, sink);
        return sink.size();
    }
    std::size_t tail(const summary::Table&, std::string&) const override { return 0; }

  private:
    std::optional<int> digits_;
};

} // namespace

std::unique_ptr<FormatWriter> csv_writer(const WriteOptions& options) {
    return std::make_unique<DelimitedWriter<','>>(options.digits);
}
std::unique_ptr<FormatWriter> tsv_writer(const WriteOptions& options) {
    return std::make_unique<DelimitedWriter<'\t'>>(options.digits);
}

} // namespace thresh::report
