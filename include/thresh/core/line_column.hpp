// The line of each row of a block. Most exports have a record on every line, without gaps: then the first
// line tells all others, and nothing is kept for a row.
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

namespace thresh {

class LineColumn {
  public:
    std::size_t size() const { return size_; }
    // Of many, where they are not successive.
    void reserve(std::size_t rows) { expected_ = rows; }
    void push_back(std::uint32_t line) {
        if (size_ == 0)
            first_ = line;
        if (each_.empty() && line != first_ + size_)
            list();
        if (!each_.empty())
            each_.push_back(line);
        ++size_;
    }
    // Precondition: row < size().
    std::uint32_t operator[](std::size_t row) const {
        return each_.empty() ? first_ + static_cast<std::uint32_t>(row) : each_[row];
    }
    // Adds `lines` to each.
    void shift(std::uint32_t lines) {
        first_ += lines;
        for (std::uint32_t& line : each_)
            line += lines;
    }
    // Bytes of memory beside the object itself.
    std::size_t memory() const { return each_.capacity() * sizeof(std::uint32_t); }

  private:
    void list() {
        each_.reserve(expected_ > size_ ? expected_ : size_ + 1);
        for (std::size_t row = 0; row < size_; ++row)
            each_.push_back(first_ + static_cast<std::uint32_t>(row));
    }
    std::uint32_t first_ = 0;
    std::size_t size_ = 0, expected_ = 0;
    std::vector<std::uint32_t> each_; // empty while all rows are successive lines
};

} // namespace thresh
