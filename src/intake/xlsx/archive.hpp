// The zip archive that a workbook is: its parts by name, inflated as a stream, nothing ever written to disk.
#pragma once

#include "intake/xlsx/limits.hpp"

#include <cstdint>
#include <functional>
#include <string>
#include <string_view>
#include <thresh/core/result.hpp>
#include <unordered_map>

namespace thresh::intake::xlsx {

// Receives a part piece by piece; returns false when it wants no more.
using ChunkSink = std::function<bool(std::string_view chunk)>;

class Archive {
  public:
    // `bytes` must outlive the archive. Error when the bytes are no zip archive that can be read; the message
    // names what they are instead (older .xls book, password-protected book, text, ...).
    static Result<Archive> open(std::string_view bytes, const Limits& limits);

    bool has(std::string_view part) const;

    // Inflates one part into `sink`. Error when the part is absent, damaged, or passes a limit. Holds no
    // state between calls, so that several threads may stream parts of one archive.
    Result<void> stream(std::string_view part, const ChunkSink& sink) const;

    const Limits& limits() const { return limits_; }

  private:
    struct Entry {
        std::uint64_t directory_offset; // of the entry in the archive's directory
        std::uint64_t number;
        std::uint64_t packed_bytes;
        bool encrypted;
    };
    std::string_view bytes_;
    Limits limits_;
    std::unordered_map<std::string, Entry> entries_; // by part_key; looked up, never walked
};

// The form in which part names are compared: no leading slash, forward slashes, ASCII letters in lower case
// (the packaging standard, ECMA-376 part 2, compares names without case).
std::string part_key(std::string_view name);

} // namespace thresh::intake::xlsx
