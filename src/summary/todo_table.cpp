// `todo`: items are small records, and become words only when their row is written.
#include <thresh/summary/columns.hpp>
#include <thresh/summary/todo.hpp>

namespace thresh::summary {

namespace {

class TodoTable final : public Table {
  public:
    TodoTable(const Season& season, const Decisions* decisions)
        : season_(season), items_(todo_items(season, decisions)), decides_(decisions != nullptr) {
        name_ = "todo";
        for (const char* name : {"action", "due", "location", "material", "sample", "line", "trial", "reason",
                                 "detail", "decides"})
            if (name != std::string_view("decides") || decides_)
                columns_.push_back(declared_column(name_, name));
    }
    std::size_t rows() const override { return items_.size(); }
    void write(std::size_t first, std::size_t last, RowSink& sink) const override {
        TodoSpeller speller(season_);
        for (std::size_t i = first; i < last; ++i) {
            prefetch(i, last);
            const TodoItem& item = items_[i];
            const TodoWords& words = speller.words(item);
            const std::string_view cells[] = {rules::to_text(item.action),
                                              item.due,
                                              item.location,
                                              item.material,
                                              item.sample == kNone ? std::string_view()
                                                                   : season_.batch.samples[item.sample].id,
                                              item.line,
                                              item.trial,
                                              words.reason,
                                              words.detail,
                                              item.decides};
            sink.begin_row();
            sink.texts(std::span(cells).first(columns_.size()));
            sink.end_row();
        }
    }

  private:
    // Findings and readings of one item after the other lie far apart: they are asked for ahead, the readings
    // once their findings are there.
    [[gnu::always_inline]] void prefetch(std::size_t i, std::size_t last) const {
        constexpr std::size_t kAhead = 3;
        const auto first_of = [&](std::size_t item) {
            return &season_.judgement.findings[items_[item].findings.front()];
        };
        if (i + 2 * kAhead < last) {
            __builtin_prefetch(first_of(i + 2 * kAhead));
            if (items_[i + 2 * kAhead].sample != kNone)
                __builtin_prefetch(&season_.batch.samples[items_[i + 2 * kAhead].sample]);
        }
        if (i + kAhead >= last || first_of(i + kAhead)->row == kNone)
            return;
        const RowId row = first_of(i + kAhead)->row;
        __builtin_prefetch(&season_.batch.material[row]);
        const Block& block = season_.batch.block_of(row);
        block.prefetch_cells(row - block.first);
    }

    Season season_;
    TodoList items_;
    bool decides_;
};

} // namespace

std::unique_ptr<Table> todo_table(const Season& season, const Decisions* decisions) {
    return std::make_unique<TodoTable>(season, decisions);
}

} // namespace thresh::summary
