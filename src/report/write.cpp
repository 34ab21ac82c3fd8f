// Rows are formatted in ranges, on several threads, and handed out in order: who finishes a range puts it on
// the shelf, and whoever finds the next range there carries it to the output. A thread that runs ahead waits,
// so that only a few ranges are ever held.
#include <thresh/report/write.hpp>

#include "report/format_writer.hpp"

#include <algorithm>
#include <atomic>
#include <condition_variable>
#include <map>
#include <mutex>
#include <thresh/core/crew.hpp>

namespace thresh::report {

namespace {

// Small enough for the threads to end together and for the text to lie in the cache until it is out, large
// enough for the hand-over not to count.
std::size_t rows_a_range(std::size_t rows, unsigned threads) {
    return std::clamp<std::size_t>(rows / (16 * std::max(1U, threads)), 64, 512);
}

// At the front of a string that is kept for its room.
struct Text {
    std::string room;
    std::size_t size = 0;
    std::string_view view() const { return std::string_view(room).substr(0, size); }
};

class OrderedOutput {
  public:
    OrderedOutput(const Output& output, std::size_t ahead) : output_(output), ahead_(ahead) {}

    // Waits until range `number` may be formatted; false when nobody wants output any more.
    bool may_start(std::size_t number) {
        std::unique_lock lock(mutex_);
        moved_.wait(lock, [&] { return closed_ || number < next_ + ahead_; });
        return !closed_;
    }

    // Takes the text of range `number`; gives back one whose room may be used again.
    Text put(std::size_t number, Text text) {
        std::unique_lock lock(mutex_);
        shelf_.emplace(number, std::move(text));
        while (!carrying_ && !closed_ && !shelf_.empty() && shelf_.begin()->first == next_) {
            Text next = std::move(shelf_.begin()->second);
            shelf_.erase(shelf_.begin());
            carrying_ = true;
            lock.unlock();
            const bool wanted = output_(next.view());
            lock.lock();
            used_.push_back(std::move(next));
            carrying_ = false;
            closed_ = closed_ || !wanted;
            ++next_;
            moved_.notify_all();
        }
        if (used_.empty())
            return {};
        Text used = std::move(used_.back());
        used_.pop_back();
        return used;
    }

    bool closed() const { return closed_; }

  private:
    const Output& output_;
    std::size_t ahead_;
    std::mutex mutex_;
    std::condition_variable moved_;
    std::map<std::size_t, Text> shelf_;
    std::vector<Text> used_;
    std::size_t next_ = 0;
    bool carrying_ = false, closed_ = false;
};

// False when the output was closed.
bool write_rows(const summary::Table& table, const FormatWriter& format, unsigned threads,
                const Output& output) {
    const std::size_t rows = table.rows();
    const std::size_t step = rows_a_range(rows, threads);
    const std::size_t ranges = (rows + step - 1) / step;
    const std::size_t crew = std::clamp<std::size_t>(ranges, 1, std::max(1U, threads));
    OrderedOutput ordered(output, 4 * crew);
    std::atomic<std::size_t> taken{0};
    share_long_work(crew - 1, [&](std::size_t) {
        Text text;
        for (std::size_t range = taken++; range < ranges; range = taken++) {
            if (!ordered.may_start(range))
                return;
            const std::size_t first = range * step;
            text.size = format.rows(table, first, std::min(rows, first + step), text.room);
            text = ordered.put(range, std::move(text));
        }
    });
    return !ordered.closed();
}

} // namespace

void write_table(const summary::Table& table, const WriteOptions& options, const Output& output) {
    std::unique_ptr<FormatWriter> format;
    switch (options.format) {
    case Format::table:
        write_terminal_table(table, options, output);
        return;
    case Format::csv:
        format = csv_writer(options);
        break;
    case Format::tsv:
        format = tsv_writer(options);
        break;
    case Format::json:
        format = json_writer(options, false);
        break;
    case Format::ndjson:
        format = json_writer(options, true);
        break;
    }
    Text text;
    text.size = format->head(table, text.room);
    if (text.size > 0 && !output(text.view()))
        return;
    if (!write_rows(table, *format, options.threads, output))
        return;
    text.size = format->tail(table, text.room);
    if (text.size > 0)
        output(text.view());
}

} // namespace thresh::report
