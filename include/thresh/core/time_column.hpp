// The time of each row of a block. Rows of one block lie a few years apart at most, so they are kept as
// 32-bit distances from a time near the first one; a block with a row farther off keeps every time in full.
#pragma once

#include <thresh/core/row_memory.hpp>
#include <thresh/core/time.hpp>

#include <cstddef>
#include <cstdint>
#include <limits>
#include <vector>

namespace thresh {

class TimeColumn {
  public:
    bool empty() const { return wide_.empty() && narrow_.empty(); }
    std::size_t size() const { return wide_.size() + narrow_.size(); }
    Time operator[](std::size_t row) const {
        if (narrow_.empty())
            return wide_[row];
        return narrow_[row] == kNoTime ? Time{} : Time{base_ + narrow_[row]};
    }
    // The times of a column that stays as it is, quick to go through; of an empty column none in any row.
    class View {
      public:
        Time operator[](std::size_t row) const {
            if (narrow_ != nullptr)
                return narrow_[row] == kNoTime ? Time{} : Time{base_ + narrow_[row]};
            return wide_ != nullptr ? wide_[row] : Time{};
        }

      private:
        friend TimeColumn;
        const Time* wide_ = nullptr;
        const std::uint32_t* narrow_ = nullptr;
        std::int64_t base_ = 0;
    };
    View view() const {
        View view;
        view.base_ = base_;
        if (!wide_.empty())
            view.wide_ = wide_.data();
        else if (!narrow_.empty())
            view.narrow_ = narrow_.data();
        return view;
    }
    void reserve(std::size_t rows) { wide_.empty() ? narrow_.reserve(rows) : wide_.reserve(rows); }
    void push_back(Time time) {
        if (wide_.empty()) {
            if (fits(time)) {
                narrow_.push_back(narrowed(time));
                return;
            }
            widen();
        }
        wide_.push_back(time);
    }
    // Precondition: row < size().
    void set(std::size_t row, Time time) {
        if (wide_.empty() && fits(time)) {
            narrow_[row] = narrowed(time);
            return;
        }
        widen();
        wide_[row] = time;
    }
    // Takes as little memory as it can, after times were set.
    void fit() {
        if (wide_.empty())
            return;
        TimeColumn fitted;
        fitted.reserve(size());
        for (const Time time : wide_) {
            fitted.push_back(time);
            if (!fitted.wide_.empty())
                return;
        }
        *this = std::move(fitted);
    }
    void prefetch(std::size_t row) const {
        __builtin_prefetch(narrow_.empty() ? static_cast<const void*>(&wide_[row]) : &narrow_[row]);
    }
    // Bytes of memory that its rows take, and those it has room for.
    std::size_t memory() const {
        return wide_.capacity() * sizeof(Time) + narrow_.capacity() * sizeof(std::uint32_t);
    }

  private:
    static constexpr std::uint32_t kNoTime = 0;
    static constexpr std::uint32_t kMost = std::numeric_limits<std::uint32_t>::max();
    // Whether the time is base_ + 1 to base_ + kMost. The first time there is settles the base.
    bool fits(Time time) {
        if (time == Time{})
            return true;
        if (!has_base_) {
            constexpr std::int64_t kMiddle = std::int64_t{1} << 31;
            if (time.packed < std::numeric_limits<std::int64_t>::min() + kMiddle)
                return false;
            base_ = time.packed - kMiddle;
            has_base_ = true;
        }
        // No difference of two times overflows as unsigned; one before the base becomes a very large one.
        return static_cast<std::uint64_t>(time.packed) - static_cast<std::uint64_t>(base_) - 1 < kMost;
    }
    // Precondition: fits(time).
    std::uint32_t narrowed(Time time) const {
        return time == Time{} ? kNoTime : static_cast<std::uint32_t>(time.packed - base_);
    }
    void widen() {
        if (!wide_.empty())
            return;
        wide_.reserve(narrow_.capacity());
        for (std::size_t row = 0; row < narrow_.size(); ++row)
            wide_.push_back((*this)[row]);
        decltype(narrow_)().swap(narrow_);
    }
    std::vector<Time, RowAllocator<Time>> wide_;                     // one of the two is empty
    std::vector<std::uint32_t, RowAllocator<std::uint32_t>> narrow_; // kNoTime, or the time less base_
    std::int64_t base_ = 0;
    bool has_base_ = false;
};

} // namespace thresh
