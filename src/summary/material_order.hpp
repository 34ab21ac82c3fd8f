// Materials in the order of tables: bytewise by name, readings without material (no name) first.
#pragma once

#include <thresh/batch/batch.hpp>

#include <algorithm>
#include <array>
#include <string_view>
#include <vector>

namespace thresh::summary {

inline std::string_view material_name(const batch::Batch& batch, std::uint8_t material) {
    return material < batch.material_names.size() ? std::string_view(batch.material_names[material])
                                                  : std::string_view();
}

class MaterialOrder {
  public:
    explicit MaterialOrder(const batch::Batch& batch) {
        std::vector<std::uint8_t> order = {batch::kNoMaterial};
        for (std::size_t i = 0; i < batch.material_names.size(); ++i)
            order.push_back(static_cast<std::uint8_t>(i));
        std::stable_sort(order.begin(), order.end(), [&](std::uint8_t a, std::uint8_t b) {
            return material_name(batch, a) < material_name(batch, b);
        });
        for (std::size_t rank = 0; rank < order.size(); ++rank)
            rank_[order[rank]] = rank;
        size_ = order.size();
    }
    std::size_t rank(std::uint8_t material) const { return rank_[material]; }
    std::size_t size() const { return size_; }

  private:
    std::array<std::size_t, 256> rank_{};
    std::size_t size_ = 0;
};

// Calls seen(material) once for each material among a sample's seed readings, in order of first reading.
template <typename Seen>
void for_each_material(const batch::Batch& batch, std::uint32_t sample, const Seen& seen) {
    const auto rows = batch.rows_of(sample);
    for (std::size_t i = 0; i < rows.size(); ++i) {
        const std::uint8_t material = batch.material[rows[i]];
        bool before = false;
        for (std::size_t j = 0; j < i && !before; ++j)
            before = batch.material[rows[j]] == material;
        if (!before)
            seen(material);
    }
}

} // namespace thresh::summary
