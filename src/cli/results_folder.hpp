// A results folder that is exchanged whole: old results or new, never a mixture.
#pragma once

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
    // second run at the same time. `ours`: the names that results may hold.
    static Result<ResultsFolder> begin(const std::string& folder, const std::vector<std::string>& ours);

    ResultsFolder(ResultsFolder&& other) noexcept;
    ResultsFolder& operator=(ResultsFolder&&) = delete;
    ~ResultsFolder(); // without `exchange` the new folder is removed, the old one untouched

    // Path of the folder that is being filled.
    const std::string& staging() const { return staging_; }
    // Puts the filled folder in the place of the old one; keeps up to `keep` older results as FOLDER.1,
    // FOLDER.2, ... Returns a note when the file system could only rename twice. What is not kept is removed
    // meanwhile, until the destructor has ended.
    Result<std::string> exchange(std::uint32_t keep);

  private:
    ResultsFolder() = default;
    std::string folder_, staging_, lock_path_;
    int lock_ = -1;
    std::jthread sweeper_; // removes the results that were replaced
};

} // namespace thresh::cli
