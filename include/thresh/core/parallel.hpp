// Work over independent pieces on a given number of threads. Results must not depend on which thread takes
// which piece: give every piece its own place to write to.
#pragma once

#include <algorithm>
#include <atomic>
#include <cstddef>
#include <thresh/core/crew.hpp>
#include <vector>

namespace thresh {

// Calls work(i, thread) once for each i in [0, pieces), on up to `threads` threads, this one, 0, included;
// each takes the next piece when it is free.
template <typename Work>
void parallel_for_threads(std::size_t pieces, unsigned threads, const Work& work) {
    const std::size_t crew = std::min<std::size_t>(std::max(1U, threads), pieces);
    std::atomic<std::size_t> next{0};
    share_work(std::max<std::size_t>(1, crew) - 1, [&](std::size_t thread) {
        for (std::size_t i = next++; i < pieces; i = next++)
            work(i, thread);
    });
}

// Calls work(i) once for each i in [0, pieces), on up to `threads` threads, this one included.
template <typename Work>
void parallel_for(std::size_t pieces, unsigned threads, const Work& work) {
    parallel_for_threads(pieces, threads, [&](std::size_t i, std::size_t) { work(i); });
}

// Sorts `items`: pieces side by side, then merged. The order among equal items is not kept, so `less` must
// tell all apart that differ.
template <typename Item, typename Less>
void parallel_sort(std::vector<Item>& items, unsigned threads, const Less& less) {
    constexpr std::size_t kWorthIt = 10000;
    if (threads < 2 || items.size() < kWorthIt) {
        std::sort(items.begin(), items.end(), less);
        return;
    }
    const auto at = [&](std::size_t quarter) {
        return items.begin() + static_cast<std::ptrdiff_t>(items.size() * quarter / 4);
    };
    parallel_for(4, threads, [&](std::size_t q) { std::sort(at(q), at(q + 1), less); });
    parallel_for(2, threads,
                 [&](std::size_t h) { std::inplace_merge(at(2 * h), at(2 * h + 1), at(2 * h + 2), less); });
    std::inplace_merge(at(0), at(2), at(4), less);
}

} // namespace thresh
