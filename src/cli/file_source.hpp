// Files and standard input as byte sources, and whole files as text.
#pragma once

#include <memory>
#include <string>
#include <thresh/core/result.hpp>
#include <thresh/intake/byte_source.hpp>

namespace thresh::cli {

// Size, place and last change of a file, as the file system says; `same` tells whether it was touched.
struct FileState {
    std::uint64_t size = 0, device = 0, inode = 0;
    std::int64_t changed_ns = 0;
    friend bool operator==(const FileState&, const FileState&) = default;
};
Result<FileState> state_of(const std::string& path);

// A regular file. Opened when it is first read, closed when its end was read.
struct FoundFile {
    std::shared_ptr<const intake::ByteSource> bytes;
    FileState state; // when it was found
};
Result<FoundFile> find_file(const std::string& path);
Result<std::shared_ptr<const intake::ByteSource>> open_file(const std::string& path);
// All of standard input.
Result<std::shared_ptr<const intake::ByteSource>> read_standard_input();
// All of a file (rules).
Result<std::string> read_text(const std::string& path);

} // namespace thresh::cli
