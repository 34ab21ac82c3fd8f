// The quick ways of writing a cell, each beside the straightforward one.
#include "report/digit_lanes.hpp"
#include "report/fixed_decimals.hpp"
#include "report/plain_text.hpp"
#include "report/text_cells.hpp"
#include "report/time_text.hpp"

#include <catch2/catch.hpp>
#include <thresh/report/write.hpp>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstdint>
#include <limits>
#include <memory>
#include <random>
#include <span>
#include <string>
#include <vector>

using namespace thresh;
using report::FixedDecimals;

namespace {

std::string by_to_chars(double value, int decimals) {
    char buffer[400];
    return {buffer,
            std::to_chars(buffer, buffer + sizeof buffer, value, std::chars_format::fixed, decimals).ptr};
}

// Empty when the quick way does not take the number.
std::string quickly(double value, int decimals) {
    char buffer[FixedDecimals::kRoom];
    const char* end = FixedDecimals(decimals).put(buffer, value);
    return end == nullptr ? std::string() : std::string(static_cast<const char*>(buffer), end);
}

// The table sends what it has in groups; a stored copy of it sends cell by cell.
class Grouped final : public summary::Table {
  public:
    Grouped() {
        name_ = "readings";
        for (const char* name : {"sample", "line", "n", "protein", "oil", "ash", "protein_n", "starch",
                                 "starch_n", "time", "note"}) {
            summary::OutColumn column;
            column.name = name;
            columns_.push_back(column);
        }
    }
    std::size_t rows() const override { return 500; }
    void write(std::size_t first, std::size_t last, summary::RowSink& sink) const override {
        static constexpr std::string_view kTexts[] = {"",
                                                      "P-1",
                                                      "a,b",
                                                      "=1+1",
                                                      "-4.2",
                                                      "-x",
                                                      "\"so\"",
                                                      "two\nlines",
                                                      "tab\there",
                                                      "back\\slash",
                                                      "a text of more than sixteen bytes, with a comma"};
        for (std::size_t row = first; row < last; ++row) {
            std::mt19937_64 random(row);
            const auto any_text = [&] { return kTexts[random() % std::size(kTexts)]; };
            const auto any_number = [&] {
                return random() % 5 == 0 ? std::numeric_limits<double>::quiet_NaN()
                                         : static_cast<double>(random() % 2000001) / 16000.0 - 20;
            };
            sink.begin_row();
            const std::string_view texts[] = {any_text(), any_text()};
            sink.texts(texts);
            sink.integer(static_cast<std::int64_t>(random() >> random() % 64));
            const double numbers[] = {any_number(), any_number(), any_number()};
            sink.numbers(numbers);
            const double counts[] = {static_cast<double>(random() % 30), any_number(),
                                     random() % 2 == 0 ? 9876543210.0 : std::nan("")};
            constexpr bool kWhole[] = {true, false, true};
            sink.numbers(counts, kWhole);
            sink.time(random() % 3 == 0 ? Time{}
                                        : Time::of(static_cast<std::int64_t>(random() % 4'000'000'000),
                                                   Time::Precision::minute));
            sink.text(any_text());
            sink.end_row();
        }
    }
};

std::string written(const summary::Table& table, report::Format format, std::optional<int> digits) {
    report::WriteOptions options;
    options.format = format;
    options.digits = digits;
    std::string all;
    report::write_table(table, options, [&](std::string_view piece) {
        all += piece;
        return true;
    });
    return all;
}

} // namespace

TEST_CASE("fixed decimals are quick for every four digits before and after") {
    for (unsigned four = 0; four < 10000; ++four) {
        const double value = four + four / 10000.0;
        if (four < 9999)
            REQUIRE(quickly(value, 4) == by_to_chars(value, 4));
        REQUIRE(quickly(four / 100.0, 2) == by_to_chars(four / 100.0, 2));
    }
}

TEST_CASE("fixed decimals written quickly are those of exact conversion, at ties and beside them too") {
    std::mt19937_64 random(1);
    std::size_t taken = 0;
    for (int i = 0; i < 400000; ++i) {
        const int decimals = 1 + static_cast<int>(random() % FixedDecimals::kMostDecimals);
        double value = std::ldexp(static_cast<double>(random() >> 11), static_cast<int>(random() % 34) - 60);
        if (i % 4 == 0) // decimals at a tie of four places or next to one
            value = static_cast<double>(random() % 2'000'001) / 20000.0;
        if (i % 4 == 1) // true ties
            value = static_cast<double>(random() % 1'000'003) / 1024.0;
        if (i % 8 == 2)
            value = std::nextafter(static_cast<double>(random() % 1'000'003) / 1024.0, i % 16 < 8 ? 0 : 1e9);
        const std::string text = quickly(value, decimals);
        taken += text.empty() ? 0U : 1U;
        if (!text.empty())
            REQUIRE(text == by_to_chars(value, decimals));
    }
    CHECK(taken > 200000);
}

TEST_CASE("what is negative, large, at a tie or no number is not written quickly") {
    CHECK(quickly(-0.1, 4).empty());
    CHECK(quickly(std::numeric_limits<double>::quiet_NaN(), 4).empty());
    CHECK(quickly(std::numeric_limits<double>::infinity(), 4).empty());
    CHECK(quickly(10000, 4).empty()); // nine digits
    CHECK(quickly(9999.9998, 4) == "9999.9998");
    CHECK(quickly(0.125, 2).empty());
    CHECK(quickly(1, 0).empty());
    CHECK(quickly(1, FixedDecimals::kMostDecimals + 1).empty());
    CHECK(quickly(-0.0, 1) == "0.0");
}

namespace {

using report::PutMany;

// All that this processor can do: each must write the same.
std::vector<PutMany> ways() {
    std::vector<PutMany> all = {report::put_numbers, report::put_one_by_one};
    for (const PutMany wider : {report::put_by_fours(), report::put_by_eights()})
        if (wider != nullptr)
            all.push_back(wider);
    return all;
}

// What is written before a number comes that is not for here, and how many there are.
std::pair<std::string, std::size_t> put(PutMany how, int decimals, std::span<const double> values,
                                        std::span<const bool> whole) {
    std::string text(values.size() * report::kRoomOfNumber, '#');
    const report::PutNumbers got = how(FixedDecimals(decimals), ';', values, whole, text.data());
    text.resize(static_cast<std::size_t>(got.end - text.data()));
    return {text, got.count};
}

// The same, each number by itself.
std::pair<std::string, std::size_t> put_singly(int decimals, std::span<const double> values,
                                               std::span<const bool> whole) {
    std::string text;
    for (std::size_t i = 0; i < values.size(); ++i) {
        const std::string number = quickly(values[i], decimals);
        if (number.empty() && !std::isnan(values[i]))
            return {text, i};
        text += ';';
        text += whole.empty() || !whole[i] ? number : number.substr(0, number.find('.'));
    }
    return {text, values.size()};
}

} // namespace

TEST_CASE("many numbers are written as each is, with wider registers and without") {
    std::mt19937_64 random(7);
    std::size_t stopped = 0;
    for (int decimals = 0; decimals <= FixedDecimals::kMostDecimals + 1; ++decimals)
        for (std::size_t round = 0; round < 400; ++round) {
            const std::size_t count = round % 40;
            std::vector<double> values(count);
            const auto whole = std::make_unique<bool[]>(count);
            for (std::size_t i = 0; i < count; ++i) {
                values[i] = static_cast<double>(random() % 2'000'001) / 20000.0 + 0.000001;
                whole[i] = random() % 3 == 0;
                if (whole[i])
                    values[i] = static_cast<double>(random() % 12);
                if (random() % 8 == 0)
                    values[i] = std::nan("");
                if (round % 2 == 0)
                    continue;
                if (random() % 16 == 0)
                    values[i] = static_cast<double>(random() % 1'000'003) / (whole[i] ? 1 : 1024);
                if (random() % 32 == 0)
                    values[i] = -values[i];
                if (random() % 32 == 0)
                    values[i] = std::numeric_limits<double>::infinity();
            }
            const std::span<const bool> flags =
                round % 3 == 0 ? std::span<const bool>() : std::span<const bool>(whole.get(), count);
            const auto wanted = put_singly(decimals, values, flags);
            stopped += wanted.second < count ? 1U : 0U;
            for (const PutMany way : ways())
                REQUIRE(put(way, decimals, values, flags) == wanted);
        }
    CHECK(stopped > 500);
    // Every pattern of digits, in every place of the registers.
    for (unsigned first = 0; first < 10000; ++first) {
        const double values[] = {first / 10000.0 + 0.00001, first + 0.00001,
                                 first + first / 10000.0 + 0.00001, 9999 - first + first / 10000.0 + 0.00001};
        std::vector<double> twice(std::begin(values), std::end(values));
        twice.insert(twice.end(), std::begin(values), std::end(values));
        for (const PutMany way : ways())
            REQUIRE(put(way, 4, twice, {}) == put_singly(4, twice, {}));
    }
}

TEST_CASE("texts are copied and it is told whether one of four bytes stands anywhere in them") {
    using Copier = report::PlainCopier<',', '"', '\n', '\r'>;
    for (std::size_t size = 0; size < 70; ++size) {
        std::string text(size, 'x');
        for (std::size_t i = 0; i < size; ++i)
            text[i] = static_cast<char>(i % 2 == 0 ? '\x80' + static_cast<int>(i) : '-');
        std::string into(size + 2, '#');
        Copier copier;
        char* end = copier.put(into.data() + 1, text);
        REQUIRE(end == into.data() + 1 + size);
        REQUIRE(into == "#" + text + "#");
        REQUIRE_FALSE(copier.held_any());
        for (std::size_t at = 0; at < size; ++at)
            for (const char special : {',', '"', '\n', '\r'}) {
                std::string with = text;
                with[at] = special;
                Copier fresh;
                fresh.put(into.data() + 1, with);
                fresh.put(into.data() + 1, text); // which has none, and takes nothing back
                REQUIRE(fresh.held_any());
            }
    }
}

TEST_CASE("a time written quickly is the one written by itself, whatever day came before") {
    std::mt19937_64 random(5);
    report::TimeText times;
    for (int i = 0; i < 20000; ++i) {
        const std::int64_t day = 86400;
        std::int64_t seconds = static_cast<std::int64_t>(random() % (40000U * 86400U)) - 20000 * day;
        if (i % 2 == 0) // around a midnight, before 1970 too
            seconds = (static_cast<std::int64_t>(random() % 4) - 2) * day +
                      static_cast<std::int64_t>(random() % 5) - 2;
        if (i % 64 == 1)
            seconds = (i % 128 == 1 ? 1 : -1) * 4'000'000 * day;
        const Time time = Time::of(seconds, static_cast<Time::Precision>(random() % 4));
        std::string wanted;
        report::append_time(wanted, time);
        char buffer[report::TimeText::kRoom];
        const char* end = times.put(buffer, time);
        if (end != nullptr)
            REQUIRE(std::string(static_cast<const char*>(buffer), end) == wanted);
        REQUIRE((end != nullptr || i % 64 == 1));
    }
}

TEST_CASE("cells sent together are written as cells sent one by one") {
    const Grouped table;
    const summary::StoredTable copy(table);
    for (const report::Format format : {report::Format::csv, report::Format::tsv, report::Format::ndjson})
        for (const std::optional<int> digits :
             {std::optional<int>(4), std::optional<int>(0), std::optional<int>()})
            CHECK(written(table, format, digits) == written(copy, format, digits));
}

TEST_CASE("a text cell written quickly is the one written byte by byte") {
    std::mt19937_64 random(3);
    constexpr std::string_view kBytes = "ab,\"\n\r\t\\=+-@1 \xc3\xa4";
    for (int i = 0; i < 2000; ++i) {
        std::string value;
        for (std::size_t left = random() % 20; left > 0; --left)
            value += random() % 4 == 0 ? kBytes[random() % kBytes.size()] : 'x';
        summary::OutColumn column;
        column.name = "note";
        summary::StoredTable table("notes", {column});
        summary::Value cell;
        cell.value = value;
        table.add({cell});
        std::string csv = "note\n", tsv = csv;
        report::append_csv_text(csv, value);
        report::append_tsv_text(tsv, value);
        REQUIRE(written(table, report::Format::csv, 4) == csv + "\n");
        REQUIRE(written(table, report::Format::tsv, 4) == tsv + "\n");
    }
}
