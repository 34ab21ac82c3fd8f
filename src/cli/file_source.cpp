// Reading by position (pread), so that threads need no common file pointer. Descriptors are closed as soon as
// the end was read: a folder of thousands of exports must not run out of them.
#include "cli/file_source.hpp"

#include <array>
#include <cerrno>
#include <cstring>
#include <fcntl.h>
#include <fmt/format.h>
#include <mutex>
#include <sys/stat.h>
#include <unistd.h>

namespace thresh::cli {

namespace {

tl::unexpected<Error> system_failure(const std::string& what, const std::string& path, const char* help) {
    return fail(fmt::format("{}: {}", what, std::strerror(errno)), help, path);
}

FileState state_from(const struct stat& info) {
    return FileState{static_cast<std::uint64_t>(info.st_size), info.st_dev, info.st_ino,
                     std::int64_t{info.st_mtim.tv_sec} * 1'000'000'000 + info.st_mtim.tv_nsec};
}

class Descriptor {
  public:
    explicit Descriptor(int fd) : fd_(fd) {}
    ~Descriptor() { ::close(fd_); }
    Descriptor(const Descriptor&) = delete;
    Descriptor& operator=(const Descriptor&) = delete;
    int fd() const { return fd_; }

  private:
    int fd_;
};

class FileSource final : public intake::ByteSource {
  public:
    FileSource(std::string path, const FileState& state)
        : path_(std::move(path)), size_(state.size), state_(state) {}

    std::uint64_t size() const override { return size_; }

    Result<std::size_t> read_at(std::uint64_t offset, char* into, std::size_t count) const override {
        const std::shared_ptr<const Descriptor> file = opened();
        if (!file)
            return system_failure("cannot be opened", path_, "check its permissions");
        std::size_t got = 0;
        while (got < count) {
            const ssize_t n = ::pread(file->fd(), into + got, count - got, static_cast<off_t>(offset + got));
            if (n < 0 && errno == EINTR)
                continue;
            if (n < 0)
                return system_failure("cannot be read", path_, "check the disk and the network share");
            if (n == 0)
                break;
            got += static_cast<std::size_t>(n);
        }
        if (offset + got >= size_ || got < count) {
            // A file that grows or is written anew meanwhile would be read as a mixture, or cut in a record.
            struct stat info {};
            if (::fstat(file->fd(), &info) != 0 || state_from(info) != state_)
                return fail(
                    "changed while it was read",
                    "run again when it is complete; `run --settle SECONDS` leaves fresh files for next time",
                    path_);
            const std::lock_guard lock(mutex_);
            file_.reset(); // other readers keep theirs until they are done
        }
        return got;
    }

  private:
    std::shared_ptr<const Descriptor> opened() const {
        const std::lock_guard lock(mutex_);
        if (!file_) {
            const int fd = ::open(path_.c_str(), O_RDONLY | O_CLOEXEC);
            if (fd >= 0)
                file_ = std::make_shared<const Descriptor>(fd);
        }
        return file_;
    }

    std::string path_;
    std::uint64_t size_;
    FileState state_;
    mutable std::mutex mutex_;
    mutable std::shared_ptr<const Descriptor> file_;
};

} // namespace

Result<FileState> state_of(const std::string& path) {
    struct stat info {};
    if (::stat(path.c_str(), &info) != 0)
        return system_failure("cannot be found", path, "check the name");
    return state_from(info);
}

Result<FoundFile> find_file(const std::string& path) {
    struct stat info {};
    if (::stat(path.c_str(), &info) != 0)
        return system_failure("cannot be found", path, "check the name");
    if (!S_ISREG(info.st_mode))
        return fail("is not a file", "name a file, a folder, or `-` for standard input", path);
    if (::access(path.c_str(), R_OK) != 0)
        return system_failure("cannot be opened", path, "check its permissions");
    const FileState state = state_from(info);
    return FoundFile{std::make_shared<const FileSource>(path, state), state};
}

Result<std::shared_ptr<const intake::ByteSource>> open_file(const std::string& path) {
    auto found = find_file(path);
    if (!found)
        return tl::unexpected(std::move(found.error()));
    return std::move(found->bytes);
}

Result<std::shared_ptr<const intake::ByteSource>> read_standard_input() {
    std::string bytes;
    std::array<char, 65536> buffer{};
    for (;;) {
        const ssize_t n = ::read(STDIN_FILENO, buffer.data(), buffer.size());
        if (n < 0 && errno == EINTR)
            continue;
        if (n < 0)
            return system_failure("standard input cannot be read", "-",
                                  "pipe an export into it, or name files");
        if (n == 0)
            break;
        bytes.append(buffer.data(), static_cast<std::size_t>(n));
    }
    return std::make_shared<const intake::MemorySource>(std::move(bytes));
}

Result<std::string> read_text(const std::string& path) {
    const auto file = open_file(path);
    if (!file)
        return tl::unexpected(file.error());
    std::string text((*file)->size(), '\0');
    const auto got = (*file)->read_at(0, text.data(), text.size());
    if (!got)
        return tl::unexpected(got.error());
    text.resize(*got);
    return text;
}

} // namespace thresh::cli
