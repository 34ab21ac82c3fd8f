// Memory for the arrays of blocks. Those of many small files lie side by side in large pieces, as those of
// one big file do by themselves: thousands of files then cost the system no more pages than one.
#pragma once

#include <cstddef>
#include <limits>
#include <new>

namespace thresh {

// `bytes` of memory, aligned for anything; throws std::bad_alloc. Small arrays of a thread that has taken
// many of them share pieces; a piece goes back to the system when the last of its arrays is given back.
void* take_row_memory(std::size_t bytes);
// Any thread may give back what another took.
void give_back_row_memory(void* memory) noexcept;

// For containers.
template <typename T>
struct RowAllocator {
    using value_type = T;
    RowAllocator() = default;
    template <typename U>
    RowAllocator(const RowAllocator<U>&) noexcept {} // allocators convert
    T* allocate(std::size_t count) {
        static_assert(alignof(T) <= alignof(std::max_align_t));
        if (count > std::numeric_limits<std::size_t>::max() / 2 / sizeof(T))
            throw std::bad_array_new_length();
        return static_cast<T*>(take_row_memory(count * sizeof(T)));
    }
    void deallocate(T* memory, std::size_t) noexcept { give_back_row_memory(memory); }
    template <typename U>
    friend bool operator==(const RowAllocator&, const RowAllocator<U>&) {
        return true;
    }
};

} // namespace thresh
