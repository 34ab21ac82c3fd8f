// Comma- and tab-separated text: a heading, then one line a row. Both differ only in how a text cell is
// spelled and what stands between cells.
#include "report/format_writer.hpp"
#include "report/text_cells.hpp"

namespace thresh::report {

namespace {

template <char kDelimiter>
class DelimitedSink final : public summary::RowSink {
  public:
    DelimitedSink(std::string& into, std::optional<int> digits) : into_(into), digits_(digits) {}
    void begin_row() override { first_ = true; }
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
        if (shown != summary::Shown::provisional)
            append_number(into_, value, digits_);
    }
    void time(Time value) override {
        next();
        append_time(into_, value);
    }
    void missing() override { next(); }
    void end_row() override { into_ += '\n'; }

  private:
    void next() {
        if (!first_)
            into_ += kDelimiter;
        first_ = false;
    }

    std::string& into_;
    std::optional<int> digits_;
    bool first_ = true;
};

template <char kDelimiter>
class DelimitedWriter final : public FormatWriter {
  public:
    explicit DelimitedWriter(std::optional<int> digits) : digits_(digits) {}
    void head(const summary::Table& table, std::string& into) const override {
        DelimitedSink<kDelimiter> sink(into, digits_);
        sink.begin_row();
        for (const summary::OutColumn& column : table.columns())
            sink.text(column.name);
        sink.end_row();
    }
    void rows(const summary::Table& table, std::size_t first, std::size_t last,
              std::string& into) const override {
        DelimitedSink<kDelimiter> sink(into, digits_);
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
