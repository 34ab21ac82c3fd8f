// Where bytes come from. The command line opens files; intake only reads through this.
#pragma once

#include <thresh/core/result.hpp>

#include <cstddef>
#include <cstdint>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

namespace thresh::intake {

// Random access to an input's bytes. `read_at` may be called from several threads at once.
class ByteSource {
  public:
    virtual ~ByteSource() = default;
    // Size in bytes when the input was opened.
    virtual std::uint64_t size() const = 0;
    // Reads up to `count` bytes at `offset` into `into`; returns how many came (fewer only at the end).
    virtual Result<std::size_t> read_at(std::uint64_t offset, char* into, std::size_t count) const = 0;
};

// Bytes that are already in memory: standard input, tests.
class MemorySource final : public ByteSource {
  public:
    explicit MemorySource(std::string bytes) : bytes_(std::move(bytes)) {}
    std::uint64_t size() const override { return bytes_.size(); }
    Result<std::size_t> read_at(std::uint64_t offset, char* into, std::size_t count) const override;

  private:
    std::string bytes_;
};

// One input: its name in every output, its bytes, or why it could not be opened.
struct Input {
    std::string source;
    std::shared_ptr<const ByteSource> bytes; // null when it could not be opened
    Error error;                             // then: why
};

} // namespace thresh::intake
