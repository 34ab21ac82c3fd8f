// A key takes the bits that vary from the first on, as many as fit.
#include "core/text_keys.hpp"

#include <algorithm>
#include <bit>
#include <cassert>

namespace thresh {

void VaryingBits::see_all_of(const VaryingBits& other) {
    if (!other.any_)
        return;
    see(other.first_);
    for (std::size_t i = 0; i < mask_.size(); ++i)
        mask_[i] |= other.mask_[i];
}

KeyMaker::KeyMaker(const VaryingBits& varying) {
    std::size_t runs = 0;
    for (std::size_t word = 0; word < varying.mask().size(); ++word) {
        const std::uint64_t mask = varying.mask()[word];
        same_[word] = varying.first()[word] & ~mask;
        for (unsigned bit = 64; bit > 0;) { // `bit`: one above the next to look at
            const std::uint64_t rest = bit == 64 ? mask : mask & ((std::uint64_t{1} << bit) - 1);
            if (rest == 0)
                break;
            if (bits_ == 64) {
                exact_ = false;
                break;
            }
            const auto top = static_cast<unsigned>(std::bit_width(rest));
            const auto long_run = static_cast<unsigned>(std::countl_one(rest << (64 - top)));
            const unsigned width = std::min(long_run, 64 - bits_);
            run_[runs++] = {~std::uint64_t{0} >> (64 - width), top - width, width, 0};
            bits_ += width;
            bit = top - width;
        }
        begin_[word + 1] = runs;
    }
    assert(runs <= run_.size());
    for (unsigned below = 0; runs-- > 0; below += run_[runs].width)
        run_[runs].in_key = below;
}

} // namespace thresh
