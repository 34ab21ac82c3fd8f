// Which column of a table goes to which slot is known beforehand, so that a row costs its conversion, one
// copy of each value and its derived constituents.
#include "summary/reading_values.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace thresh::summary {

namespace {

std::optional<double> share_below_limit(BelowLimit below) {
    switch (below) {
    case BelowLimit::zero:
        return 0.0;
    case BelowLimit::half:
        return 0.5;
    case BelowLimit::limit:
        return 1.0;
    case BelowLimit::omit:
        break;
    }
    return std::nullopt;
}

const basis::Recipe& recipe_of(ConstituentId id) {
    const auto& recipes = basis::recipes();
    return *std::find_if(recipes.begin(), recipes.end(), [id](const basis::Recipe& r) { return r.id == id; });
}

} // namespace

const char* part_text(PartOf part) {
    static constexpr const char* kNames[] = {"sample", "oil", "protein", ""};
    return kNames[static_cast<std::size_t>(part)];
}

ReadingValues::ReadingValues(const Season& season) : season_(season), adjuster_(season) {
    for (std::size_t material = 0; material < basis_of_material_.size(); ++material) {
        const bool known = material < season.batch.material_names.size() || material == batch::kNoMaterial;
        const Basis basis =
            season.rules.wanted_basis(known ? static_cast<std::uint8_t>(material) : batch::kNoMaterial);
        const auto at = std::find(bases_.begin(), bases_.end(), basis);
        basis_of_material_[material] = static_cast<std::uint8_t>(at - bases_.begin());
        if (at == bases_.end())
            bases_.push_back(basis);
    }
    list_tables();
    choose_parts();
    list_constituents();
    list_slots();
}

void ReadingValues::list_tables() {
    std::unordered_map<const TableColumns*, std::uint32_t> known;
    for (const Block& block : season_.batch.readings.blocks) {
        const auto [at, fresh] =
            known.try_emplace(block.table.get(), static_cast<std::uint32_t>(tables_.size()));
        if (fresh) {
            TableInfo info;
            info.table = block.table.get();
            for (const Basis wanted : bases_)
                info.plans.emplace_back(*info.table, wanted, share_below_limit(season_.rules.below_limit));
            tables_.push_back(std::move(info));
        }
        table_of_block_.push_back(at->second);
    }
}

// The usual share of a constituent where any table states it, else that of the first table that has it.
void ReadingValues::choose_parts() {
    const ConstituentTable& table = season_.rules.constituents;
    std::vector<bool> usual(table.size()), seen(table.size());
    parts_.resize(table.size());
    for (std::size_t id = 0; id < table.size(); ++id)
        parts_[id] = table[static_cast<ConstituentId>(id)].part_of;
    std::vector<PartOf> first = parts_;
    for (const TableInfo& info : tables_)
        for (const Column& column : info.table->numbers) {
            usual[column.constituent] =
                usual[column.constituent] || column.part_of == table[column.constituent].part_of;
            if (!seen[column.constituent])
                first[column.constituent] = column.part_of;
            seen[column.constituent] = true;
        }
    for (std::size_t id = 0; id < table.size(); ++id)
        if (seen[id] && !usual[id])
            parts_[id] = first[id];
}

void ReadingValues::list_constituents() {
    const ConstituentTable& table = season_.rules.constituents;
    std::vector<bool> present(table.size());
    for (TableInfo& info : tables_) {
        std::vector<bool>& here = info.here;
        here.resize(table.size());
        for (const Column& column : info.table->numbers) {
            const ConstituentInfo& about = table[column.constituent];
            const bool enters = this->enters(column);
            if (about.group == Group::instrument)
                continue;
            present[column.constituent] = true;
            here[column.constituent] = enters;
            if (!enters)
                other_shares_.push_back(fmt::format("`{}` is a share of the {} here, of the {} elsewhere",
                                                    column.heading, part_text(column.part_of),
                                                    part_text(parts_[column.constituent])));
        }
        for (const basis::Recipe& recipe : basis::recipes()) {
            if (!std::all_of(recipe.needed.begin(), recipe.needed.end(),
                             [&](ConstituentId id) { return here[id]; }))
                continue;
            present[recipe.id] = true;
            if (table[recipe.id].group == Group::derived && !here[recipe.id])
                info.derived.push_back(recipe.id);
        }
        std::vector<bool> had = here;
        for (const basis::Recipe& recipe : basis::recipes())
            had[recipe.id] = had[recipe.id] || std::all_of(recipe.needed.begin(), recipe.needed.end(),
                                                           [&](ConstituentId id) { return here[id]; });
        for (std::size_t i = 0; i < season_.rules.traits.size(); ++i) {
            const auto& needed = season_.rules.traits[i].compiled.inputs();
            if (!std::all_of(needed.begin(), needed.end(), [&](ConstituentId id) { return had[id]; }))
                continue;
            present[season_.rules.traits[i].id] = true;
            info.traits.push_back(i);
        }
    }
    std::sort(other_shares_.begin(), other_shares_.end());
    other_shares_.erase(std::unique(other_shares_.begin(), other_shares_.end()), other_shares_.end());
    slot_.assign(table.size(), kNoSlot);
    for (std::size_t id = 0; id < table.size(); ++id)
        if (present[id]) {
            slot_[id] = constituents_.size();
            constituents_.push_back(static_cast<ConstituentId>(id));
        }
}

