// Builds Readings in memory from rows written as people would write them, as intake would deliver them:
// blocks by source, sheet and line in canonical order, interned texts sorted bytewise. For tests only.
#pragma once

#include <thresh/core/readings.hpp>
#include <thresh/core/time.hpp>

#include <algorithm>
#include <cassert>
#include <charconv>
#include <map>
#include <string>
#include <tuple>
#include <utility>
#include <vector>

namespace thresh::test {

// One reading. Empty text = blank cell. `values` are {column, cell}: a column is a constituent's name with,
// after `@`, a stated basis (`protein@dry`, `oil@13`) and, after `/`, what it is part of (`oleic/sample`);
// a cell is what stands in the export: `36.49`, `<0.05` (below limit), `?36,49` (doubtful), `` or `NA`
// (missing), digits beyond a cell's range or an exponent (wide), anything else unreadable.
struct Row {
    std::string source = "a.csv";
    std::uint32_t line = 0; // 0: the line after the row before it in the same source and sheet, from 2
    std::string time = {}, sample = {}, instrument = {}, analysis = {}, material = {}, calibration = {};
    std::string operator_ = {}, sheet = {};
    std::vector<std::pair<std::string, std::string>> values = {};
};

namespace detail {

inline Cell cell_of(const std::string& text, Block& block) {
    const auto side = [&](double value, const std::string& shown) {
        block.side.push_back({value, shown});
        return static_cast<std::uint32_t>(block.side.size() - 1);
    };
    const auto number = [](std::string_view digits, double& value) {
        const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), value);
        return error == std::errc{} && end == digits.data() + digits.size();
    };
    double value = 0;
    if (text.empty() || text == "NA")
        return Cell{};
    if (text[0] == '<' && number(std::string_view(text).substr(1), value))
        return Cell::below_limit(side(value, text));
    if (text[0] == '?')
        return Cell::doubtful(side(0, text.substr(1)));
    if (!number(text, value))
        return Cell::unreadable(side(0, text));
    const auto point = text.find('.');
    const std::size_t decimals = point == std::string::npos ? 0 : text.size() - point - 1;
    std::string digits = text;
    if (point != std::string::npos)
        digits.erase(point, 1);
    std::int32_t payload = 0;
    const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), payload);
    const bool fits = error == std::errc{} && end == digits.data() + digits.size() &&
                      decimals <= Cell::kMaxDecimals && std::abs(payload) <= Cell::kMaxDigits;
    return fits ? Cell::decimal(payload, static_cast<unsigned>(decimals)) : Cell::wide(side(value, text));
}

inline Column column_of(const std::string& spec, const ConstituentTable& table) {
    const std::string name = spec.substr(0, spec.find_first_of("@/"));
    const auto id = table.find(name);
    assert(id && "a constituent of the table");
    Column column;
    column.constituent = *id;
    column.part_of = table[*id].part_of;
    column.heading = spec;
    column.unit = table[*id].unit;
    if (const auto at = spec.find('@'); at != std::string::npos)
        column.basis = parse_basis(spec.substr(at + 1, spec.find('/', at) - at - 1)).value();
    if (const auto slash = spec.find('/'); slash != std::string::npos) {
        const std::string part = spec.substr(slash + 1, spec.find('@', slash) - slash - 1);
        column.part_of = part == "sample" ? PartOf::sample : part == "oil" ? PartOf::oil : PartOf::protein;
    }
    return column;
}

inline const std::string& field_of(const Row& row, TextField field) {
    switch (field) {
    case TextField::sample:
        return row.sample;
    case TextField::instrument:
        return row.instrument;
    case TextField::operator_:
        return row.operator_;
    case TextField::analysis:
        return row.analysis;
    case TextField::calibration:
        return row.calibration;
    case TextField::material:
        break;
    }
    return row.material;
}

} // namespace detail

