// Work over independent pieces on a given number of threads. Results must not depend on which thread takes
// which piece: give every piece its own place to write to.
#pragma once

#include <algorithm>
#include <atomic>
#include <cstddef>
#include <thread>
#include <vector>

namespace thresh {

// Calls work(i) once for each i in [0, pieces), on up to `threads` threads, this one included.
template <typename Work>
void parallel_for(std::size_t pieces, unsigned threads, const Work& work) {
    const std::size_t crew = std::min<std::size_t>(std::max(1U, threads), pieces);
    if (crew <= 1) {
        for (std::size_t i = 0; i < pieces; ++i)
            work(i);
        return;
    }
    std::atomic<std::size_t> next{0};
    const auto run = [&] {
        for (std::size_t i = next++; i < pieces; i = next++)
            work(i);
    };
    std::vector<std::jthread> others;
    others.reserve(crew - 1);
    for (std::size_t i = 1; i < crew; ++i)
        others.emplace_back(run);
    run();
}

} // namespace thresh
