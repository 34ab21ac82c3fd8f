// Bytes into an open file, in large pieces, written beside whoever makes them.
#pragma once

#include <atomic>
#include <condition_variable>
#include <cstddef>
#include <deque>
#include <memory>
#include <mutex>
#include <new>
#include <string_view>
#include <thread>
#include <vector>

namespace thresh::cli {

// Writes everything from the file's position on, or says why not: an errno, 0 where all is well.
int write_all(int fd, std::string_view bytes);

class BulkFile {
  public:
    // The file is open for writing, empty, and stays the caller's.
    explicit BulkFile(int fd) : fd_(fd) {}
    ~BulkFile();
    BulkFile(const BulkFile&) = delete;
    BulkFile& operator=(const BulkFile&) = delete;

    // Takes the bytes. What failed so far as an errno, 0 as long as nothing did: a failure may be told some
    // pieces late.
    int add(std::string_view bytes);
    // Makes sure that all bytes are on the disk, or says what failed. Call once, after the last add().
    int finish();

  private:
    static constexpr std::size_t kPiece = std::size_t{2} << 20;
    static constexpr std::size_t kMostFull = 4; // pieces that wait for the disk or are on their way to it
    // More than devices ask of memory that they read themselves: a piece may be one large page.
    static constexpr std::align_val_t kAlignment{kPiece};
    struct Free {
        void operator()(char* bytes) const { ::operator delete(bytes, kAlignment); }
    };
    using Piece = std::unique_ptr<char, Free>;

    static Piece new_piece();
    void hand_over();
    void write_pieces(const std::stop_token& stop);
    int write_piece(const char* bytes);
    void go_past_cache(bool past);

    int fd_;
    Piece filling_;
    std::size_t filled_ = 0;
    std::atomic<int> failure_{0};
    // Of the thread alone, until it has ended.
    bool past_cache_ = false;
    std::size_t written_ = 0, begun_ = 0;
    // Guarded by the mutex; the first of the full ones may be read by the thread meanwhile.
    std::deque<Piece> full_;
    std::vector<Piece> empty_;
    std::mutex mutex_;
    std::condition_variable_any moved_;
    std::jthread writer_; // last: it uses the others; runs from the first full piece on
};

} // namespace thresh::cli
