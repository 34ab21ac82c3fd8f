// JSON: an array of objects, or one object a line. Missing is null; every object has every key, in column
// order. Written directly, not through a document tree: a million rows must not be held.
#include "report/format_writer.hpp"
#include "report/text_cells.hpp"

namespace thresh::report {

namespace {

class JsonSink final : public summary::RowSink {
  public:
    JsonSink(std::string& into, const std::vector<std::string>& keys,
             const std::vector<summary::OutColumn>& columns, std::optional<int> digits, bool lines)
        : into_(into), keys_(keys), columns_(columns), digits_(digits), lines_(lines) {}
    void begin_row() override {
        column_ = 0;
        into_ += '{';
    }
    void text(std::string_view value) override {
        key();
        if (value.empty())
            into_ += "null";
        else
            append_json_text(into_, value);
    }
    void integer(std::int64_t value) override {
        key();
        append_integer(into_, value);
    }
    void number(double value, summary::Shown shown) override {
        key();
        if (summary::only_for_people(shown))
            into_ += "null";
        else
            append_number(into_, value, digits_of_column(columns_[column_ - 1], value, digits_));
    }
    void time(Time value) override {
        key();
        if (value.missing()) {
            into_ += "null";
            return;
        }
        into_ += '"';
        append_time(into_, value);
        into_ += '"';
    }
    void missing() override {
        key();
        into_ += "null";
    }
    bool wants_marks() const override { return false; }
    void end_row() override { into_ += lines_ ? "}\n" : "},\n"; }

  private:
    void key() { into_ += keys_[column_++]; }

    std::string& into_;
    const std::vector<std::string>& keys_;
    const std::vector<summary::OutColumn>& columns_;
    std::optional<int> digits_;
    bool lines_;
    std::size_t column_ = 0;
};

class JsonWriter final : public FormatWriter {
  public:
    JsonWriter(std::optional<int> digits, bool lines) : digits_(digits), lines_(lines) {}
    std::size_t head(const summary::Table&, std::string& into) const override {
        into = lines_ ? "" : "[\n";
        return into.size();
    }
    std::size_t rows(const summary::Table& table, std::size_t first, std::size_t last,
                     std::string& into) const override {
        into.clear();
        const std::vector<std::string> keys = keys_of(table);
        JsonSink sink(into, keys, table.columns(), digits_, lines_);
        table.write(first, last, sink);
        if (!lines_ && last == table.rows() && last > first)
            into.erase(into.size() - 2, 1); // no comma after the last object
        return into.size();
    }
    std::size_t tail(const summary::Table&, std::string& into) const override {
        into = lines_ ? "" : "]\n";
        return into.size();
    }

  private:
    // `"name":` with the comma before all but the first.
    static std::vector<std::string> keys_of(const summary::Table& table) {
        std::vector<std::string> keys;
        for (const summary::OutColumn& column : table.columns()) {
            std::string text = keys.empty() ? "" : ",";
            append_json_text(text, column.name);
            keys.push_back(text + ":");
        }
        return keys;
    }

    std::optional<int> digits_;
    bool lines_;
};

} // namespace

std::unique_ptr<FormatWriter> json_writer(const WriteOptions& options, bool one_object_a_line) {
    return std::make_unique<JsonWriter>(options.digits, one_object_a_line);
}

} // namespace thresh::report
