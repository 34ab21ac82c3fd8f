// Drift is a mean over the samples that sessions share. Millions of them tell no more than thousands do, and
// take most of the time; a pair of sessions that shares few keeps them all.
#include "rules/chosen_links.hpp"

#include "rules/key_values.hpp"
#include "rules/limits.hpp"

#include <algorithm>
#include <array>
#include <cassert>
#include <limits>
#include <span>
#include <thresh/core/parallel.hpp>
#include <thresh/rules/drift.hpp>
#include <unordered_map>

namespace thresh::rules {

namespace {

// A sample read in more sessions than this links so many that it always stays.
constexpr std::size_t kMostSessions = 6;

// Two sessions, a material, and whether the moisture changed.
using Kind = std::uint64_t;
using Counts = std::unordered_map<Kind, std::size_t>;

Kind kind_of(std::uint8_t material, std::uint32_t first, std::uint32_t second, bool changed) {
    assert(first < (1U << 27) && second < (1U << 27)); // a session has 2 readings at least, and a season 2^32
    return Kind{material} << 56 | Kind{changed} << 55 | Kind{first} << 27 | Kind{second};
}

class Thinning {
  public:
    explicit Thinning(const Evidence& evidence) : evidence_(evidence) {
        for (std::uint8_t m = 0; m < evidence.batch.material_names.size(); ++m) {
            const Material* about = evidence.rules.material(m);
            const auto at = about == nullptr
                                ? std::size_t{0}
                                : static_cast<std::size_t>(
                                      std::find(about->key.begin(), about->key.end(), constituent::moisture) -
                                      about->key.begin());
            moisture_.push_back(about == nullptr || at == about->key.size() ? kNoPlace : at);
        }
    }

    // Calls take(first, last, kinds) for each sample and material of a piece; no kinds: it always stays.
    template <typename Take>
    void for_samples(const std::vector<ChosenLink>& piece, const Take& take) const {
        const batch::Batch& batch = evidence_.batch;
        std::array<Kind, kMostSessions*(kMostSessions - 1) / 2> kinds;
        std::array<std::uint32_t, kMostSessions> sessions;
        for (std::size_t first = 0, last = 0; first < piece.size(); first = last) {
            const std::uint8_t material = batch.material[piece[first].row];
            std::size_t known = 0, n = 0;
            for (; last < piece.size() && piece[last].sample == piece[first].sample &&
                   batch.material[piece[last].row] == material;
                 ++last) {
                const std::uint32_t session = batch.session[piece[last].row];
                if (known > kMostSessions || (known > 0 && sessions[known - 1] == session))
                    continue;
                if (known < kMostSessions)
                    sessions[known] = session;
                ++known;
            }
            if (known <= kMostSessions) {
                const bool moved = changed(std::span(piece).subspan(first, last - first), material);
                for (std::size_t a = 0; a < known; ++a)
                    for (std::size_t b = a + 1; b < known; ++b)
                        kinds[n++] = kind_of(material, sessions[a], sessions[b], moved);
            }
            take(first, last, std::span<const Kind>(kinds.data(), n));
        }
    }

    // Whether a sample stays, with the rarest of its kinds shared by `rarest` samples.
    bool stays(std::uint32_t sample, std::size_t rarest) const {
        if (rarest <= kEnoughSamples)
            return true;
        const double share = static_cast<double>(kEnoughSamples) / static_cast<double>(rarest);
        return static_cast<double>(hash_bytes(evidence_.batch.samples[sample].id) >> 11) * 0x1.0p-53 < share;
    }

  private:
    static constexpr std::size_t kNoPlace = static_cast<std::size_t>(-1);

    bool changed(std::span<const ChosenLink> links, std::uint8_t material) const {
        double low = std::numeric_limits<double>::infinity(), high = -low;
        for (const ChosenLink& link : links) {
            const double moisture = moisture_of_link(link, material);
            low = moisture < low ? moisture : low; // false for NaN
            high = moisture > high ? moisture : high;
        }
        return high - low > kMoistureChange;
    }
    double moisture_of_link(const ChosenLink& link, std::uint8_t material) const {
        if (evidence_.key_values != nullptr && link.place != kNone && moisture_[material] != kNoPlace &&
            evidence_.key_values->material(link.place) == material)
            return evidence_.key_values->of(link.place)[moisture_[material]];
        return moisture_of(evidence_, link.row).value_or(std::numeric_limits<double>::quiet_NaN());
    }

    const Evidence& evidence_;
    std::vector<std::size_t> moisture_; // of each material: its place among the key constituents
};

} // namespace

void thin_links(const Evidence& evidence, std::vector<std::vector<ChosenLink>>& pieces) {
    std::size_t all = 0;
    for (const auto& piece : pieces)
        all += piece.size();
    if (all <= 2 * kEnoughSamples) // two readings each: nothing can be too many
        return;
    const Thinning thinning(evidence);
    std::vector<Counts> counts(pieces.size());
    parallel_for(pieces.size(), evidence.rules.batch.threads, [&](std::size_t p) {
        thinning.for_samples(pieces[p], [&](std::size_t, std::size_t, std::span<const Kind> kinds) {
            for (const Kind kind : kinds)
                ++counts[p][kind];
        });
    });
    Counts total;
    for (const Counts& of_piece : counts)
        for (const auto& [kind, count] : of_piece)
            total[kind] += count;
    parallel_for(pieces.size(), evidence.rules.batch.threads, [&](std::size_t p) {
        std::vector<ChosenLink>& piece = pieces[p];
        std::size_t kept = 0;
        thinning.for_samples(piece, [&](std::size_t first, std::size_t last, std::span<const Kind> kinds) {
            std::size_t rarest = kinds.empty() ? 0 : std::numeric_limits<std::size_t>::max();
            for (const Kind kind : kinds)
                rarest = std::min(rarest, total.at(kind));
            if (!thinning.stays(piece[first].sample, rarest))
                return;
            for (std::size_t i = first; i < last; ++i)
                piece[kept++] = piece[i];
        });
        piece.resize(kept);
        piece.shrink_to_fit(); // most are gone
    });
}

} // namespace thresh::rules
