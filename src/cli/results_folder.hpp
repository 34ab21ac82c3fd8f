// A results folder that is exchanged whole: old results or new, never a mixture.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <thread>
#include <thresh/core/result.hpp>
#include <vector>

namespace thresh::cli {

// Holds the lock on a results folder, fills a folder beside it, and exchanges the two in one step.
class ResultsFolder {
  public:
    // Refuses a folder that holds anything else than our results, a place that cannot be written, and a
    // second run at the same time. `ours`: the names that results may hold. Up to `keep` older results stay
    // beside it as FOLDER.1, FOLDER.2, ..., which must hold nothing else either. A link is followed.
    static Result<ResultsFolder> begin(const std::string& folder, const std::vector<std::string>& ours,
                                       std::uint32_t keep);

    ResultsFolder(ResultsFolder&& other) noexcept;
    ResultsFolder& operator=(ResultsFolder&&) = delete;
    ~ResultsFolder(); // without `exchange` the new folder is removed, the old one untouched

    // Path of the folder that is being filled.
    const std::string& staging() const { return staging_; }
    // Puts the filled folder in the place of the old one. Returns a note when the file system could only
    // rename twice. What is not kept is removed meanwhile, until the destructor has ended.
    Result<std::string> exchange();

  private:
    ResultsFolder() = default;
    Result<void> make_room_for_older() const;
    std::string folder_, staging_, lock_path_;
    std::uint32_t keep_ = 0;
    int lock_ = -1;
    std::jthread sweeper_; // removes the results that were replaced
};

} // namespace thresh::cli
