// Bytes in memory as a source.
#include <thresh/intake/byte_source.hpp>

#include <algorithm>
#include <cstring>

namespace thresh::intake {

Result<std::size_t> MemorySource::read_at(std::uint64_t offset, char* into, std::size_t count) const {
    if (offset >= bytes_.size())
        return std::size_t{0};
    const std::size_t here = std::min<std::size_t>(count, bytes_.size() - static_cast<std::size_t>(offset));
    std::memcpy(into, bytes_.data() + offset, here);
    return here;
}

} // namespace thresh::intake
