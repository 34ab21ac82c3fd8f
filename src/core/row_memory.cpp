// A thread cuts arrays off its piece one behind the other. Before each array stands the piece that it is of,
// null for memory of its own. A piece counts its arrays and, as one more, the thread that still cuts from it;
// who takes the last away gives it back. What is given back in between is not used again: blocks are made
// once and kept, and what stands last in the piece, an array that grew, is cut anew.
#include <thresh/core/row_memory.hpp>

#include <atomic>
#include <cassert>
#include <cstdint>

namespace thresh {

namespace {

constexpr std::size_t kPiece = std::size_t{2} << 20; // a large page
constexpr std::size_t kSmall = kPiece / 8;           // larger arrays have memory of their own
// A session's file shall not take a piece: arrays have memory of their own until there are so many bytes.
constexpr std::size_t kMany = std::size_t{1} << 20;

struct Piece {
    std::atomic<std::size_t> users = 1;
    std::size_t used = 0; // bytes from its beginning; of the thread that cuts
};

struct alignas(std::max_align_t) Head {
    Piece* piece = nullptr;
    std::size_t bytes = 0; // of the array, this head included
};

constexpr std::size_t rounded(std::size_t bytes) {
    constexpr std::size_t kUnit = alignof(std::max_align_t);
    return (bytes + kUnit - 1) / kUnit * kUnit;
}

void leave(Piece* piece) noexcept {
    if (piece->users.fetch_sub(1, std::memory_order_acq_rel) == 1) {
        piece->~Piece();
        ::operator delete(piece);
    }
}

thread_local Piece* current = nullptr; // what this thread cuts from
thread_local std::size_t taken = 0;    // bytes in its small arrays so far

// Of a thread that has a piece. Arrays may be given back on the thread later still, which looks at `current`:
// so that is a plain pointer, and null from then on.
struct EndOfThread {
    ~EndOfThread() {
        if (current != nullptr)
            leave(current);
        current = nullptr;
    }
};

#if defined(__SANITIZE_ADDRESS__)
constexpr bool kShare = false; // so that what is written behind an array is seen
#else
constexpr bool kShare = true;
#endif

Head* cut(std::size_t bytes) {
    if (current == nullptr || kPiece - current->used < bytes) {
        static thread_local const EndOfThread end;
        auto* const fresh = new (::operator new(kPiece)) Piece;
        fresh->used = rounded(sizeof(Piece));
        if (current != nullptr)
            leave(current);
        current = fresh;
    }
    void* const at = reinterpret_cast<char*>(current) + current->used;
    current->used += bytes;
    current->users.fetch_add(1, std::memory_order_relaxed);
    return new (at) Head{current, bytes};
}

} // namespace

void* take_row_memory(std::size_t bytes) {
    if (bytes > kSmall)
        return new (::operator new(sizeof(Head) + bytes)) Head + 1;
    bytes = rounded(sizeof(Head) + bytes);
    taken += bytes;
    if (!kShare || taken < kMany)
        return new (::operator new(bytes)) Head + 1;
    return cut(bytes) + 1;
}

void give_back_row_memory(void* memory) noexcept {
    if (memory == nullptr)
        return;
    Head* const head = static_cast<Head*>(memory) - 1;
    Piece* const piece = head->piece;
    if (piece == nullptr) {
        ::operator delete(head);
        return;
    }
    const bool last = piece == current && reinterpret_cast<char*>(head) + head->bytes ==
                                              reinterpret_cast<char*>(piece) + piece->used;
    if (last)
        piece->used -= head->bytes;
    leave(piece);
}

} // namespace thresh
