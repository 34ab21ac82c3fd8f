// The seven callbacks of minizip's ioapi.h over a buffer. `opaque` and `stream` both are the MemoryFile.
#include "intake/xlsx/memory_file.hpp"

#include <algorithm>
#include <cstring>

namespace thresh::intake::xlsx {

namespace {

MemoryFile& file_of(voidpf stream) {
    return *static_cast<MemoryFile*>(stream);
}

voidpf open_memory(voidpf opaque, const void* /*name*/, int /*mode*/) {
    return opaque;
}

uLong read_memory(voidpf /*opaque*/, voidpf stream, void* buffer, uLong size) {
    MemoryFile& file = file_of(stream);
    const std::uint64_t left = file.bytes.size() - std::min<std::uint64_t>(file.at, file.bytes.size());
    const auto count = static_cast<std::size_t>(std::min<std::uint64_t>(size, left));
    if (count > 0)
        std::memcpy(buffer, file.bytes.data() + file.at, count);
    file.at += count;
    return count;
}

uLong write_memory(voidpf /*opaque*/, voidpf /*stream*/, const void* /*buffer*/, uLong /*size*/) {
    return 0;
}

ZPOS64_T tell_memory(voidpf /*opaque*/, voidpf stream) {
    return file_of(stream).at;
}

long seek_memory(voidpf /*opaque*/, voidpf stream, ZPOS64_T offset, int origin) {
    MemoryFile& file = file_of(stream);
    std::uint64_t base = 0;
    if (origin == ZLIB_FILEFUNC_SEEK_CUR)
        base = file.at;
    if (origin == ZLIB_FILEFUNC_SEEK_END)
        base = file.bytes.size();
    const std::uint64_t target =
        base + offset; // unsigned: an offset made to wrap lands outside or inside, safely
    if (target > file.bytes.size())
        return -1;
    file.at = target;
    return 0;
}

int close_memory(voidpf /*opaque*/, voidpf /*stream*/) {
    return 0;
}

int error_memory(voidpf /*opaque*/, voidpf /*stream*/) {
    return 0;
}

} // namespace

zlib_filefunc64_def memory_functions(MemoryFile& file) {
    zlib_filefunc64_def functions{};
    functions.zopen64_file = open_memory;
    functions.zread_file = read_memory;
    functions.zwrite_file = write_memory;
    functions.ztell64_file = tell_memory;
    functions.zseek64_file = seek_memory;
    functions.zclose_file = close_memory;
    functions.zerror_file = error_memory;
    functions.opaque = &file;
    return functions;
}

} // namespace thresh::intake::xlsx
