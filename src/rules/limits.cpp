#include "rules/limits.hpp"

#include <thresh/core/nothing.hpp>

#include <algorithm>
#include <cmath>
#include <limits>

namespace thresh::rules {

std::uint32_t entry_of(const Evidence& evidence, RowId row) {
    const std::uint32_t sample = evidence.batch.sample[row];
    return !evidence.batch.list.given() || sample == kNone ? kNone : evidence.batch.samples[sample].entry;
}

const Range* range_for(const std::vector<Range>& ranges, const Column& column, std::string_view oil_type) {
    const Range* for_any = nullptr;
    for (const Range& range : ranges) {
        if (range.part_of != column.part_of)
            continue;
        if (range.oil_type.empty())
            for_any = &range;
        else if (batch::same_word(oil_type, range.oil_type))
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

RangePlan::RangePlan(const TableColumns& table, const Material& material, Ranges Material::*which,
                     bool oil_types) {
    constexpr double kOpen = std::numeric_limits<double>::infinity();
    for (std::size_t c = 0; c < table.numbers.size(); ++c) {
        const Column& column = table.numbers[c];
        const auto at = (material.*which).find(column.constituent);
        if (at == (material.*which).end() || column.constituent == constituent::moisture)
            continue;
        Entry entry{c, &at->second, nullptr, -kOpen, kOpen, kKeep, {}, false};
        const bool by_oil_type =
            oil_types && std::any_of(at->second.begin(), at->second.end(),
                                     [](const Range& range) { return !range.oil_type.empty(); });
        if (!by_oil_type) {
            entry.range = range_for(at->second, column, {});
            if (entry.range == nullptr)
                continue;
            entry.low = entry.range->low.value_or(-kOpen);
            entry.high = entry.range->high.value_or(kOpen);
            if (column.part_of == PartOf::sample)
                entry.slot = slot_for(column.basis, entry.range->basis);
            const auto factor = [&](double moisture) {
                return entry.slot == kKeep ? 1
                                           : *basis::restate(1, column.basis, entry.range->basis, moisture);
            };
            entry.window = CellWindow(entry.low, entry.high, factor(kUsualLow), factor(kUsualHigh));
            entry.only_usual = entry.slot != kKeep && (column.basis.kind != Basis::Kind::fixed ||
                                                       entry.range->basis.kind != Basis::Kind::fixed);
        }
        columns_.push_back(entry);
    }
}

void RangePlan::narrow(RowWindows& windows, const Block& block) const {
    bool only_usual = false;
    for (const Entry& entry : columns_) {
        windows.set(entry.column, entry.window);
        only_usual = only_usual || entry.only_usual;
    }
    if (!only_usual)
        return;
    if (const auto moisture = block.table->find(constituent::moisture))
        windows.set(*moisture, CellWindow(kUsualLow, kUsualHigh, 1), RowWindows::Missing::not_held);
    else
        windows.hold_none();
}

RangePlan& ReadyMade::plan(const TableColumns& table, const Material& material, Ranges Material::*which,
                           bool oil_types) {
    for (const PlanEntry& made : plans_)
        if (made.table == &table && made.material == &material && made.which == which)
            return *made.plan;
    if (plans_.size() == kMostKept)
        plans_.clear();
    return *plans_
                .emplace_back(PlanEntry{&table, &material, which,
                                        std::make_unique<RangePlan>(table, material, which, oil_types)})
                .plan;
}

std::size_t RangePlan::slot_for(Basis stated, Basis wanted) {
    // as-is to as-is stays as it is; fixed to fixed has the same factor in every row.
    if (stated.kind != Basis::Kind::fixed && wanted.kind != Basis::Kind::fixed)
        return kKeep;
    for (std::size_t i = 0; i < slots_.size(); ++i)
        if (slots_[i].stated == stated && slots_[i].wanted == wanted)
            return i;
    slots_.push_back({stated, wanted, 1});
    return slots_.size() - 1;
}

void RangePlan::set_factors(std::optional<double> moisture) {
    for (Slot& slot : slots_)
        slot.factor = basis::restate(1, slot.stated, slot.wanted, moisture).value_or(kNothing);
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
        const double unit = 1 / kPowersOfTen[std::min(decimals, 9U)]; // of the last decimal
        std::string text = fmt::format("{:.{}f}", value, decimals);
        // Further apart than two units they are never spelled alike.
        if (!limit || decimals >= 9 || std::abs(value - *limit) > 2 * unit ||
            text != fmt::format("{:.{}f}", *limit, decimals))
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
                                    listed(evidence, finding.row, batch::ListText::oil_type));
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
