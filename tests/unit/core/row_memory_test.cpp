// Memory of rows: arrays of any size, grown and given back in any order and by any thread, keep what was
// written to them.
#include <thresh/core/row_memory.hpp>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cstddef>
#include <cstdint>
#include <iterator>
#include <thread>
#include <utility>
#include <vector>

using namespace thresh;

namespace {

using Array = std::vector<std::uint32_t, RowAllocator<std::uint32_t>>;

std::uint32_t next(std::uint32_t& state) {
    state = state * 1664525 + 1013904223;
    return state >> 8;
}

bool holds(const Array& array, std::uint32_t first) {
    for (std::size_t i = 0; i < array.size(); ++i)
        if (array[i] != first + i)
            return false;
    return true;
}

} // namespace

TEST_CASE("arrays keep what was written to them while others come, grow and go") {
    std::uint32_t state = 7;
    std::vector<std::pair<std::uint32_t, Array>> kept;
    for (std::uint32_t i = 0; i < 3000; ++i) {
        Array array;
        const std::uint32_t first = i * 1'000'000;
        if (next(state) % 2 == 0)
            array.reserve(next(state) % 8000);
        // Small ones and, now and then, one that has memory of its own.
        const std::uint32_t size = next(state) % (i % 100 == 0 ? 200'000 : 6000);
        for (std::uint32_t n = 0; n < size; ++n)
            array.push_back(first + n);
        kept.emplace_back(first, std::move(array));
        if (next(state) % 3 == 0) {
            const std::size_t gone = next(state) % kept.size();
            REQUIRE(holds(kept[gone].second, kept[gone].first));
            std::swap(kept[gone], kept.back());
            kept.pop_back();
        }
    }
    for (const auto& [first, array] : kept)
        REQUIRE(holds(array, first));
}

TEST_CASE("many small arrays of a thread lie close together, the first ones do not wait for many") {
    std::size_t far = 0, near = 0;
    std::thread([&] { // a thread of its own: it has taken nothing yet
        std::vector<Array> arrays;
        for (int i = 0; i < 400; ++i)
            arrays.emplace_back(std::size_t{2500});
        for (std::size_t i = 300; i < 400; ++i) {
            const auto apart = reinterpret_cast<std::uintptr_t>(arrays[i].data()) -
                               reinterpret_cast<std::uintptr_t>(arrays[i - 1].data());
            ++(apart <= 10'000 + 64 ? near : far);
        }
    })
        .join();
#if !defined(__SANITIZE_ADDRESS__)
    CHECK(near > 95);
#endif
    CHECK(far + near == 100);
}

TEST_CASE("what was given back last is cut again") {
    std::thread([] {
        std::vector<Array> many(200, Array(std::size_t{2500}));
        const std::uint32_t* at = nullptr;
        for (int i = 0; i < 1000; ++i) { // without using it again: five pieces
            const Array array(std::size_t{2500}, 1);
#if !defined(__SANITIZE_ADDRESS__)
            REQUIRE((at == nullptr || at == array.data()));
#endif
            at = array.data();
        }
        CHECK(at != nullptr);
    }).join();
}

TEST_CASE("a thread may give back what another took, also when that one has ended") {
    std::vector<Array> arrays;
    std::thread([&] {
        for (std::uint32_t i = 0; i < 1000; ++i) {
            Array& array = arrays.emplace_back();
            for (std::uint32_t n = 0; n < 1000; ++n)
                array.push_back(i + n);
        }
    }).join();
    std::vector<Array> half(std::make_move_iterator(arrays.begin()),
                            std::make_move_iterator(arrays.begin() + 500));
    arrays.erase(arrays.begin(), arrays.begin() + 500);
    std::thread other([&] {
        for (std::uint32_t i = 0; i < 500; ++i)
            if (!holds(half[i], i))
                half[i].clear();
            else
                Array().swap(half[i]);
        half.emplace_back(std::size_t{1000});
    });
    bool good = true;
    for (std::uint32_t i = 0; i < 500; ++i) {
        good = good && holds(arrays[i], 500 + i);
        Array().swap(arrays[i]);
    }
    other.join();
    CHECK(good);
    CHECK(half.size() == 501);
    CHECK(std::all_of(half.begin(), half.begin() + 500, [](const Array& a) { return a.capacity() == 0; }));
}

TEST_CASE("more memory than there can be is refused") {
    RowAllocator<std::uint64_t> allocator;
    CHECK_THROWS_AS(allocator.allocate(static_cast<std::size_t>(-1) / 8), std::bad_array_new_length);
}
