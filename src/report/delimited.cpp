// Comma- and tab-separated text: a heading, then one line a row. Both differ only in how a text cell is
// spelled and what stands between cells. Rows are put together in the string itself, so that a cell costs
// neither a call nor a copy; what is rare in a cell is left to the functions of
// text_cells.hpp and number.cpp, which write the same bytes.
#include "report/digit_lanes.hpp"
#include "report/fixed_decimals.hpp"
#include "report/format_writer.hpp"
#include "report/plain_text.hpp"
#include "report/text_cells.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <vector>

namespace thresh::report {

namespace {

// The bytes of some rows, in a string that is as long as the text may become: nothing is filled in twice or
// copied once more. finish() cuts it to what was written.
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
    void finish() { into_.resize(static_cast<std::size_t>(end_ - into_.data())); }

  private:
    void grow(std::size_t count) {
        const auto used = end_ - into_.data();
        into_.resize(std::max(into_.capacity(), into_.size() + into_.size() / 8 + count + 4096));
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
    // Cuts the string to what was written.
    void finish() { row_.finish(); }
    void begin_row() override { column_ = 0; }
    void text(std::string_view value) override {
        char* at = next(value.size());
        if (char* end = copy_plain(at, value))
            return row_.end_at(end);
        row_.end_at(at);
        spell(value);
    }
    // Most of a large table is sent in groups. What a loop keeps in members is written and read again for
    // every cell, because a byte that is written may be part of them as far as the compiler knows: so all
    // stays local.
    void texts(std::span<const std::string_view> values) override {
        std::size_t most = values.size();
        for (const std::string_view value : values)
            most += value.size();
        char* at = row_.room(most);
        for (std::size_t i = 0; i < values.size(); ++i) {
            if (column_ + i > 0)
                *at++ = kDelimiter;
            char* end = copy_plain(at, values[i]);
            if (end == nullptr) {
                row_.end_at(at);
                spell(values[i]);
                end = row_.room(most);
            }
            at = end;
        }
        column_ += values.size();
        row_.end_at(at);
    }
    void integer(std::int64_t value) override {
        constexpr std::size_t kMost = 20;
        char* at = next(kMost);
        row_.end_at(std::to_chars(at, at + kMost, value).ptr);
    }
    void number(double value, summary::Shown shown) override {
        if (summary::only_for_people(shown))
            missing();
        else
            put_number(value);
    }
    void numbers(std::span<const double> values, std::span<const bool> whole) override {
        constexpr std::size_t kMost = 64;
        std::uint64_t digits[kMost];
        while (!values.empty()) {
            const std::size_t count = std::min(values.size(), kMost);
            if (same_digits_)
                digits_of_all(decimals_, values.first(count), digits);
            else
                std::fill_n(digits, count, FixedDecimals::kNotHere);
            put_all(values.first(count), digits, whole.first(std::min(whole.size(), count)));
            values = values.subspan(count);
            whole = whole.subspan(std::min(whole.size(), count));
        }
    }
    void time(Time value) override {
        row_.end_at(next(0));
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

    // Copies what needs no spelling and returns the end, nullptr where something does.
    static char* copy_plain(char* at, std::string_view value) {
        if constexpr (kDelimiter == ',')
            return !value.empty() && may_run(value.front())
                       ? nullptr
                       : put_unless_holding<',', '"', '\n', '\r'>(at, value);
        else
            return put_unless_holding<'\t', '\n', '\r', '\\'>(at, value);
    }
    void spell(std::string_view value) {
        scratch_.clear();
        if constexpr (kDelimiter == ',')
            append_csv_text(scratch_, value);
        else
            append_tsv_text(scratch_, value);
        row_.append(scratch_);
    }

    // Room for each is made before, also for those that follow one that is spelled slowly.
    void put_all(std::span<const double> values, const std::uint64_t* digits, std::span<const bool> whole) {
        constexpr std::size_t kRoom = FixedDecimals::kRoom + 1;
        const FixedDecimals decimals = decimals_;
        char* at = row_.room(values.size() * kRoom);
        for (std::size_t i = 0; i < values.size(); ++i) {
            if (column_ + i > 0)
                *at++ = kDelimiter;
            if (!whole.empty() && whole[i]) {
                at = put_whole(at, values[i]);
            } else if (digits[i] != FixedDecimals::kNotHere) {
                at = decimals.put_digits(at, digits[i]);
            } else if (!std::isnan(values[i])) {
                row_.end_at(at);
                append_slowly(values[i], columns_[column_ + i]);
                at = row_.room((values.size() - i) * kRoom);
            }
        }
        column_ += values.size();
        row_.end_at(at);
    }
    // Most counts are of one digit.
    static char* put_whole(char* at, double value) {
        if (std::isnan(value))
            return at;
        const auto count = static_cast<std::int64_t>(value);
        if (count >= 0 && count < 10) {
            *at = static_cast<char>('0' + count);
            return at + 1;
        }
        return std::to_chars(at, at + FixedDecimals::kRoom, count).ptr;
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
};

template <char kDelimiter>
class DelimitedWriter final : public FormatWriter {
  public:
    explicit DelimitedWriter(std::optional<int> digits) : digits_(digits) {}
    void head(const summary::Table& table, std::string& into) const override {
        DelimitedSink<kDelimiter> sink(into, digits_, table);
        sink.begin_row();
        for (const summary::OutColumn& column : table.columns())
            sink.text(column.name);
        sink.end_row();
        sink.finish();
    }
    void rows(const summary::Table& table, std::size_t first, std::size_t last,
              std::string& into) const override {
        DelimitedSink<kDelimiter> sink(into, digits_, table);
        table.write(first, last, sink);
        sink.finish();
    }
    void tail(const summary::Table&, std::string& into) const override { into.clear(); }

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
