// Traits computed from converted inputs (INTERFACE: derived constituents and ratios), each with its source.
#pragma once

#include <thresh/basis/weighted_sums.hpp>
#include <thresh/core/basis.hpp>
#include <thresh/core/constituent.hpp>
#include <thresh/core/nothing.hpp>

#include <optional>
#include <span>
#include <vector>

namespace thresh::basis {

inline constexpr std::size_t kNoPlace = static_cast<std::size_t>(-1);

// Inputs of one reading, all on one basis; NaN = absent. Whether a fatty acid is a share of the sample
// matters: those enter sums and the iodine value as a share of the sum of all fatty acids read.
struct Inputs {
    std::span<const double> value;           // by ConstituentId or, where `place` is given, by place
    std::span<const PartOf> part_of;         // by ConstituentId, kBuiltInCount long
    Basis basis;                             // that shares of the sample are on
    std::optional<double> moisture;          // of the reading, for defatted meal on as-is basis
    std::span<const std::size_t> place = {}; // by ConstituentId, kNoPlace: absent; empty: as ConstituentId

    double at(ConstituentId id) const {
        const std::size_t where = place.empty() ? id : place[id];
        return where == kNoPlace ? kNothing : value[where];
    }
};

// A derived constituent; nothing unless all its needed inputs are present and what it is divided by is
// positive. Rules for what inputs are a share of:
//   fatty acids of the sample  enter as a share of the sum of all fatty acids present; when some are of the
//                              sample and others of the oil there is no common whole, and nothing is derived
//   amino acids of the protein enter as that share of the reading's protein, which then is needed too
//   anything else              must be a share of the sample
// Negative predictions enter as they are.
std::optional<double> derive(ConstituentId id, const Inputs& inputs);

// Several of them for many readings: what need not be asked for each is found out once.
class Derivations {
  public:
    Derivations() = default; // of nothing
    // For inputs of this `part_of` and `place` (of Inputs) of which none has a value whose place in `read`
    // (by ConstituentId) is false. Precondition: `ids` and what is read have places.
    Derivations(std::span<const ConstituentId> ids, std::span<const PartOf> part_of,
                const std::vector<bool>& read, std::span<const std::size_t> place = {});
    // Into `values`, laid out as the inputs; NaN where nothing can be derived. The inputs may be `values`
    // itself: none of them is derived.
    void compute(const Inputs& inputs, std::span<double> values) const;

  private:
    // What needs no look at what its inputs are a share of, or whether they have places.
    struct OfTwo {
        std::size_t place, first, second;
    };
    struct Other {
        std::size_t recipe, place; // index into the table of recipes
    };
    WeightedSums sums_;
    std::vector<OfTwo> meals_;     // protein of defatted meal, from protein and oil
    std::vector<OfTwo> quotients_; // first over second
    std::vector<Other> others_;
};

// What a derived constituent is computed from: `needed` all present, `optional_inputs` taken when present.
struct Recipe {
    ConstituentId id;
    std::vector<ConstituentId> needed, optional_inputs;
    const char* formula; // for people
    const char* source;
};
const std::vector<Recipe>& recipes(); // in table order, ratios included

} // namespace thresh::basis
