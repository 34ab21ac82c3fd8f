// Where a table's values stand and which slots they go to is known beforehand, so that a row costs its
// conversion and its derived constituents.
#include "summary/reading_values.hpp"

#include <algorithm>
#include <cmath>

namespace thresh::summary {

namespace {

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
    parts_ = season.judgement.shares;
    list_constituents();
    list_slots();
}

void ReadingValues::list_tables() {
    std::unordered_map<const TableColumns*, std::size_t> known;
    std::vector<std::size_t> table_of_block;
    for (const Block& block : season_.batch.readings.blocks) {
        const auto [at, fresh] = known.try_emplace(block.table.get(), tables_.size());
        if (fresh) {
            TableInfo info;
            info.table = block.table.get();
            for (const Basis wanted : bases_)
                info.plans.emplace_back(*info.table, wanted, season_.rules.share_below_limit());
            tables_.push_back(std::move(info));
        }
        table_of_block.push_back(at->second);
    }
    for (const Block& block : season_.batch.readings.blocks)
        blocks_.push_back({block.first + block.rows, &block, &tables_[table_of_block[blocks_.size()]],
                           block.table->numbers.size()});
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
    slot_.assign(table.size(), kNoSlot);
    for (std::size_t id = 0; id < table.size(); ++id)
        if (present[id]) {
            slot_[id] = constituents_.size();
            constituents_.push_back(static_cast<ConstituentId>(id));
        }
}

// Derived constituents stand together behind the columns.
void ReadingValues::lay_out(TableInfo& info) {
    info.at.assign(slot_.size(), kNoSlot);
    info.layout.at.assign(slots(), kNone);
    const auto place = [&](ConstituentId id, std::size_t at) {
        info.at[id] = at;
        info.layout.places.push_back({static_cast<std::uint32_t>(at), static_cast<std::uint32_t>(slot_[id])});
        info.layout.at[slot_[id]] = static_cast<std::uint32_t>(at);
    };
    for (std::size_t c = 0; c < info.table->numbers.size(); ++c)
        if (const Column& column = info.table->numbers[c]; enters(column))
            place(column.constituent, c);
    std::size_t next = info.plans.front().room();
    const auto make = [&](ConstituentId id) {
        info.made.push_back(static_cast<std::uint32_t>(next));
        place(id, next++);
    };
    for (const ConstituentId id : info.derived)
        make(id);
    for (const std::size_t i : info.traits)
        make(season_.rules.traits[i].id);
    info.layout.width = (next + 7) / 8 * 8;
    info.derivations = basis::Derivations(info.derived, parts_, info.here, info.at);
}

void ReadingValues::list_slots() {
    for (TableInfo& info : tables_)
        lay_out(info);
    for (const ConstituentId id : constituents_)
        if (is_ratio(id)) {
            Ratio ratio{slot_[id], {}, std::vector<std::size_t>(slot_.size(), kNoSlot), {}};
            ratio.place[id] = slot_[id];
            for (const ConstituentId input : inputs_of(id)) {
                ratio.inputs.push_back(slot_[input]);
                ratio.place[input] = slot_[input];
            }
            ratio.derivation = basis::Derivations(std::span(&id, 1), parts_,
                                                  std::vector<bool>(slot_.size(), true), ratio.place);
            ratios_.push_back(std::move(ratio));
        }
}

ReadingValues::Scratch ReadingValues::scratch() const {
    Scratch made;
    std::size_t widest = 0;
    for (const TableInfo& info : tables_)
        widest = std::max(widest, info.layout.width);
    made.values.resize(widest);
    for (const rules::TraitFormula& trait : season_.rules.traits)
        made.traits.emplace_back(trait.compiled);
    return made;
}

bool ReadingValues::enters(const Column& column) const {
    return season_.rules.constituents[column.constituent].group != Group::instrument &&
           column.part_of == parts_[column.constituent];
}

void ReadingValues::drop_marked(const TableInfo& info, Marks marks, Mark least, double* values) {
    for (const auto& mark : marks)
        if (mark.mark >= least && mark.constituent < info.at.size() && info.at[mark.constituent] != kNoSlot)
            values[info.at[mark.constituent]] = kNothing;
}

void ReadingValues::spread(const InLayout& from, double* values) const {
    for (std::size_t slot = 0; slot < slots(); ++slot)
        values[slot] = from.of(slot);
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
        values[info.at[trait.id]] = scratch.traits[i](scratch.inputs);
    }
}

ReadingValues::InLayout ReadingValues::fill(RowId row, RowState state, Scratch& scratch,
                                            std::optional<Mark> drop) const {
    const BlockInfo& here = info_of(row);
    const Block& block = *here.block;
    const TableInfo& info = *here.table;
    const std::uint8_t wanted = basis_of_material_[state.material()];
    const std::span<double> all(scratch.values.data(), info.layout.width);
    double* const values = all.data();
    info.plans[wanted].convert_row(block, row - block.first, all,
                                   adjuster_.active() ? adjuster_.moisture(row) : std::nullopt);
    if (adjuster_.active())
        adjuster_.apply(
            row, bases_[wanted],
            adjuster_.moisture(row).value_or(basis::moisture_of(block, row - block.first).value_or(kNothing)),
            parts_, info.at, values);
    if (!drop) {
        for (const std::uint32_t at : info.made)
            values[at] = kNothing;
        return {info.layout, values};
    }
    const Marks marks = state.has_marks() ? season_.judgement.marks_of(row) : Marks();
    drop_marked(info, marks, *drop, values);
    if (info.made.empty())
        return {info.layout, values};
    const std::size_t moisture_at = info.at[constituent::moisture];
    const double moisture = moisture_at == kNoSlot ? kNothing : values[moisture_at];
    const basis::Inputs inputs{all, parts_, bases_[wanted],
                               std::isnan(moisture) ? std::nullopt : std::optional(moisture), info.at};
    info.derivations.compute(inputs, all);
    drop_marked(info, marks, *drop, values);
    compute_traits(info, inputs, scratch, values);
    return {info.layout, values};
}

void ReadingValues::set_ratio(const Ratio& ratio, std::span<double> means) const {
    ratio.derivation.compute({means, parts_, Basis::as_is(), std::nullopt, ratio.place}, means);
}

const std::vector<ConstituentId>& ReadingValues::inputs_of(ConstituentId id) const {
    return recipe_of(id).needed;
}

void ReadingValues::prefetch(RowId row) const {
    const BlockInfo& info = info_of(row);
    info.block->prefetch_cells(row - info.block->first, info.columns);
}

} // namespace thresh::summary
