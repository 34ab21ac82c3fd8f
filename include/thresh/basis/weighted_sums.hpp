// Several weighted sums of the values of one reading.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

namespace thresh::basis {

class WeightedSums {
  public:
    struct Term {
        double weight; // neither 0 nor NaN
        std::size_t place;
    };
    // The sum that goes to `place`, of its terms in their order: first those without which it is NaN, then
    // those that count as nothing where they are.
    void add(std::size_t place, std::span<const Term> needed, std::span<const Term> optional);
    // From values to values, by place; they may be the same: no sum is a term.
    void compute(const double* value, double* into) const;
    // The same without wider registers, for processors without AVX2 and for tests.
    void compute_plainly(const double* value, double* into) const;

  private:
    static constexpr std::size_t kTogether = 4;
    // The next term of four sums. One that has none left has NaN for a weight, and is not needed.
    struct Step {
        std::array<double, kTogether> weight;
        std::array<std::uint32_t, kTogether> place;
        std::array<std::uint64_t, kTogether> needed; // all bits set: yes, none: no
    };
    struct Four {
        std::array<std::uint32_t, kTogether> place; // of the first `count`
        std::size_t count = 0, first = 0, last = 0; // sums, of them there are fewer at the end; steps
        bool in_a_row = false;                      // four whose places follow each other
    };
    void compute_wide(const double* value, double* into) const;

    std::vector<Four> fours_;
    std::vector<Step> steps_;
};

} // namespace thresh::basis
