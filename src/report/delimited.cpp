// Comma- and tab-separated text: a heading, then one line a row. Both differ only in how a text cell is
// spelled and what stands between cells.
#include "report/format_writer.hpp"
#include "report/text_cells.hpp"

namespace thresh::report {

namespace {

template <char kDelimiter>
class DelimitedSink final : public summary::RowSink {
  public:
    DelimitedSink(std::string& into, std::optional<int> digits, const summary::Table& table)
        : into_(into), digits_(digits), columns_(table.columns()) {}
    void begin_row() override { column_ = 0; }
    void text(std::string_view value) override {
        next();
        if constexpr (kDelimiter == ',')
            append_csv_text(into_, value);
        else
            append_tsv_text(into_, value);
    }
    void integer(std::int64_t value) override {
        next();
        append_integer(into_, value);
    }
    void number(double value, summary::Shown shown) override {
        next();
        if (!summary::only_for_people(shown))
            append_number(into_, value, digits_of_column(columns_[column_ - 1], value, digits_));
    }
    void time(Time value) override {
        next();
        append_time(into_, value);
    }
    void missing() override { next(); }
    void end_row() override { into_ += '\n'; }

  private:
    void next() {
        if (column_++ > 0)
            into_ += kDelimiter;
    }

    std::string& into_;
    std::optional<int> digits_;
    const std::vector<summary::OutColumn>& columns_;
    std::size_t column_ = 0;
};

template <char kDelimiter>
class DelimitedWriter final : public FormatWriter {
  public:
    explicit DelimitedWriter(std::optional<int> digits) : digits_(digits) {}
    void head(const summary::Table& table, std::string& into) const override {
        DelimitedSink<kDelimiter> sink(into, digits_, table);
        sink.begin_row();
        for (const summary::OutColumn& column : table.columns())
            sink.text(column.name);
        sink.end_row();
    }
    void rows(const summary::Table& table, std::size_t first, std::size_t last,
              std::string& into) const override {
        DelimitedSink<kDelimiter> sink(into, digits_, table);
        table.write(first, last, sink);
    }
    void tail(const summary::Table&, std::string&) const override {}

  private:
    std::optional<int> digits_;
};

} // namespace

std::unique_ptr<FormatWriter> csv_writer(const WriteOptions& options) {
    return std::make_unique<DelimitedWriter<','>>(options.digits);
}
std::unique_ptr<FormatWriter> tsv_writer(const WriteOptions& options) {
    return std::make_unique<DelimitedWriter<'\t'>>(options.digits);
}

} // namespace thresh::report
