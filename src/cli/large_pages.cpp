// Arrays of millions of readings live in large pages: where a page is costly to get (virtual machines above
// all), asking for it 512 times less often halves the system's share of a run. Only `new` of the program is
// concerned; results cannot depend on it. Memory checkers bring a `new` of their own.
#if defined(__linux__) && !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__)

#include <algorithm>
#include <cstddef>
#include <cstdlib>
#include <malloc.h>
#include <new>
#include <sys/mman.h>

namespace {

constexpr std::size_t kLargePage = std::size_t{2} << 20;

void* allocate(std::size_t size) {
    if (size < kLargePage)
        return std::malloc(size == 0 ? 1 : size);
    // What is given back goes back to the system at once: without this the library keeps blocks of the size
    // of the largest one ever given back, and a season needs a quarter more memory than it holds. Of what is
    // smaller some is kept for the next one who asks, because a page costs time; not all that the rules of a
    // phase leave behind.
    static const int fixed =
        mallopt(M_MMAP_THRESHOLD, static_cast<int>(kLargePage)) + mallopt(M_TRIM_THRESHOLD, 16 << 20);
    static_cast<void>(fixed);
    // The rest stays in small pages unless it nearly fills a large one: hardly any memory is taken that is
    // not used.
    constexpr std::size_t kNearly = kLargePage / 8 * 7;
    const std::size_t in_large = (size + kLargePage - kNearly) / kLargePage * kLargePage;
    void* memory = nullptr;
    if (posix_memalign(&memory, kLargePage, std::max(size, in_large)) != 0)
        return nullptr;
    // Refusal leaves small pages throughout.
    madvise(memory, in_large, MADV_HUGEPAGE);
    return memory;
}

} // namespace

void* operator new(std::size_t size) {
    for (;;) {
        if (void* memory = allocate(size))
            return memory;
        const std::new_handler handler = std::get_new_handler();
        if (handler == nullptr)
            throw std::bad_alloc();
        handler();
    }
}

void operator delete(void* memory) noexcept {
    std::free(memory);
}
void operator delete(void* memory, std::size_t) noexcept {
    std::free(memory);
}

#endif
