// Pieces are filled while a thread writes those that are full: a few, because a disk that pauses for some
// milliseconds would make both threads wait that spell a table. A piece is one large page where the system
// has one: the disk then takes it as one, not as 512. A file of more than a piece goes past the system's page
// cache where the file system allows it (O_DIRECT). A result is to be on the disk before it counts, so a copy
// in the cache is copied, kept, written and thrown away for nothing; that costs more than half of the
// system's time of a run. Elsewhere the disk is asked to begin early. The rest behind the last full piece has
// no size that a device could take by itself, and goes the usual way.
#include "cli/bulk_file.hpp"

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <fcntl.h>
#include <sys/mman.h>
#include <unistd.h>

namespace thresh::cli {

int write_all(int fd, std::string_view bytes) {
    while (!bytes.empty()) {
        const ssize_t n = ::write(fd, bytes.data(), bytes.size());
        if (n < 0 && errno == EINTR)
            continue;
        if (n < 0)
            return errno;
        bytes.remove_prefix(static_cast<std::size_t>(n));
    }
    return 0;
}

BulkFile::~BulkFile() = default; // the thread ends before what it uses

int BulkFile::add(std::string_view bytes) {
    while (!bytes.empty()) {
        if (!filling_)
            filling_ = new_piece();
        const std::size_t taken = std::min(bytes.size(), kPiece - filled_);
        std::memcpy(filling_.get() + filled_, bytes.data(), taken);
        bytes.remove_prefix(taken);
        filled_ += taken;
        if (filled_ == kPiece)
            hand_over();
    }
    return failure_;
}

BulkFile::Piece BulkFile::new_piece() {
    Piece piece(static_cast<char*>(::operator new(kPiece, kAlignment)));
    ::madvise(piece.get(), kPiece, MADV_HUGEPAGE); // refusal leaves small pages
    return piece;
}

void BulkFile::hand_over() {
    std::unique_lock lock(mutex_);
    moved_.wait(lock, [&] { return full_.size() < kMostFull; });
    full_.push_back(std::move(filling_));
    if (!empty_.empty()) {
        filling_ = std::move(empty_.back());
        empty_.pop_back();
    }
    filled_ = 0;
    if (!writer_.joinable())
        writer_ = std::jthread([this](const std::stop_token& stop) { write_pieces(stop); });
    moved_.notify_all();
}

// Until it is asked to stop and has written what it was given.
void BulkFile::write_pieces(const std::stop_token& stop) {
    go_past_cache(true);
    std::unique_lock lock(mutex_);
    while (moved_.wait(lock, stop, [&] { return !full_.empty(); })) {
        const char* bytes = full_.front().get();
        lock.unlock();
        if (failure_ == 0)
            failure_ = write_piece(bytes);
        lock.lock();
        empty_.push_back(std::move(full_.front()));
        full_.pop_front();
        moved_.notify_all();
    }
}

int BulkFile::write_piece(const char* bytes) {
    const off_t before = ::lseek(fd_, 0, SEEK_CUR);
    int failure = write_all(fd_, {bytes, kPiece});
    if (failure == EINVAL && past_cache_) { // it said it could, or a device asks for more
        go_past_cache(false);
        const off_t written = ::lseek(fd_, 0, SEEK_CUR) - before;
        failure = write_all(fd_, {bytes + written, kPiece - static_cast<std::size_t>(written)});
    }
    written_ += kPiece;
    constexpr std::size_t kBegin = 4 * kPiece;
    if (!past_cache_ && written_ - begun_ >= kBegin) {
        // Only asks: what it cannot do now, and every failure, is left to fsync.
        ::sync_file_range(fd_, static_cast<off_t>(begun_), static_cast<off_t>(written_ - begun_),
                          SYNC_FILE_RANGE_WRITE);
        begun_ = written_;
    }
    return failure;
}

void BulkFile::go_past_cache(bool past) {
    const int flags = ::fcntl(fd_, F_GETFL);
    if (flags >= 0 && ::fcntl(fd_, F_SETFL, past ? flags | O_DIRECT : flags & ~O_DIRECT) == 0)
        past_cache_ = past;
}

int BulkFile::finish() {
    if (writer_.joinable()) {
        writer_.request_stop();
        writer_.join();
    }
    if (past_cache_)
        go_past_cache(false);
    if (failure_ == 0 && filled_ > 0)
        failure_ = write_all(fd_, {filling_.get(), filled_});
    if (failure_ == 0 && ::fsync(fd_) != 0)
        failure_ = errno;
    return failure_;
}

} // namespace thresh::cli
