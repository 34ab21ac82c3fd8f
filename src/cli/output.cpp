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

class FileOutput final : public Output {
  public:
    FileOutput(std::string path, std::string temporary, int fd)
        : path_(std::move(path)), temporary_(std::move(temporary)), fd_(fd),
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
        const int closed = ::close(std::exchange(fd_, -1));
        if (closed != 0 || ::rename(temporary_.c_str(), path_.c_str()) != 0) {
            const int number = errno;
            ::unlink(temporary_.c_str());
            return system_failure("cannot be written", path_, number);
        }
        return {};
    }

  private:
    std::string path_, temporary_;
    int fd_;
    mode_t permissions_ = permissions(); // before threads may be finishing others
    std::unique_ptr<BulkFile> bytes_;
};

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
    Target target{false, exists ? std::filesystem::canonical(path, error) : std::filesystem::path(path)};
    if (error)
        return system_failure("cannot be written", path, error.value());
    return target;
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
    std::string temporary = (target.parent_path() / ("." + target.filename().string() + ".XXXXXX")).string();
    const int fd = ::mkostemp(temporary.data(), O_CLOEXEC);
    if (fd < 0)
        return system_failure("cannot be written", *path, errno);
    return std::make_unique<FileOutput>(target.string(), temporary, fd);
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
