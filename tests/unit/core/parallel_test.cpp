#include <thresh/core/parallel.hpp>

#include <catch2/catch.hpp>

#include <cstdint>
#include <functional>

using namespace thresh;

TEST_CASE("sorting on several threads gives what sorting on one gives, for any length") {
    for (const std::size_t size :
         {std::size_t{0}, std::size_t{1}, std::size_t{9999}, std::size_t{10003}, std::size_t{50000}})
        for (const unsigned threads : {1U, 2U, 5U}) {
            std::vector<std::uint32_t> items(size);
            std::uint32_t state = 1;
            for (std::uint32_t& item : items)
                item = (state = state * 1664525 + 1013904223) >> 8;
            std::vector<std::uint32_t> expected = items;
            std::sort(expected.begin(), expected.end(), std::greater<>());
            parallel_sort(items, threads, std::greater<>());
            CHECK(items == expected);
        }
}

TEST_CASE("every piece of work is done once") {
    for (const unsigned threads : {0U, 1U, 3U}) {
        std::vector<int> done(1000);
        parallel_for(done.size(), threads, [&](std::size_t i) { ++done[i]; });
        CHECK(std::all_of(done.begin(), done.end(), [](int n) { return n == 1; }));
    }
}
