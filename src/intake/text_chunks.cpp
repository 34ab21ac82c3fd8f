// The text is cut without regard to what stands there; what comes out is the same wherever it is cut. A piece
// starts behind the first line feed at its cut, which is right unless that line feed stands in quotes; so the
// pieces are checked in order afterwards: each must start where the one before ended, and one that does not
// is read again from there. Each thread reads through a small buffer of its own.
#include "intake/text_chunks.hpp"

#include "intake/encoding.hpp"
#include "intake/fast_rows.hpp"
#include <thresh/core/parallel.hpp>

#include <algorithm>
#include <cstring>
#include <fmt/format.h>
#include <optional>

namespace thresh::intake {

namespace {

struct Piece {
    Part part;
    std::uint64_t begin = 0, end = 0;
    bool read = false, new_table = false, invalid_utf8 = false;
    std::optional<Error> error;
};

class PieceReader {
  public:
    PieceReader(const RowsWanted& wanted, Pools& pools, std::size_t pool_number)
        : wanted_(wanted), pools_(pools), pool_number_(pool_number), buffer_(pools.buffer) {
        // Buffers are used again, but a test's small one must stay small.
        if (buffer_.size() > wanted.settings.buffer_bytes)
            buffer_.resize(wanted.settings.buffer_bytes);
    }

    // Rows that start in [from, limit). `find_start`: begin behind the first line feed from `from` - 1 on.
    Piece read(std::uint64_t from, std::uint64_t limit, bool find_start);

  private:
    bool fill(Piece& piece);
    bool skip_to_start(Piece& piece, std::uint64_t limit);

