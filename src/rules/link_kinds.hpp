// Who shares how many samples: counted over all samples before any is chosen.
#pragma once

#include <array>
#include <cassert>
#include <cstddef>
#include <cstdint>
#include <span>
#include <unordered_map>
#include <vector>

namespace thresh::rules {

// Two sessions, a material, and whether the moisture changed.
using LinkKind = std::uint64_t;

inline LinkKind link_kind(std::uint8_t material, std::uint32_t first, std::uint32_t second, bool changed) {
    assert(first < (1U << 27) && second < (1U << 27)); // a session has 2 readings at least, and a season 2^32
    return LinkKind{material} << 56 | LinkKind{changed} << 55 | LinkKind{first} << 27 | LinkKind{second};
}
// Of samples that always stay: no session shares with itself.
inline LinkKind always_kind(std::uint8_t material) {
    return link_kind(material, 0, 0, false);
}
inline std::uint8_t material_of(LinkKind kind) {
    return static_cast<std::uint8_t>(kind >> 56);
}

// The samples of a piece with their kinds, one entry for each; kinds are numbered as they are met.
class LinkKinds {
  public:
    struct Entry {
        std::uint32_t sample, kind; // number of the kind
    };

    void add(std::uint32_t sample, LinkKind kind) {
        const std::uint32_t number = number_of(kind);
        entries_.push_back({sample, number});
        ++counts_[number];
    }
    const std::vector<Entry>& entries() const { return entries_; }
    // By number.
    std::span<const LinkKind> kinds() const { return kinds_; }
    std::span<const std::size_t> counts() const { return counts_; }

  private:
    // A season has few kinds that many samples are of, and a place for each that was met last spares asking
    // the map.
    std::uint32_t number_of(LinkKind kind) {
        Met& met = met_[static_cast<std::size_t>(kind * 0x9e3779b97f4a7c15ULL >> 58)];
        if (met.kind != kind) {
            const auto [at, fresh] = numbers_.try_emplace(kind, static_cast<std::uint32_t>(kinds_.size()));
            if (fresh) {
                kinds_.push_back(kind);
                counts_.push_back(0);
            }
            met = {kind, at->second};
        }
        return met.number;
    }

    struct Met {
        LinkKind kind = ~LinkKind{0}; // of no material
        std::uint32_t number = 0;
    };
    std::array<Met, 64> met_;
    std::unordered_map<LinkKind, std::uint32_t> numbers_;
    std::vector<LinkKind> kinds_;
    std::vector<std::size_t> counts_;
    std::vector<Entry> entries_;
};

} // namespace thresh::rules
