// A correction was found on its own basis: the value goes there, is corrected, and comes back, so that it
// means the same whatever basis results are wanted on.
#include "summary/adjuster.hpp"

#include "summary/line_groups.hpp"

#include <thresh/basis/convert.hpp>
#include <thresh/basis/derived.hpp>
#include <thresh/basis/values.hpp>

#include <cmath>
#include <fmt/format.h>
#include <thresh/core/nothing.hpp>
#include <thresh/core/time_span.hpp>

namespace thresh::summary {

namespace {

bool holds_at(const rules::Adjustment& adjustment, Time time) {
    if (adjustment.from.missing() && adjustment.to.missing())
        return true;
    if (time.missing())
        return false;
    if (!adjustment.from.missing() && time.seconds() + length_of(time) <= adjustment.from.seconds())
        return false;
    return adjustment.to.missing() || time.seconds() < adjustment.to.seconds() + length_of(adjustment.to);
}

} // namespace

Adjuster::Adjuster(const Season& season) : season_(season) {
    for (std::size_t i = 0; i < season.batch.material_names.size(); ++i) {
        const rules::Material* material = season.rules.material(static_cast<std::uint8_t>(i));
        by_material_.push_back(material != nullptr && !material->adjust.empty());
        active_ = active_ || by_material_.back();
    }
}

const rules::Adjustment* Adjuster::find(RowId row, ConstituentId id) const {
    const std::uint8_t index = season_.batch.material[row];
    if (!corrects(index))
        return nullptr;
    const auto& adjust = season_.rules.material(index)->adjust;
    const auto at = adjust.find(id);
    if (at == adjust.end())
        return nullptr;
    const Block& block = season_.batch.block_of(row);
    const TextId text = block.text_of(TextField::instrument, row - block.first);
    const std::string_view instrument =
        text == kNoText ? std::string_view() : season_.batch.readings.pool(TextField::instrument)[text];
    const std::uint32_t sample = season_.batch.sample[row];
    for (const rules::Adjustment& one : at->second) {
        if (!batch::matches(one.instrument, instrument) || !holds_at(one, block.time_of(row - block.first)))
            continue;
        if (!one.oil_type.empty() &&
            (sample == kNone ||
             !batch::same_word(sample_attribute(season_.batch, sample, "oil_type"), one.oil_type)))
            continue;
        return changes_nothing(one) ? nullptr : &one;
    }
    return nullptr;
}

void Adjuster::apply(RowId row, Basis wanted, double moisture, std::span<const PartOf> parts,
                     std::span<const std::size_t> slot_of, double* values) const {
    const std::uint8_t index = season_.batch.material[row];
    if (!corrects(index))
        return;
    const std::optional<double> known = std::isnan(moisture) ? std::nullopt : std::optional(moisture);
    for (const auto& [id, list] : season_.rules.material(index)->adjust) {
        if (slot_of[id] == basis::kNoPlace || std::isnan(values[slot_of[id]]))
            continue;
        double& value = values[slot_of[id]];
        const rules::Adjustment* one = find(row, id);
        if (one == nullptr)
            continue;
        const bool converts = parts[id] == PartOf::sample && id != constituent::moisture;
        const Basis there = converts ? one->basis : wanted;
        const auto read = basis::restate(value, wanted, there, known);
        const auto back =
            read ? basis::restate(one->intercept + one->slope * *read, there, wanted, known) : std::nullopt;
        value = back.value_or(kNothing); // no moisture to get to its basis and back: no value
    }
}

std::optional<double> Adjuster::moisture(RowId row) const {
    const rules::Adjustment* one = active_ ? find(row, constituent::moisture) : nullptr;
    if (one == nullptr)
        return std::nullopt;
    const Block& block = season_.batch.block_of(row);
    const auto read = basis::moisture_of(block, row - block.first);
    return read ? std::optional(one->intercept + one->slope * *read) : std::nullopt;
}

void Adjuster::add_names(RowId row, std::vector<bool>& by_constituent) const {
    if (!corrects(season_.batch.material[row]))
        return;
    by_constituent.resize(season_.rules.constituents.size());
    const Block& block = season_.batch.block_of(row);
    for (const auto& [id, list] : season_.rules.material(season_.batch.material[row])->adjust) {
        const auto column = block.table->find(id);
        if (!by_constituent[id] && column && basis::raw_value(block, row - block.first, *column))
            by_constituent[id] = find(row, id) != nullptr;
    }
}

std::string Adjuster::names(const std::vector<bool>& by_constituent) const {
    std::string text;
    for (std::size_t id = 0; id < by_constituent.size(); ++id)
        if (by_constituent[id])
            text +=
                (text.empty() ? "" : ";") + season_.rules.constituents[static_cast<ConstituentId>(id)].name;
    return text;
}

} // namespace thresh::summary
