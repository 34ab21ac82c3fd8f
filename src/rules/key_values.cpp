// Readings are decoded in the order of the files, where their cells lie one after the other, and written to
// the places of their samples: writing far apart waits for nothing, reading would.
#include "rules/key_values.hpp"

#include "rules/dry_values.hpp"

#include <algorithm>
#include <limits>
#include <optional>
#include <thresh/core/parallel.hpp>

namespace thresh::rules {

namespace {

constexpr std::size_t kPlacesAPiece = 32768;
constexpr std::size_t kRowsAPiece = 16384;
constexpr std::size_t kAhead = 32;
constexpr std::uint32_t kNoPlace = static_cast<std::uint32_t>(-1);

// The place of each row in Batch::sample_rows.
std::vector<std::uint32_t> places_by_row(const batch::Batch& batch, unsigned threads) {
    std::vector<std::uint32_t> place_of(batch.kind.size(), kNoPlace);
    const std::size_t places = batch.sample_rows.size();
    parallel_for((places + kPlacesAPiece - 1) / kPlacesAPiece, threads, [&](std::size_t piece) {
        const std::size_t last = std::min(places, (piece + 1) * kPlacesAPiece);
        for (std::size_t place = piece * kPlacesAPiece; place < last; ++place)
            place_of[batch.sample_rows[place]] = static_cast<std::uint32_t>(place);
    });
    return place_of;
}

} // namespace

KeyValues::KeyValues(const batch::Batch& batch, const Ruleset& rules, const Judgement& so_far) {
    for (std::uint8_t m = 0; m < batch.material_names.size(); ++m)
        if (const Material* material = rules.material(m))
            width_ = std::max(width_, material->key.size());
    const std::size_t places = batch.sample_rows.size();
    material_.resize(places);
    values_ = std::make_unique_for_overwrite<double[]>(places * width_);
    const std::vector<std::uint32_t> place_of = places_by_row(batch, rules.batch.threads);
    const std::size_t rows = place_of.size();
    parallel_for((rows + kRowsAPiece - 1) / kRowsAPiece, rules.batch.threads, [&](std::size_t piece) {
        std::vector<std::optional<DryValues>> of_material(batch.material_names.size());
        const std::size_t last = std::min(rows, (piece + 1) * kRowsAPiece);
        for (std::size_t at = piece * kRowsAPiece; at < last; ++at) {
            if (at + kAhead < last && place_of[at + kAhead] != kNoPlace) {
                __builtin_prefetch(values_.get() + place_of[at + kAhead] * width_, 1);
                __builtin_prefetch(&material_[place_of[at + kAhead]], 1);
            }
            const std::uint32_t place = place_of[at];
            if (place == kNoPlace)
                continue;
            const auto row = static_cast<RowId>(at);
            material_[place] =
                so_far.verdict[row] <= Verdict::review ? batch.material[row] : batch::kNoMaterial;
            if (material_[place] == batch::kNoMaterial)
                continue;
            std::optional<DryValues>& values = of_material[material_[place]];
            if (!values)
                if (const Material* about = rules.material(material_[place]))
                    values.emplace(batch, so_far, about->key);
            double* const into = values_.get() + place * width_;
            if (values)
                values->read(row, into);
            else
                std::fill_n(into, width_, std::numeric_limits<double>::quiet_NaN());
        }
    });
}

} // namespace thresh::rules
