// A table held whole, row by row. Copying another table goes through its own `write`, so that a copy shows
// exactly what the original would.
#include <thresh/summary/table.hpp>

#include <cassert>

namespace thresh::summary {

namespace {

class Collector final : public RowSink {
  public:
    explicit Collector(std::vector<std::vector<Value>>& rows, std::size_t columns)
        : rows_(rows), columns_(columns) {}
    void begin_row() override {
        rows_.emplace_back();
        rows_.back().reserve(columns_);
    }
    void text(std::string_view value) override {
        if (value.empty())
            missing();
        else
            next().value.emplace<std::string>(value);
    }
    void integer(std::int64_t value) override { next().value = value; }
    void number(double value, Shown shown) override {
        Value& cell = next();
        cell.value = value;
        cell.shown = shown;
    }
    void time(Time value) override {
        if (value.missing())
            missing();
        else
            next().value = value;
    }
    void missing() override { next(); }
    void end_row() override { assert(rows_.back().size() == columns_); }

  private:
    Value& next() { return rows_.back().emplace_back(); }

    std::vector<std::vector<Value>>& rows_;
    std::size_t columns_;
};

void send(const Value& value, RowSink& sink) {
    if (const auto* text = std::get_if<std::string>(&value.value))
        sink.text(*text);
    else if (const auto* integer = std::get_if<std::int64_t>(&value.value))
        sink.integer(*integer);
    else if (const auto* number = std::get_if<double>(&value.value))
        sink.number(*number, value.shown);
    else if (const auto* time = std::get_if<Time>(&value.value))
        sink.time(*time);
    else
        sink.missing();
}

} // namespace

StoredTable::StoredTable(std::string name, std::vector<OutColumn> columns) {
    name_ = std::move(name);
    columns_ = std::move(columns);
}

StoredTable::StoredTable(const Table& other) {
    name_ = other.name();
    columns_ = other.columns();
    rows_.reserve(other.rows());
    Collector collector(rows_, columns_.size());
    other.write(0, other.rows(), collector);
}

void StoredTable::add(std::vector<Value> row) {
    assert(row.size() == columns_.size());
    rows_.push_back(std::move(row));
}

void StoredTable::write(std::size_t first, std::size_t last, RowSink& sink) const {
    for (std::size_t row = first; row < last; ++row) {
        sink.begin_row();
        for (const Value& value : rows_[row])
            send(value, sink);
        sink.end_row();
    }
}

} // namespace thresh::summary
