// Four sums side by side, each in a lane of its own and in the order of its terms, so that the digits are
// those of one sum after the other: wider registers only do the same for four at once. What adds nothing adds
// 0, which changes no sum: they begin with 0, and so none is ever -0.
#include <thresh/basis/weighted_sums.hpp>
#include <thresh/core/nothing.hpp>

#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>
#if defined(__x86_64__) && defined(__GNUC__)
#include <immintrin.h>
#endif

namespace thresh::basis {

void WeightedSums::add(std::size_t place, std::span<const Term> needed, std::span<const Term> optional) {
    if (fours_.empty() || fours_.back().count == kTogether)
        fours_.push_back({{}, 0, steps_.size(), steps_.size(), false});
    Four& four = fours_.back();
    const std::size_t lane = four.count++;
    four.place[lane] = static_cast<std::uint32_t>(place);
    four.in_a_row = four.count == kTogether;
    for (std::size_t other = 1; other < four.count; ++other)
        four.in_a_row = four.in_a_row && four.place[other] == four.place[0] + other;
    const std::size_t terms = needed.size() + optional.size();
    for (; four.last - four.first < terms; ++four.last) {
        Step& step = steps_.emplace_back();
        step.weight.fill(kNothing);
    }
    for (std::size_t i = 0; i < terms; ++i) {
        const bool must = i < needed.size();
        const Term& term = must ? needed[i] : optional[i - needed.size()];
        assert(term.weight != 0 && !std::isnan(term.weight));
        Step& step = steps_[four.first + i];
        step.weight[lane] = term.weight;
        step.place[lane] = static_cast<std::uint32_t>(term.place);
        step.needed[lane] = must ? std::numeric_limits<std::uint64_t>::max() : 0;
    }
}

void WeightedSums::compute_plainly(const double* value, double* into) const {
    for (const Four& four : fours_)
        for (std::size_t lane = 0; lane < four.count; ++lane) {
            double total = 0;
            for (std::size_t i = four.first; i < four.last; ++i) {
                const double more = steps_[i].weight[lane] * value[steps_[i].place[lane]];
                total += steps_[i].needed[lane] != 0 || !std::isnan(more) ? more : 0;
            }
            into[four.place[lane]] = total;
        }
}

#if defined(__x86_64__) && defined(__GNUC__)

__attribute__((target("avx2"))) void WeightedSums::compute_wide(const double* value, double* into) const {
    for (const Four& four : fours_) {
        __m256d total = _mm256_setzero_pd();
        for (std::size_t i = four.first; i < four.last; ++i) {
            const Step& step = steps_[i];
            const __m256d values = _mm256_setr_pd(value[step.place[0]], value[step.place[1]],
                                                  value[step.place[2]], value[step.place[3]]);
            const __m256d more = _mm256_mul_pd(_mm256_loadu_pd(step.weight.data()), values);
            const __m256d needed =
                _mm256_castsi256_pd(_mm256_loadu_si256(reinterpret_cast<const __m256i*>(step.needed.data())));
            const __m256d counts = _mm256_or_pd(_mm256_cmp_pd(more, more, _CMP_ORD_Q), needed);
            total = _mm256_add_pd(total, _mm256_and_pd(more, counts));
        }
        if (four.in_a_row) {
            _mm256_storeu_pd(into + four.place[0], total);
            continue;
        }
        std::array<double, kTogether> apart;
        _mm256_storeu_pd(apart.data(), total);
        for (std::size_t lane = 0; lane < four.count; ++lane)
            into[four.place[lane]] = apart[lane];
    }
}

void WeightedSums::compute(const double* value, double* into) const {
    static const bool wide = __builtin_cpu_supports("avx2") != 0;
    if (wide)
        compute_wide(value, into);
    else
        compute_plainly(value, into);
}

#else

void WeightedSums::compute(const double* value, double* into) const {
    compute_plainly(value, into);
}

#endif

} // namespace thresh::basis
