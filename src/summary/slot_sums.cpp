#include "summary/slot_sums.hpp"

namespace thresh::summary {

namespace {

#if defined(__GNUC__)
__attribute__((always_inline))
#endif
inline void
add(const double* value, std::size_t slots, double* sum, std::uint32_t* n) {
    for (std::size_t slot = 0; slot < slots; ++slot) {
        const bool there = value[slot] == value[slot];
        sum[slot] += there ? value[slot] : 0.0;
        n[slot] += there ? 1U : 0U;
    }
}

} // namespace

void add_values_plainly(const double* value, std::size_t slots, double* sum, std::uint32_t* n) {
    add(value, slots, sum, n);
}

#if defined(__x86_64__) && defined(__GNUC__)

namespace {

__attribute__((target("avx2"))) void add_values_wide(const double* value, std::size_t slots, double* sum,
                                                     std::uint32_t* n) {
    add(value, slots, sum, n);
}

} // namespace

void add_values(const double* value, std::size_t slots, double* sum, std::uint32_t* n) {
    static const bool wide = __builtin_cpu_supports("avx2") != 0;
    (wide ? add_values_wide : add_values_plainly)(value, slots, sum, n);
}

#else

void add_values(const double* value, std::size_t slots, double* sum, std::uint32_t* n) {
    add(value, slots, sum, n);
}

#endif

} // namespace thresh::summary
