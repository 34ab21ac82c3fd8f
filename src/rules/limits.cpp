#include "rules/limits.hpp"

#include <cmath>

namespace thresh::rules {

const batch::ListEntry* entry_of(const Evidence& evidence, RowId row) {
    if (!evidence.batch.list.given())
        return nullptr;
    const std::uint32_t sample = evidence.batch.sample[row];
    if (sample == kNone)
        return nullptr;
    const std::uint32_t entry = evidence.batch.samples[sample].entry;
    return entry == kNone ? nullptr : &evidence.batch.list.entries[entry];
}

const Range* range_for(const std::vector<Range>& ranges, const Column& column,
                       const batch::ListEntry* entry) {
    const Range* for_any = nullptr;
    for (const Range& range : ranges) {
        if (range.part_of != column.part_of)
            continue;
        if (range.oil_type.empty())
            for_any = &range;
        else if (entry != nullptr && entry->oil_type == range.oil_type)
            return &range;
    }
    return for_any;
}

std::optional<double> on_range_basis(const Block& block, std::size_t row, std::size_t column,
                                     const Range& range, std::optional<double> moisture) {
    const std::optional<double> raw = basis::raw_value(block, row, column);
    const Column& about = block.table->numbers[column];
    if (!raw || about.part_of != PartOf::sample || about.constituent == constituent::moisture)
        return raw;
    return basis::restate(*raw, about.basis, range.basis, moisture);
}

std::optional<double> moisture_of(const Evidence& evidence, RowId row) {
    return basis::moisture_of(evidence.batch.block_of(row), evidence.batch.in_block(row));
}

std::optional<double> raw_of(const Evidence& evidence, RowId row, ConstituentId constituent) {
    const Block& block = evidence.batch.block_of(row);
    const auto column = block.table->find(constituent);
    return column ? basis::raw_value(block, evidence.batch.in_block(row), *column) : std::nullopt;
}

std::string exported_text(const Evidence& evidence, RowId row, ConstituentId constituent) {
    const Block& block = evidence.batch.block_of(row);
    const auto column = block.table->find(constituent);
    if (!column)
        return {};
    const Cell cell = block.cell(evidence.batch.in_block(row), *column);
    if (cell.is_missing())
        return {};
    if (cell.is_decimal())
        return fmt::format("{:.{}f}", to_double(cell), cell.decimals());
    return block.side[cell.side()].text;
}

std::string shown(double value, std::optional<double> limit, unsigned decimals) {
    for (;; ++decimals) {
        std::string text = fmt::format("{:.{}f}", value, decimals);
        if (!limit || decimals >= 9 || text != fmt::format("{:.{}f}", *limit, decimals))
            return text;
    }
}

FindingText outside_range_text(const Finding& finding, const Evidence& evidence, Ranges Material::*which,
                               std::string_view what_range) {
    const batch::Batch& batch = evidence.batch;
    const Block& block = batch.block_of(finding.row);
    const std::size_t column = *block.table->find(finding.constituent);
    const Material& material = *evidence.rules.material(batch.material[finding.row]);
    const Range& range = *range_for((material.*which).at(finding.constituent), block.table->numbers[column],
                                    entry_of(evidence, finding.row));
    const double value = *on_range_basis(block, batch.in_block(finding.row), column, range,
                                         moisture_of(evidence, finding.row));
    const ConstituentInfo& info = evidence.rules.constituents[finding.constituent];
    FindingText text{value, range.low, range.high, {}, {}, {}};
    std::string on;
    if (block.table->numbers[column].part_of == PartOf::sample) {
        text.basis = to_text(range.basis);
        on = range.basis.kind == Basis::Kind::as_is ? " as read"
             : range.basis == Basis::dry()          ? " of dry matter"
                                                    : fmt::format(" at {} % moisture", text.basis);
    }
    const bool low = range.low && value < *range.low;
    const double limit = low ? *range.low : *range.high;
    text.message = fmt::format("`{}` {}{}{} is {} {}, the {} limit for {}{}", info.name,
                               shown(value, limit, info.decimals), info.unit.empty() ? "" : " " + info.unit,
                               on, low ? "below" : "above", limit, what_range, material.name,
                               range.oil_type.empty() ? "" : " (" + range.oil_type + ")");
    return text;
}

} // namespace thresh::rules