    const RowsWanted& wanted_;
    Pools& pools_;
    std::size_t pool_number_;
    std::vector<char>& buffer_;
    std::size_t have_ = 0;     // bytes in the buffer
    std::uint64_t offset_ = 0; // of the buffer's first byte
    bool last_ = false;        // the buffer ends where the text ends
};

bool PieceReader::fill(Piece& piece) {
    const std::uint64_t size = wanted_.source.size();
    if (have_ == buffer_.size()) {
        if (buffer_.size() >= kMaxRecordBytes) {
            piece.error = Error{fmt::format("a line is longer than {} MiB", kMaxRecordBytes >> 20),
                                "this is no table; export it again",
                                {},
                                0,
                                0};
            return false;
        }
        buffer_.resize(std::max(wanted_.settings.buffer_bytes, buffer_.size() * 2));
    }
    const std::uint64_t left = size - std::min(size, offset_ + have_);
    const auto want = static_cast<std::size_t>(std::min<std::uint64_t>(buffer_.size() - have_, left));
    std::size_t got = 0;
    while (got < want) {
        auto count = wanted_.source.read_at(offset_ + have_ + got, buffer_.data() + have_ + got, want - got);
        if (!count || *count == 0) {
            piece.error = count ? Error{"the file became shorter while it was read",
                                        "read it again when it is complete",
                                        {},
                                        0,
                                        0}
                                : std::move(count.error());
            return false;
        }
        got += *count;
    }
    have_ += got;
    last_ = offset_ + have_ >= size;
    return true;
}

// False when no line starts in the piece, or reading failed.
bool PieceReader::skip_to_start(Piece& piece, std::uint64_t limit) {
    --offset_;
    while (offset_ + 1 < limit) {
        have_ = 0;
        if (!fill(piece))
            return false;
        const void* feed = std::memchr(buffer_.data(), '\n', have_);
        if (feed) {
            const auto skip = static_cast<std::size_t>(static_cast<const char*>(feed) - buffer_.data()) + 1;
            std::memmove(buffer_.data(), buffer_.data() + skip, have_ - skip);
            have_ -= skip;
            offset_ += skip;
            return offset_ < limit;
        }
        offset_ += have_;
        if (last_)
            return false;
    }
    return false;
}

Piece PieceReader::read(std::uint64_t from, std::uint64_t limit, bool find_start) {
    Piece piece;
    piece.part.pools = pool_number_;
    offset_ = from;
    have_ = 0;
    piece.begin = piece.end = from;
    if (find_start && !skip_to_start(piece, limit))
        return piece; // not read: whoever checks the pieces will see
    piece.read = true;
    piece.begin = offset_;
    FastRows rows(wanted_.plan, wanted_.dictionary, pools_, piece.part, wanted_.dialect, wanted_.settings);
    const std::uint64_t bytes = std::min(limit, wanted_.source.size()) - std::min(limit, offset_);
    const auto about = static_cast<std::size_t>(bytes / std::max<std::size_t>(1, wanted_.row_bytes));
    rows.reserve_rows(about + std::min<std::size_t>(64, 8 + about / 32));
    bool more = have_ > 0 || fill(piece);
    while (more && !piece.error) {
        const std::string_view text(buffer_.data(), have_);
        const auto here = static_cast<std::size_t>(std::min<std::uint64_t>(limit - offset_, have_ + 1));
        const bool same_table = rows.take(text, here, last_);
        const std::size_t taken = rows.taken();
        std::size_t cut = 0;
        if (!wanted_.checked && !rows.ascii() &&
            find_invalid_utf8(text.substr(0, taken), true, cut) != std::string_view::npos) {
            piece.invalid_utf8 = true;
            break;
        }
        std::memmove(buffer_.data(), buffer_.data() + taken, have_ - taken);
        have_ -= taken;
        offset_ += taken;
        piece.new_table = !same_table;
        more = same_table && offset_ < limit && !(last_ && have_ == 0) && !(last_ && taken == 0);
        if (more && !last_)
            fill(piece);
        else if (more && taken == 0)
            more = false;
    }
    piece.end = offset_;
    return piece;
}

// The bytes of rows whose numbers fill two large pages of memory: what stands over is costly to get.
std::uint64_t bytes_to_fill(const RowsWanted& wanted) {
    constexpr std::uint64_t kLargePages = std::uint64_t{4} << 20;
    const std::uint64_t row = sizeof(Cell) * std::max<std::size_t>(1, wanted.plan.numbers.size());
    return kLargePages / row * std::max<std::size_t>(1, wanted.row_bytes);
}

// Where pieces begin. The last ones are halves and quarters, so that threads end together.
std::vector<std::uint64_t> starts_of(std::uint64_t from, std::uint64_t to, std::uint64_t step,
                                     unsigned threads) {
    std::vector<std::uint64_t> starts = {from};
    const std::uint64_t crew = std::max(1U, threads);
    const auto next_step = [&](std::uint64_t left) {
        if (crew == 1 || left > 2 * crew * step)
            return step;
        return std::max<std::uint64_t>(1, left > crew * step / 2 ? step / 2 : step / 4);
    };
    while (starts.back() < to && to - starts.back() > next_step(to - starts.back()))
        starts.push_back(starts.back() + next_step(to - starts.back()));
    return starts;
}

using Sizes = std::array<std::size_t, kTextFields>;

Sizes sizes_of(const Pools& pools) {
    Sizes sizes;
    std::ranges::transform(pools.pools, sizes.begin(), &TextPool::size);
    return sizes;
}

// After a piece of `rows` rows with which `pools` got from `before` texts to what they hold: room for those
// of `left` more rows. Half as many as if all went on like this, for samples are met again.
void reserve_texts(Pools& pools, const Sizes& before, std::size_t rows, std::size_t left) {
    constexpr std::size_t kEnough = 1000; // rows to tell from
    if (rows < kEnough)
        return;
    for (std::size_t field = 0; field < before.size(); ++field) {
        TextPool& pool = pools.pools[field];
        const double new_ones = static_cast<double>(pool.size() - before[field]) / static_cast<double>(rows);
        pool.reserve(pool.size() + static_cast<std::size_t>(new_ones / 2 * static_cast<double>(left)));
    }
}

} // namespace

Result<RowsRead> read_rows(const RowsWanted& wanted, std::vector<Pools>& pools, std::size_t first,
                           unsigned threads) {
    const std::uint64_t size = wanted.source.size();
    const std::uint64_t length = size - std::min(size, wanted.from);
    const std::uint64_t small_step = std::max<std::size_t>(1, wanted.settings.chunk_bytes);
    // A big file has pieces enough for all threads; longer ones make arrays that fill large pages of memory.
    const std::uint64_t step = length / small_step >= 16
                                   ? std::clamp(bytes_to_fill(wanted), small_step, 3 * small_step)
                                   : small_step;
    const std::vector<std::uint64_t> starts = starts_of(wanted.from, size, step, threads);
    const std::size_t count = starts.size();
    const auto start_of = [&](std::size_t i) { return starts[i]; };
    const auto limit_of = [&](std::size_t i) { return i + 1 == count ? size : starts[i + 1]; };
    std::vector<Piece> pieces(count);
    std::atomic<std::size_t> stop{count}; // no piece behind this one is of use
    parallel_for_threads(count, threads, [&](std::size_t i, std::size_t thread) {
        if (i > stop.load())
            return;
        Pools& own = pools[first + thread];
        const Sizes texts = sizes_of(own);
        PieceReader reader(wanted, own, first + thread);
        pieces[i] = reader.read(start_of(i), limit_of(i), i > 0);
        const std::uint64_t left = (size - limit_of(i)) / std::max<std::size_t>(1, wanted.row_bytes);
        reserve_texts(own, texts, pieces[i].part.rows(),
                      static_cast<std::size_t>(left / std::max(1U, threads)));
        if (pieces[i].new_table || pieces[i].invalid_utf8 || pieces[i].error) {
            std::size_t before = stop.load();
            while (i < before && !stop.compare_exchange_weak(before, i)) {
            }
        }
    });
    RowsRead out;
    out.end = wanted.from;
    out.line = wanted.line;
    for (std::size_t i = 0; i < count; ++i) {
        Piece& piece = pieces[i];
        if (!piece.read || piece.begin != out.end) {
            out.discarded = out.discarded || piece.read;
            if (out.end >= limit_of(i))
                continue; // the piece before reached over all of this one
            PieceReader reader(wanted, pools[first], first);
            piece = reader.read(out.end, limit_of(i), false);
        }
        if (piece.error) {
            if (piece.error->line == 0)
                piece.error->line = out.line + piece.part.lines;
            return tl::unexpected(std::move(*piece.error));
        }
        if (piece.invalid_utf8) {
            out.invalid_utf8 = true;
            return out;
        }
        const std::uint32_t lines = piece.part.lines;
        piece.part.shift_lines(out.line);
        out.line += lines;
        out.end = piece.end;
        out.parts.push_back(std::move(piece.part));
        if (piece.new_table) {
            out.new_table = true;
            out.discarded = true;
            break;
        }
    }
    return out;
}

} // namespace thresh::intake
