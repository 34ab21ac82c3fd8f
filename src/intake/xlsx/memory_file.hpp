// A read-only buffer behind the file functions that minizip asks for.
#pragma once

#include <cstdint>
#include <minizip/ioapi.h>
#include <string_view>

namespace thresh::intake::xlsx {

struct MemoryFile {
    std::string_view bytes;
    std::uint64_t at = 0;
};

// `file` must outlive the archive that is opened with the functions.
zlib_filefunc64_def memory_functions(MemoryFile& file);

} // namespace thresh::intake::xlsx