void ReadingValues::list_slots() {
    for (TableInfo& info : tables_) {
        std::vector<bool> filled(slots());
        const auto fills = [&](ConstituentId id) {
            filled[slot_[id]] = true;
            return static_cast<std::uint32_t>(slot_[id]);
        };
        for (std::uint32_t c = 0; c < info.table->numbers.size(); ++c)
            if (const Column& column = info.table->numbers[c]; enters(column))
                info.entering.push_back({c, fills(column.constituent)});
        for (const ConstituentId id : info.derived)
            info.made.push_back(fills(id));
        for (const std::size_t i : info.traits)
            info.made.push_back(fills(season_.rules.traits[i].id));
        for (std::uint32_t slot = 0; slot < slots(); ++slot)
            if (!filled[slot])
                info.unfilled.push_back(slot);
        info.derivations = basis::Derivations(info.derived, parts_, info.here, slot_);
    }
    for (const ConstituentId id : constituents_)
        if (is_ratio(id)) {
            Ratio ratio{slot_[id], id, {}, std::vector<std::size_t>(slot_.size(), kNoSlot)};
            for (const ConstituentId input : inputs_of(id)) {
                ratio.inputs.push_back(slot_[input]);
                ratio.place[input] = slot_[input];
            }
            ratios_.push_back(std::move(ratio));
        }
}

ReadingValues::Scratch ReadingValues::scratch() const {
    Scratch made;
    std::size_t widest = 0;
    for (const TableInfo& info : tables_)
        widest = std::max(widest, info.table->numbers.size());
    made.columns.resize(widest);
    for (const rules::TraitFormula& trait : season_.rules.traits)
        made.traits.emplace_back(trait.compiled);
    return made;
}

bool ReadingValues::enters(const Column& column) const {
    return season_.rules.constituents[column.constituent].group != Group::instrument &&
           column.part_of == parts_[column.constituent];
}

void ReadingValues::drop_marked(Marks marks, Mark least, double* values) const {
    for (const auto& mark : marks)
        if (const std::size_t slot = slot_of(mark.constituent); mark.mark >= least && slot != kNoSlot)
            values[slot] = kNothing;
}

// A ratio among the inputs is that of this reading; elsewhere ratios are of means.
void ReadingValues::compute_traits(const TableInfo& info, const basis::Inputs& inputs, Scratch& scratch,
                                   double* values) const {
    for (const std::size_t i : info.traits) {
        const rules::TraitFormula& trait = season_.rules.traits[i];
        scratch.inputs.clear();
        for (const ConstituentId id : trait.compiled.inputs())
            scratch.inputs.push_back(is_ratio(id) ? basis::derive(id, inputs).value_or(kNothing)
                                                  : inputs.at(id));
        values[slot_[trait.id]] = scratch.traits[i](scratch.inputs);
    }
}

void ReadingValues::fill(RowId row, Scratch& scratch, double* values, std::optional<Mark> drop) const {
    const Block& block = season_.batch.block_of(row);
    const TableInfo& info =
        tables_[table_of_block_[static_cast<std::size_t>(&block - season_.batch.readings.blocks.data())]];
    const std::uint8_t wanted = basis_of_material_[season_.batch.material[row]];
    info.plans[wanted].convert_row(block, row - block.first, scratch.columns.data(),
                                   adjuster_.active() ? adjuster_.moisture(row) : std::nullopt);
    for (const Entering& one : info.entering)
        values[one.slot] = scratch.columns[one.column];
    for (const std::uint32_t slot : info.unfilled)
        values[slot] = kNothing;
    if (adjuster_.active())
        adjuster_.apply(
            row, bases_[wanted],
            adjuster_.moisture(row).value_or(basis::moisture_of(block, row - block.first).value_or(kNothing)),
            parts_, slot_, values);
    if (!drop || info.made.empty()) {
        for (const std::uint32_t slot : info.made)
            values[slot] = kNothing;
        if (drop)
            drop_marked(season_.judgement.marks_of(row), *drop, values);
        return;
    }
    const Marks marks = season_.judgement.marks_of(row);
    drop_marked(marks, *drop, values);
    const std::size_t moisture_slot = slot_[constituent::moisture];
    const double moisture = moisture_slot == kNoSlot ? kNothing : values[moisture_slot];
    const basis::Inputs inputs{std::span(values, slots()), parts_, bases_[wanted],
                               std::isnan(moisture) ? std::nullopt : std::optional(moisture), slot_};
    info.derivations.compute(inputs, std::span(values, slots()));
    drop_marked(marks, *drop, values);
    compute_traits(info, inputs, scratch, values);
}

double ReadingValues::of_means(const Ratio& ratio, const double* means) const {
    return basis::derive(ratio.id,
                         {std::span(means, slots()), parts_, Basis::as_is(), std::nullopt, ratio.place})
        .value_or(kNothing);
}

const std::vector<ConstituentId>& ReadingValues::inputs_of(ConstituentId id) const {
    return recipe_of(id).needed;
}

void ReadingValues::prefetch(RowId row) const {
    const Block& block = season_.batch.block_of(row);
    const std::size_t columns = block.table->numbers.size();
    const Cell* cells = block.cells.data() + (row - block.first) * columns;
    for (std::size_t c = 0; c < columns; c += 64 / sizeof(Cell))
        __builtin_prefetch(cells + c);
    __builtin_prefetch(cells + (columns == 0 ? 0 : columns - 1));
    __builtin_prefetch(&season_.judgement.verdict[row]);
    __builtin_prefetch(&season_.judgement.row_flags[row]);
    __builtin_prefetch(&season_.batch.material[row]);
}

} // namespace thresh::summary
