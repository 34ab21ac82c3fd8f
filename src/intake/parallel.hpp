// The same work for many numbers on several threads.
#pragma once

#include <algorithm>
#include <atomic>
#include <cstddef>
#include <thread>
#include <vector>

namespace thresh::intake {

// Calls work(i, thread) for every i below `count`; threads take the next i as they get free. The calling
// thread is thread 0. `work` must not throw.
template <typename Work>
void in_parallel(std::size_t count, unsigned threads, Work work) {
    std::atomic<std::size_t> next{0};
    const auto run = [&](std::size_t thread) {
        for (std::size_t i = next++; i < count; i = next++)
            work(i, thread);
    };
    std::vector<std::thread> others;
    const std::size_t wanted = std::min<std::size_t>(std::max(1U, threads), count);
    for (std::size_t t = 1; t < wanted; ++t)
        others.emplace_back(run, t);
    run(0);
    for (std::thread& other : others)
        other.join();
}

} // namespace thresh::intake