// `rows` in any order. A text or time column exists in a table when any of its rows fills it (sample always).
// Blocks hold at most `block_rows` rows.
inline Readings make_readings(std::vector<Row> rows, std::size_t block_rows = Block::kMaxRows) {
    const ConstituentTable constituents;
    std::map<std::pair<std::string, std::string>, std::uint32_t> last_line;
    for (Row& row : rows) {
        auto& last = last_line.try_emplace({row.source, row.sheet}, 1).first->second;
        if (row.line == 0)
            row.line = last + 1;
        last = row.line;
    }
    std::stable_sort(rows.begin(), rows.end(), [](const Row& a, const Row& b) {
        return std::tie(a.source, a.sheet, a.line) < std::tie(b.source, b.sheet, b.line);
    });

    Readings readings;
    readings.rows = rows.size();
    for (std::size_t begin = 0; begin < rows.size();) {
        std::size_t end = begin;
        while (end < rows.size() && rows[end].source == rows[begin].source &&
               rows[end].sheet == rows[begin].sheet)
            ++end;
        if (readings.files.empty() || readings.files.back().source != rows[begin].source) {
            SourceFile file;
            file.source = rows[begin].source;
            file.encoding = "UTF-8";
            file.delimiter = ",";
            readings.files.push_back(std::move(file));
        }
        readings.files.back().records += end - begin;

        auto table = std::make_shared<TableColumns>();
        table->heading_line = 1;
        std::map<std::string, std::size_t> position;
        bool timed = false;
        std::array<bool, kTextFields> filled = {true};
        for (std::size_t r = begin; r < end; ++r) {
            timed = timed || !rows[r].time.empty();
            for (std::size_t f = 0; f < kTextFields; ++f)
                filled[f] = filled[f] || !detail::field_of(rows[r], static_cast<TextField>(f)).empty();
            for (const auto& [spec, text] : rows[r].values)
                if (position.try_emplace(spec, table->numbers.size()).second)
                    table->numbers.push_back(detail::column_of(spec, constituents));
        }
        std::uint32_t sheet_column = 0;
        for (std::size_t f = 0; f < kTextFields; ++f)
            if (filled[f]) {
                table->text[f] = sheet_column++;
                table->headings.emplace_back(field_info(static_cast<TextField>(f)).name);
            }
        if (timed) {
            table->time = sheet_column++;
            table->headings.emplace_back("time");
        }
        for (Column& column : table->numbers) {
            column.position = sheet_column++;
            table->headings.push_back(column.heading);
        }

        for (std::size_t first = begin; first < end; first += block_rows) {
            Block block;
            block.file = static_cast<std::uint32_t>(readings.files.size() - 1);
            block.sheet = rows[first].sheet;
            block.table = table;
            block.first = first;
            block.rows = std::min(block_rows, end - first);
            block.cells.resize(block.rows * table->numbers.size());
            for (std::size_t r = 0; r < block.rows; ++r) {
                const Row& row = rows[first + r];
                block.line.push_back(row.line);
                if (timed) {
                    block.time.push_back(time_from_iso(row.time));
                    assert((row.time.empty() || !block.time[r].missing()) && "a time in ISO spelling");
                }
                for (std::size_t f = 0; f < kTextFields; ++f)
                    if (filled[f]) {
                        const std::string& text = detail::field_of(row, static_cast<TextField>(f));
                        block.text[f].push_back(text.empty() ? kNoText : readings.pools[f].intern(text));
                    }
                for (const auto& [spec, text] : row.values)
                    block.cells[r * table->numbers.size() + position.at(spec)] = detail::cell_of(text, block);
            }
            readings.blocks.push_back(std::move(block));
        }
        begin = end;
    }
    for (std::size_t f = 0; f < kTextFields; ++f) {
        const std::vector<TextId> renumbered = readings.pools[f].sort_bytewise();
        for (Block& block : readings.blocks)
            block.text[f].renumber([&](TextId id) { return renumbered[id]; });
    }
    return readings;
}

} // namespace thresh::test
