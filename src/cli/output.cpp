// Files are written beside their place and renamed over it, so that a reader sees the old content or the new,
// and an interrupted run leaves the old. A link is followed first; what is no file (a device, a pipe) cannot
// be renamed over without taking its place, so it is written as it stands.
#include "cli/output.hpp"

#include "cli/bulk_file.hpp"

#include <cerrno>
#include <cstring>
#include <fcntl.h>
#include <filesystem>
#include <fmt/format.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

namespace thresh::cli {

namespace {

tl::unexpected<Error> system_failure(const char* what, const std::string& path, int number) {
    const char* help = number == ENOSPC || number == EDQUOT ? "free some space, or write elsewhere"
                                                            : "check the folder and its permissions";
    return fail(fmt::format("{}: {}", what, std::strerror(number)), help, path);
}

class StandardOutput final : public Output {
  public:
    bool write(std::string_view bytes) override {
        if (failure_ == 0)
            failure_ = write_all(STDOUT_FILENO, bytes);
        return failure_ == 0;
    }
    Result<void> finish() override {
        if (failure_ == 0 || failure_ == EPIPE)
            return {};
        return system_failure("standard output cannot be written", "-", failure_);
    }

  private:
    int failure_ = 0;
};

// A device or a pipe: nothing to leave whole, and nothing that may be replaced.
class DeviceOutput final : public Output {
  public:
    DeviceOutput(std::string path, int fd) : path_(std::move(path)), fd_(fd) {}
    ~DeviceOutput() override { ::close(fd_); }
    DeviceOutput(const DeviceOutput&) = delete;
    DeviceOutput& operator=(const DeviceOutput&) = delete;

    bool write(std::string_view bytes) override {
        if (failure_ == 0)
            failure_ = write_all(fd_, bytes);
        return failure_ == 0;
    }
    Result<void> finish() override {
        if (failure_ == 0 || failure_ == EPIPE)
            return {};
        return system_failure("cannot be written", path_, failure_);
    }

  private:
    std::string path_;
    int fd_;
    int failure_ = 0;
};

// What the user's mask leaves of the permissions of a new file. Asked for once, because asking means changing
// it for a moment, for all threads.
mode_t permissions() {
    static const mode_t kLeft = [] {
        const mode_t mask = ::umask(0);
        ::umask(mask);
        return 0666 & ~mask;
    }();
    return kLeft;
}

// Of the file that is there, which may be private; else those of a new one.
mode_t permissions_of(const std::filesystem::path& file) {
    struct stat there {};
    return ::stat(file.c_str(), &there) == 0 ? there.st_mode & 07777 : permissions();
}

class FileOutput final : public Output {
  public:
    FileOutput(const std::filesystem::path& path, std::string temporary, int fd)
        : path_(path.string()), temporary_(std::move(temporary)), fd_(fd), permissions_(permissions_of(path)),
          bytes_(std::make_unique<BulkFile>(fd)) {}
    ~FileOutput() override {
        bytes_.reset(); // whose thread may still be writing
        if (fd_ < 0)
            return;
        ::close(fd_);
        ::unlink(temporary_.c_str());
    }
    FileOutput(const FileOutput&) = delete;
    FileOutput& operator=(const FileOutput&) = delete;

    bool write(std::string_view bytes) override { return bytes_->add(bytes) == 0; }

    Result<void> finish() override {
        if (const int failure = bytes_->finish(); failure != 0)
            return system_failure("cannot be written", path_, failure);
        bytes_.reset();
        ::fchmod(fd_, permissions_); // mkostemp made it private
        const int held = ::dup(fd_); // keeps the lock until the file has its name
        int failure = ::close(std::exchange(fd_, -1)) != 0 ? errno : 0;
        if (failure == 0 && ::rename(temporary_.c_str(), path_.c_str()) != 0)
            failure = errno;
        if (failure != 0)
            ::unlink(temporary_.c_str());
        ::close(held);
        if (failure != 0)
            return system_failure("cannot be written", path_, failure);
        return {};
    }

