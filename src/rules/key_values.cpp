// Which columns hold a material's key constituents is looked up once for each table and material. Memory is
// asked for some readings ahead.
#include "rules/key_values.hpp"

#include <algorithm>
#include <limits>
#include <optional>
#include <thresh/basis/values.hpp>
#include <thresh/core/parallel.hpp>

namespace thresh::rules {

namespace {

constexpr std::size_t kPlacesAPiece = 32768;
constexpr std::size_t kAhead = 16;
constexpr double kNothing = std::numeric_limits<double>::quiet_NaN();

// The way to the key values of one table's readings of one material.
struct KeyColumns {
    const TableColumns* table = nullptr;
    std::uint8_t material = batch::kNoMaterial;
    std::span<const ConstituentId> key;
    std::vector<std::optional<std::size_t>> columns; // by key
    std::optional<basis::Plan> plan;

    void look_up(const TableColumns& of_table, std::uint8_t of_material, const Ruleset& rules) {
        if (table != &of_table)
            plan.emplace(of_table, Basis::dry());
        table = &of_table;
        material = of_material;
        const Material* about = rules.material(material);
        key = about != nullptr ? std::span(about->key) : std::span<const ConstituentId>();
        columns.clear();
        for (const ConstituentId id : key)
            columns.push_back(table->find(id));
    }
};

void ask_ahead(const batch::Batch& batch, const Judgement& so_far, RowId row) {
    const Block& block = batch.block_of(row);
    // Key constituents mostly stand among the first columns.
    const Cell* cells = block.cells.data() + (row - block.first) * block.table->numbers.size();
    __builtin_prefetch(cells);
    __builtin_prefetch(cells + std::min<std::size_t>(8, block.table->numbers.size()));
    __builtin_prefetch(&so_far.verdict[row]);
    __builtin_prefetch(&so_far.row_flags[row]);
    __builtin_prefetch(&batch.material[row]);
    __builtin_prefetch(&batch.session[row]);
}

} // namespace

KeyValues::KeyValues(const batch::Batch& batch, const Ruleset& rules, const Judgement& so_far) {
    for (std::uint8_t m = 0; m < batch.material_names.size(); ++m)
        if (const Material* material = rules.material(m))
            width_ = std::max(width_, material->key.size());
    const std::size_t places = batch.sample_rows.size();
    material_.resize(places);
    session_.resize(places);
    values_.resize(places * width_);
    parallel_for((places + kPlacesAPiece - 1) / kPlacesAPiece, rules.batch.threads, [&](std::size_t piece) {
        KeyColumns way;
        const std::size_t last = std::min(places, (piece + 1) * kPlacesAPiece);
        for (std::size_t place = piece * kPlacesAPiece; place < last; ++place) {
            if (place + kAhead < last)
                ask_ahead(batch, so_far, batch.sample_rows[place + kAhead]);
            const RowId row = batch.sample_rows[place];
            session_[place] = batch.session[row];
            material_[place] =
                so_far.verdict[row] <= Verdict::review ? batch.material[row] : batch::kNoMaterial;
            if (material_[place] == batch::kNoMaterial)
                continue;
            const Block& block = batch.block_of(row);
            if (way.table != block.table.get() || way.material != material_[place])
                way.look_up(*block.table, material_[place], rules);
            const bool marked = so_far.has_marks(row);
            double* value = values_.data() + place * width_;
            for (std::size_t k = 0; k < way.key.size(); ++k)
                value[k] = way.columns[k] && !(marked && so_far.mark(row, way.key[k]) == Mark::exclude)
                               ? way.plan->value(block, row - block.first, *way.columns[k]).value_or(kNothing)
                               : kNothing;
        }
    });
}

} // namespace thresh::rules
