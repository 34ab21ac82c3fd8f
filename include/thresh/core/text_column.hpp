// The text of one column of a block, by number of a pool. Columns with few different texts, such as the
// instrument's, take a byte a row once their pool is known.
#pragma once

#include <thresh/core/text_pool.hpp>

#include <cstddef>
#include <cstdint>
#include <limits>
#include <vector>

namespace thresh {

class TextColumn {
  public:
    bool empty() const { return wide_.empty() && narrow_.empty(); }
    std::size_t size() const { return wide_.size() + narrow_.size(); }
    TextId operator[](std::size_t row) const {
        if (narrow_.empty())
            return wide_[row];
        return narrow_[row] == kNarrowNone ? kNoText : narrow_[row];
    }
    friend bool operator==(const TextColumn& a, const TextColumn& b) {
        if (a.size() != b.size())
            return false;
        for (std::size_t row = 0; row < a.size(); ++row)
            if (a[row] != b[row])
                return false;
        return true;
    }

    void reserve(std::size_t rows) { wide_.reserve(rows); }
    void assign(std::size_t rows, TextId id) {
        narrow_ = {};
        wide_.assign(rows, id);
    }
    // Precondition for this one: not fitted yet.
    void push_back(TextId id) { wide_.push_back(id); }
    void set(std::size_t row, TextId id) {
        widen();
        wide_[row] = id;
    }
    // Every id but kNoText becomes new_id(id).
    template <typename NewId>
    void renumber(const NewId& new_id) {
        widen();
        for (TextId& id : wide_)
            if (id != kNoText)
                id = new_id(id);
    }
    // Takes as little memory as ids of a pool of this size need.
    void fit(std::size_t pool_size) {
        if (pool_size > kNarrowNone || !narrow_.empty())
            return;
        narrow_.reserve(wide_.size());
        for (const TextId id : wide_)
            narrow_.push_back(id == kNoText ? kNarrowNone : static_cast<std::uint8_t>(id));
        wide_ = {};
    }

  private:
    static constexpr std::uint8_t kNarrowNone = std::numeric_limits<std::uint8_t>::max();
    void widen() {
        if (narrow_.empty())
            return;
        std::vector<TextId> wide(narrow_.size());
        for (std::size_t row = 0; row < wide.size(); ++row)
            wide[row] = (*this)[row];
        wide_ = std::move(wide);
        narrow_ = {};
    }
    std::vector<TextId> wide_; // empty when narrow_ is not
    std::vector<std::uint8_t> narrow_;
};

} // namespace thresh
