// `rejected`: what could not be understood, word for word.
#include <thresh/summary/columns.hpp>
#include <thresh/summary/tables.hpp>

namespace thresh::summary {

namespace {

class RejectedTable final : public Table {
  public:
    explicit RejectedTable(const Season& season) : readings_(season.batch.readings) {
        name_ = "rejected";
        for (const char* name : {"source", "row", "reason", "record"})
            columns_.push_back(declared_column(name_, name));
    }
    std::size_t rows() const override { return readings_.rejected.size(); }
    void write(std::size_t first, std::size_t last, RowSink& sink) const override {
        for (std::size_t i = first; i < last; ++i) {
            const RejectedRow& row = readings_.rejected[i];
            const std::string& source = readings_.files[row.file].source;
            sink.begin_row();
            sink.text(row.sheet.empty() ? source : source + "[" + row.sheet + "]");
            sink.integer(row.line);
            sink.text(row.reason);
            sink.text(row.record);
            sink.end_row();
        }
    }

  private:
    const Readings& readings_;
};

} // namespace

std::unique_ptr<Table> rejected_table(const Season& season) {
    return std::make_unique<RejectedTable>(season);
}

} // namespace thresh::summary
