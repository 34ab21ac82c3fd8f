// What the laboratory must do next, as items: the table `todo`, the summary and the report are made from
// them.
#pragma once

#include <thresh/summary/tables.hpp>

#include <deque>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace thresh::summary {

// A small record: its words are made when it is shown (todo_words). Texts belong to the season or the list.
struct TodoItem {
    rules::Action action = rules::Action::nothing;
    std::uint32_t sample = kNone; // kNone: about a file, session, line or run of readings
    std::string_view due, location, material, trial, line;
    std::span<const std::uint32_t> packets;  // samples of a run of readings, in its order; else empty
    std::string_view place;                  // of the first finding, without a sample: `week32.csv:1:4`
    std::size_t places = 0;                  // of a heading to settle: how many tables hold it; else 0
    std::span<const std::uint32_t> findings; // into Judgement::findings
    std::string_view decides;                // decisions about lines that hang on it; empty: none
};

// Items in the order of the table, and what they refer to. May be moved, not copied; the season must outlive
// it.
class TodoList {
  public:
    TodoList() = default;
    TodoList(TodoList&&) = default;
    TodoList& operator=(TodoList&&) = default;
    TodoList(const TodoList&) = delete;
    TodoList& operator=(const TodoList&) = delete;

    std::size_t size() const { return items_.size(); }
    bool empty() const { return items_.empty(); }
    const TodoItem& operator[](std::size_t i) const { return items_[i]; }
    auto begin() const { return items_.begin(); }
    auto end() const { return items_.end(); }

  private:
    friend class TodoGathering;
    std::vector<TodoItem> items_;
    std::vector<std::uint32_t> findings_;            // of one item after the other
    std::deque<std::string> texts_;                  // places and decisions
    std::deque<std::vector<std::uint32_t>> packets_; // of runs
};

// Open findings only: settled ones, those of superseded readings, and notes that merely ask to look again are
// left out. A packet that must be conditioned or ground anyway has one item, not a second one to read it
// again. A packet that a fault of its session left without a usable reading is to be read again, with that
// finding among its own.
// `decisions`: fills in `decides`, and puts items that decide something first within their action.
TodoList todo_items(const Season& season, const Decisions* decisions = nullptr);

struct TodoWords {
    std::string reason; // codes, sorted, joined by ;
    std::string detail; // what was found and what exactly to do
};

// Makes the words of items, each from all of its findings. One for a thread; keeps its room.
class TodoSpeller {
  public:
    explicit TodoSpeller(const Season& season);
    ~TodoSpeller();
    // Holds until the next call.
    const TodoWords& words(const TodoItem& item);

  private:
    struct Room;
    std::unique_ptr<Room> room_;
};

} // namespace thresh::summary