  private:
    std::string path_, temporary_;
    int fd_;
    mode_t permissions_; // asked for before threads may be finishing others
    std::unique_ptr<BulkFile> bytes_;
};

constexpr std::string_view kRandom = "XXXXXX"; // of a temporary name, as mkostemp wants it

// What a path leads to.
struct Target {
    bool device = false;             // or a pipe
    std::filesystem::path file = {}; // else: to be made, or replaced; behind links
};
Result<Target> target_of(const std::string& path) {
    struct stat there {};
    const bool exists = ::stat(path.c_str(), &there) == 0;
    if (exists && S_ISDIR(there.st_mode))
        return system_failure("cannot be written", path, EISDIR);
    if (exists && !S_ISREG(there.st_mode))
        return Target{true};
    std::error_code error;
    const bool link = std::filesystem::is_symlink(std::filesystem::symlink_status(path, error));
    Target target{false, path};
    if (exists)
        target.file = std::filesystem::canonical(path, error);
    else if (link) // to a file that is not there yet
        target.file = std::filesystem::weakly_canonical(path, error);
    if ((exists || link) && error)
        return system_failure("cannot be written", path, error.value());
    return target;
}

// What a killed run left beside `target`: files of its name that nobody holds.
void sweep(const std::filesystem::path& target) {
    std::error_code error;
    const std::filesystem::path folder = target.has_parent_path() ? target.parent_path() : ".";
    const std::string prefix = "." + target.filename().string() + ".";
    for (const auto& entry : std::filesystem::directory_iterator(folder, error)) {
        const std::string name = entry.path().filename().string();
        if (!name.starts_with(prefix) || name.size() != prefix.size() + kRandom.size())
            continue;
        const int fd = ::open(entry.path().c_str(), O_RDONLY | O_NOFOLLOW | O_CLOEXEC);
        if (fd < 0)
            continue;
        if (::flock(fd, LOCK_EX | LOCK_NB) == 0)
            ::unlink(entry.path().c_str());
        ::close(fd);
    }
}

} // namespace

Result<void> check_output(const std::optional<std::string>& path) {
    if (!path || *path == "-")
        return {};
    const auto target = target_of(*path);
    if (!target)
        return tl::unexpected(target.error());
    const std::filesystem::path folder = target->file.parent_path();
    const bool may_be_written = target->device
                                    ? ::access(path->c_str(), W_OK) == 0
                                    : ::access(folder.empty() ? "." : folder.c_str(), W_OK | X_OK) == 0;
    if (!may_be_written)
        return system_failure("cannot be written", *path, errno);
    return {};
}

Result<void> check_not_read(const std::optional<std::string>& path, std::span<const std::string> read) {
    if (!path)
        return {};
    for (const std::string& other : read) {
        std::error_code error;
        if (*path != "-" && other != "-" && std::filesystem::is_regular_file(*path, error) &&
            std::filesystem::equivalent(*path, other, error))
            return fail("this command reads it, and would replace it",
                        "choose another file with -o; exports and lists are never changed", *path);
    }
    return {};
}

Result<std::unique_ptr<Output>> open_output(const std::optional<std::string>& path) {
    if (!path || *path == "-")
        return std::make_unique<StandardOutput>();
    const auto found = target_of(*path);
    if (!found)
        return tl::unexpected(found.error());
    if (found->device) {
        const int device = ::open(path->c_str(), O_WRONLY | O_CLOEXEC);
        if (device < 0)
            return system_failure("cannot be written", *path, errno);
        return std::make_unique<DeviceOutput>(*path, device);
    }
    const std::filesystem::path& target = found->file;
    sweep(target);
    std::string temporary =
        (target.parent_path() / fmt::format(".{}.{}", target.filename().string(), kRandom)).string();
    const int fd = ::mkostemp(temporary.data(), O_CLOEXEC);
    if (fd < 0)
        return system_failure("cannot be written", *path, errno);
    ::flock(fd, LOCK_EX | LOCK_NB); // held until the file stands: see sweep()
    return std::make_unique<FileOutput>(target, temporary, fd);
}

Result<void> write_new_file(const std::string& path, std::string_view bytes) {
    const int fd = ::open(path.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    if (fd < 0)
        return system_failure("cannot be written", path, errno);
    int failure = write_all(fd, bytes);
    if (failure == 0 && ::fsync(fd) != 0)
        failure = errno;
    if (::close(fd) != 0 && failure == 0)
        failure = errno;
    if (failure != 0)
        return system_failure("cannot be written", path, failure);
    return {};
}

Result<void> make_durable(const std::string& path) {
    const int fd = ::open(path.c_str(), O_RDONLY | O_CLOEXEC);
    if (fd < 0)
        return system_failure("cannot be written", path, errno);
    const int failure = ::fsync(fd) != 0 ? errno : 0;
    ::close(fd);
    if (failure != 0)
        return system_failure("cannot be written", path, failure);
    return {};
}

} // namespace thresh::cli
