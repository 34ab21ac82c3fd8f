// The text of an input: plain UTF-8 is read where it lies, anything else is decoded into memory first.
#pragma once

#include "intake/encoding.hpp"

#include <thresh/core/readings.hpp>
#include <thresh/intake/byte_source.hpp>

#include <memory>
#include <string>
#include <vector>

namespace thresh::intake {

struct SourceText {
    std::shared_ptr<const ByteSource> bytes; // UTF-8 from `start` on
    std::uint64_t start = 0;                 // behind the byte order mark
    EncodingFound encoding;
    bool checked = false; // all bytes are known to be UTF-8
};

// A source whose first bytes are read once, however often they are asked for: what an input is, how it is
// encoded and laid out is all told by its top.
class TopKept final : public ByteSource {
  public:
    // Reads the top at once; where that fails, whoever reads it next will be told.
    TopKept(std::shared_ptr<const ByteSource> bytes, std::size_t top);
    std::uint64_t size() const override { return bytes_->size(); }
    Result<std::size_t> read_at(std::uint64_t offset, char* into, std::size_t count) const override;

  private:
    std::shared_ptr<const ByteSource> bytes_;
    std::string top_;
};

// All bytes of a source.
Result<std::string> read_all(const ByteSource& source);
// `count` bytes at `offset`, fewer only at the end.
Result<std::string> read_some(const ByteSource& source, std::uint64_t offset, std::size_t count);

// Opens the text of an input. `decode_now`: decode and check the whole of it even if it looks like UTF-8.
// Repairs go to `notes`.
Result<SourceText> open_text(const Input& input, const std::optional<std::string>& encoding, bool decode_now,
                             std::vector<IntakeNote>& notes);

} // namespace thresh::intake
