// Where results go: standard output, or a file that is replaced in one step.
#pragma once

#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <thresh/core/result.hpp>

namespace thresh::cli {

// Receives bytes. A closed pipe ends quietly (write says false, finish succeeds); a full disk is an Error.
class Output {
  public:
    virtual ~Output() = default;
    // False when nobody reads any more or a write failed: stop.
    virtual bool write(std::string_view bytes) = 0;
    // Makes the result stand. Without it a file keeps its old content. Several may finish at the same time.
    virtual Result<void> finish() = 0;
};

// Whether there is a place for it: known before hours of work. That it can be written is only known when it
// was.
Result<void> check_output(const std::optional<std::string>& path);

// Refuses a file that is among those that were read: nobody's data are replaced by what was made from them.
Result<void> check_not_read(const std::optional<std::string>& path, std::span<const std::string> read);

// Standard output when `path` is empty or `-`.
Result<std::unique_ptr<Output>> open_output(const std::optional<std::string>& path);

// Writes all bytes to a new file and makes sure that they are on the disk.
Result<void> write_new_file(const std::string& path, std::string_view bytes);

// Makes sure that a file written by somebody else is on the disk.
Result<void> make_durable(const std::string& path);

} // namespace thresh::cli
