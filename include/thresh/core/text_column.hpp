// The text of one column of a block, by number of a pool. A column takes a byte a row as long as its numbers
// are small, as those of instruments and operators are, and four bytes a row from the first larger one on.
#pragma once

#include <thresh/core/row_memory.hpp>
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
    // The ids of a column that stays as it is, quick to go through; of an empty column kNoText in every row.
    class View {
      public:
        TextId operator[](std::size_t row) const {
            if (narrow_ != nullptr)
                return narrow_[row] == kNarrowNone ? kNoText : narrow_[row];
            return wide_ != nullptr ? wide_[row] : kNoText;
        }

      private:
        friend TextColumn;
        const TextId* wide_ = nullptr;
        const std::uint8_t* narrow_ = nullptr;
    };
    View view() const {
        View view;
        if (!wide_.empty())
            view.wide_ = wide_.data();
        else if (!narrow_.empty())
            view.narrow_ = narrow_.data();
        return view;
    }
    friend bool operator==(const TextColumn& a, const TextColumn& b) {
        if (a.size() != b.size())
            return false;
        for (std::size_t row = 0; row < a.size(); ++row)
            if (a[row] != b[row])
                return false;
        return true;
    }

    void reserve(std::size_t rows) { wide_.empty() ? narrow_.reserve(rows) : wide_.reserve(rows); }
    void assign(std::size_t rows, TextId id) {
        *this = {};
        if (is_narrow(id))
            narrow_.assign(rows, narrowed(id));
        else
            wide_.assign(rows, id);
    }
    void push_back(TextId id) {
        if (wide_.empty()) {
            if (is_narrow(id)) {
                narrow_.push_back(narrowed(id));
                return;
            }
            widen();
        }
        wide_.push_back(id);
    }
    void set(std::size_t row, TextId id) {
        if (wide_.empty() && is_narrow(id)) {
            narrow_[row] = narrowed(id);
            return;
        }
        widen();
        wide_[row] = id;
    }
    // Every id but kNoText becomes new_id(id).
    template <typename NewId>
    void renumber(const NewId& new_id) {
        for (TextId& id : wide_)
            if (id != kNoText)
                id = new_id(id);
        for (std::size_t row = 0; row < narrow_.size(); ++row)
            if (narrow_[row] != kNarrowNone) {
                const TextId id = new_id(narrow_[row]);
                if (!is_narrow(id)) {
                    renumber_widening(row, new_id);
                    return;
                }
                narrow_[row] = narrowed(id);
            }
    }
    // Takes as little memory as ids of a pool of this size need.
    void fit(std::size_t pool_size) {
        if (pool_size > kNarrowNone || wide_.empty())
            return;
        narrow_.reserve(wide_.size());
        for (const TextId id : wide_)
            narrow_.push_back(narrowed(id));
        decltype(wide_)().swap(wide_);
    }
    // Bytes of memory that its rows take, and those it has room for.
    std::size_t memory() const { return wide_.capacity() * sizeof(TextId) + narrow_.capacity(); }

  private:
    static constexpr std::uint8_t kNarrowNone = std::numeric_limits<std::uint8_t>::max();
    static bool is_narrow(TextId id) { return id < kNarrowNone || id == kNoText; }
    // Precondition: is_narrow(id).
    static std::uint8_t narrowed(TextId id) {
        return id == kNoText ? kNarrowNone : static_cast<std::uint8_t>(id);
    }
    // With room for as many rows. Assigning {} would keep the memory of what is left.
    void widen() {
        if (!wide_.empty())
            return;
        wide_.reserve(narrow_.capacity());
        for (const std::uint8_t id : narrow_)
            wide_.push_back(id == kNarrowNone ? kNoText : id);
        decltype(narrow_)().swap(narrow_);
    }
    // The ids before `first` are new already.
    template <typename NewId>
    void renumber_widening(std::size_t first, const NewId& new_id) {
        widen();
        for (std::size_t row = first; row < wide_.size(); ++row)
            if (wide_[row] != kNoText)
                wide_[row] = new_id(wide_[row]);
    }
    std::vector<TextId, RowAllocator<TextId>> wide_; // one of the two is empty
    std::vector<std::uint8_t, RowAllocator<std::uint8_t>> narrow_;
};

} // namespace thresh
