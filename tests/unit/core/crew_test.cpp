#include <thresh/core/crew.hpp>
#include <thresh/core/parallel.hpp>

#include <catch2/catch.hpp>

#include <array>
#include <atomic>
#include <chrono>
#include <numeric>
#include <stdexcept>
#include <thread>
#include <vector>

using namespace thresh;

TEST_CASE("work that two must do side by side gets a second thread, with a number of its own") {
    std::atomic<int> here{0};
    std::array<std::atomic<int>, 2> began{};
    share_work(1, [&](std::size_t thread) {
        ++began.at(thread);
        ++here;
        while (here < 2) // neither returns before the other has come
            std::this_thread::yield();
    });
    CHECK(began[0] == 1);
    CHECK(began[1] == 1);
}

TEST_CASE("no more threads come than are wanted, and all have ended when the work is over") {
    share_work(6, [](std::size_t) {}); // so that there are threads that must stay away
    for (int round = 0; round < 200; ++round) {
        std::atomic<int> begun{0}, ended{0};
        std::atomic<bool> beyond{false};
        share_work(2, [&](std::size_t thread) {
            if (thread > 2)
                beyond = true;
            ++begun;
            std::this_thread::yield();
            ++ended;
        });
        CHECK_FALSE(beyond);
        CHECK(begun == ended);
        CHECK(begun >= 1);
        CHECK(begun <= 3);
    }
}

TEST_CASE("who waits for the others helps with the work they offer meanwhile") {
    // The second thread offers work that ends only when someone joins it: the first, which has nothing left,
    // must.
    std::atomic<int> first_here{0}, inner{0};
    share_work(1, [&](std::size_t thread) {
        if (thread == 0) {
            while (first_here == 0)
                std::this_thread::yield();
            return;
        }
        first_here = 1;
        share_work(1, [&](std::size_t) {
            ++inner;
            while (inner < 2)
                std::this_thread::yield();
        });
    });
    CHECK(inner == 2);
}

TEST_CASE("who only waits for the others does not join work that takes long") {
    const auto waiting = std::this_thread::get_id();
    std::atomic<bool> joined{false};
    for (int round = 0; round < 50; ++round) {
        std::atomic<bool> second_here{false};
        share_work(1, [&](std::size_t thread) {
            if (thread == 0) {
                while (!second_here)
                    std::this_thread::yield();
                return;
            }
            second_here = true;
            share_long_work(1, [&](std::size_t) {
                joined = joined || std::this_thread::get_id() == waiting;
                std::this_thread::sleep_for(std::chrono::milliseconds(1)); // time to join
            });
        });
    }
    CHECK_FALSE(joined);
}

TEST_CASE("work within work and from several threads at once is done, each piece once") {
    std::vector<std::vector<int>> done(8, std::vector<int>(500));
    const auto all = [&](std::size_t from, std::size_t to) {
        parallel_for(to - from, 3, [&](std::size_t i) {
            parallel_for(done[from + i].size(), 3, [&](std::size_t k) { ++done[from + i][k]; });
        });
    };
    std::jthread beside([&] { all(0, 4); });
    all(4, 8);
    beside.join();
    for (const std::vector<int>& row : done)
        CHECK(std::accumulate(row.begin(), row.end(), 0) == 500);
    CHECK(done == std::vector<std::vector<int>>(8, std::vector<int>(500, 1)));
}

TEST_CASE("what the calling thread throws comes out after the others have ended") {
    std::atomic<int> begun{0}, ended{0};
    CHECK_THROWS_AS(share_work(1,
                               [&](std::size_t thread) {
                                   if (thread == 0) {
                                       while (begun == 0)
                                           std::this_thread::yield();
                                       throw std::runtime_error("piece");
                                   }
                                   ++begun;
                                   std::this_thread::sleep_for(std::chrono::milliseconds(20));
                                   ++ended;
                               }),
                    std::runtime_error);
    CHECK(ended == 1);
}
