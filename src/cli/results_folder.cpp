// The lock is flock on a file beside the folder: it dies with its process, however that ends. What an
// interrupted run left is swept by the next one, under the lock.
#include "cli/results_folder.hpp"

#include "cli/inputs.hpp"

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <fcntl.h>
#include <filesystem>
#include <fmt/format.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <thresh/core/parallel.hpp>
#include <unistd.h>

namespace thresh::cli {

namespace fs = std::filesystem;

namespace {

tl::unexpected<Error> system_failure(const char* what, const std::string& path, int number) {
    return fail(fmt::format("{}: {}", what, std::strerror(number)),
                number == ENOSPC || number == EDQUOT ? "free some space, or write elsewhere"
                                                     : "check the folder and its permissions",
                path);
}

// Empty, absent, or nothing but results of ours.
Result<void> check_content(const std::string& folder, const std::vector<std::string>& ours) {
    std::error_code error;
    if (!fs::exists(fs::symlink_status(folder, error)))
        return {};
    if (!fs::is_directory(folder, error))
        return fail("is not a folder", "choose another place with --into", folder);
    fs::directory_iterator entries(folder, error);
    if (error)
        return system_failure("cannot be opened", folder, error.value());
    bool any = false;
    for (const auto& entry : entries) {
        const std::string name = entry.path().filename().string();
        any = true;
        if (std::find(ours.begin(), ours.end(), name) == ours.end())
            return fail(fmt::format("holds `{}`, which is no result of this program", name),
                        "results replace a folder whole: choose an empty or new folder with --into", folder);
    }
    if (any && !holds_results(folder))
        return fail("holds files but no record of a run (run.json)",
                    "results replace a folder whole: choose an empty or new folder with --into", folder);
    return {};
}

void sync_folder(const std::string& path) {
    const int fd = ::open(path.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (fd < 0)
        return;
    ::fsync(fd);
    ::close(fd);
}

// The folder behind links: the link stays, and what it leads to is exchanged.
Result<fs::path> behind_links(const fs::path& folder) {
    std::error_code error;
    if (!fs::is_symlink(fs::symlink_status(folder, error)))
        return folder;
    fs::path real = fs::canonical(folder, error);
    if (error)
        return fail("is a link that leads nowhere", "mount what it leads to, or choose another --into",
                    folder.string());
    return real;
}

std::string older(const std::string& folder, std::uint32_t age) {
    return fmt::format("{}.{}", folder, age);
}

// The system takes its time to give back a file of hundreds of megabytes: several go side by side.
void remove_folder(const std::string& folder) {
    std::error_code error;
    std::vector<fs::path> files;
    for (const auto& entry : fs::directory_iterator(folder, error))
        files.push_back(entry.path());
    parallel_for(files.size(), 2, [&](std::size_t i) {
        std::error_code ignored;
        fs::remove(files[i], ignored);
    });
    fs::remove_all(folder, error);
}

} // namespace

ResultsFolder::ResultsFolder(ResultsFolder&& other) noexcept
    : folder_(std::move(other.folder_)), staging_(std::exchange(other.staging_, {})),
      lock_path_(std::move(other.lock_path_)), keep_(other.keep_), lock_(std::exchange(other.lock_, -1)),
      sweeper_(std::move(other.sweeper_)) {}

ResultsFolder::~ResultsFolder() {
    if (sweeper_.joinable())
        sweeper_.join(); // still under the lock
    if (!staging_.empty())
        remove_folder(staging_);
    if (lock_ >= 0) {
        ::unlink(lock_path_.c_str()); // while still held: nobody else can have locked it
        ::close(lock_);
    }
}

Result<ResultsFolder> ResultsFolder::begin(const std::string& folder, const std::vector<std::string>& ours,
                                           std::uint32_t keep) {
    ResultsFolder made;
    made.keep_ = keep;
    made.folder_ = folder;
    while (made.folder_.size() > 1 && made.folder_.ends_with('/'))
        made.folder_.pop_back();
    const auto real = behind_links(made.folder_);
    if (!real)
        return tl::unexpected(real.error());
    const fs::path& target = *real;
    made.folder_ = target.string();
    const fs::path parent = target.has_parent_path() ? target.parent_path() : fs::path(".");
    const std::string name = target.filename().string();
    if (name.empty() || name == "." || name == "..")
        return fail("is not a name for a results folder",
                    "give --into a folder of its own, such as `results`", folder);

    // Not made here: where a share is not mounted, results would go where nobody looks for them.
    std::error_code error;
    if (fs::status(parent, error).type() == fs::file_type::not_found)
        return fail(fmt::format("the folder `{}` that it is to stand in does not exist", parent.string()),
                    "make that folder, mount the share it is on, or choose another --into", folder);

    made.lock_path_ = (parent / fmt::format(".{}.lock", name)).string();
    for (;;) {
        made.lock_ = ::open(made.lock_path_.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0666);
        if (made.lock_ < 0)
            return system_failure("cannot be written beside", folder, errno);
        if (::flock(made.lock_, LOCK_EX | LOCK_NB) != 0) {
            ::close(std::exchange(made.lock_, -1));
            return fail("another run is writing these results",
                        "wait for it to end, or choose another --into", folder);
        }
        // The run before may have removed the file between our open and our lock.
        struct stat held {
        }, there{};
        if (::fstat(made.lock_, &held) == 0 && ::stat(made.lock_path_.c_str(), &there) == 0 &&
            held.st_ino == there.st_ino)
            break;
        ::close(std::exchange(made.lock_, -1));
    }
    if (auto good = check_content(made.folder_, ours); !good)
        return tl::unexpected(good.error());
    for (std::uint32_t age = 1; age <= keep; ++age)
        if (auto good = check_content(older(made.folder_, age), ours); !good)
            return tl::unexpected(good.error());

    const std::string prefix = fmt::format(".{}.new-", name);
    for (const auto& entry : fs::directory_iterator(parent, error))
        if (entry.path().filename().string().starts_with(prefix))
            fs::remove_all(entry.path(), error);
    std::string staging = (parent / (prefix + "XXXXXX")).string();
    if (::mkdtemp(staging.data()) == nullptr)
        return system_failure("cannot be written beside", folder, errno);
    const mode_t mask = ::umask(0);
    ::umask(mask);
    ::chmod(staging.c_str(), 0777 & ~mask);
    made.staging_ = staging;
    return made;
}

// The oldest is given up, the others become older by one.
Result<void> ResultsFolder::make_room_for_older() const {
    std::error_code error;
    fs::remove_all(older(folder_, keep_), error);
    for (std::uint32_t age = keep_; !error && age > 1; --age)
        if (fs::exists(older(folder_, age - 1), error))
            fs::rename(older(folder_, age - 1), older(folder_, age), error);
    if (error)
        return fail(fmt::format("older results beside it cannot be moved: {}", error.message()),
                    "check their permissions, or leave --keep out", folder_);
    return {};
}

Result<std::string> ResultsFolder::exchange() {
    std::error_code error;
    sync_folder(staging_);
    std::string note;
    const bool had_old = fs::exists(folder_, error);
    if (had_old && keep_ > 0)
        if (auto room = make_room_for_older(); !room)
            return tl::unexpected(room.error());
    if (!had_old) {
        if (::rename(staging_.c_str(), folder_.c_str()) != 0)
            return system_failure("cannot be written", folder_, errno);
        staging_.clear();
    } else if (::renameat2(AT_FDCWD, staging_.c_str(), AT_FDCWD, folder_.c_str(), RENAME_EXCHANGE) != 0) {
        // No exchange on this file system: for a moment there is no folder, but never a mixture.
        const std::string old = staging_ + ".old";
        if (::rename(folder_.c_str(), old.c_str()) != 0)
            return system_failure("cannot be replaced", folder_, errno);
        if (::rename(staging_.c_str(), folder_.c_str()) != 0) {
            const int number = errno;
            ::rename(old.c_str(), folder_.c_str());
            return system_failure("cannot be replaced", folder_, number);
        }
        staging_ = old;
        note = fmt::format("{}: this file system cannot exchange folders in one step; two renames were used",
                           folder_);
    }
    if (had_old && keep_ > 0) {
        const std::string old = std::exchange(staging_, {}); // not removed, whatever happens
        if (::rename(old.c_str(), older(folder_, 1).c_str()) != 0)
            return system_failure(
                fmt::format("the results before are in `{}` and cannot be kept", old).c_str(),
                older(folder_, 1), errno);
    }
    const fs::path parent =
        fs::path(folder_).has_parent_path() ? fs::path(folder_).parent_path() : fs::path(".");
    sync_folder(parent.string());
    // A disk may take a tenth of a second to take hundreds of megabytes back.
    if (!staging_.empty())
        sweeper_ = std::jthread([old = std::exchange(staging_, {})] { remove_folder(old); });
    return note;
}

} // namespace thresh::cli
