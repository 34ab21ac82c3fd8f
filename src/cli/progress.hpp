// A line on standard error that says what takes so long, for people at a terminal.
#pragma once

#include "cli/settings.hpp"

#include <condition_variable>
#include <mutex>
#include <string>
#include <thread>

namespace thresh::cli {

class Progress {
  public:
    // Shows nothing unless standard error is a terminal that can go back in its line (TERM is not `dumb`) and
    // -q was not given, and nothing of what is done within the first moment.
    explicit Progress(const Settings& settings);
    // Takes the line away, so that what is printed next starts on an empty one.
    ~Progress();
    Progress(const Progress&) = delete;
    Progress& operator=(const Progress&) = delete;

    // What is being done now: `reading 29 exports`.
    void stage(std::string text);

  private:
    void show(std::stop_token stop);

    std::mutex mutex_;
    std::condition_variable_any changed_;
    std::string text_;
    std::jthread painter_; // last: it uses the others
};

} // namespace thresh::cli
