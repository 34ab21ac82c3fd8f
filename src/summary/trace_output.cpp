// A trace as text and as a table. Numbers in the text have all their digits, so that whoever follows the
// arithmetic arrives at the same mean.
#include <thresh/core/nothing.hpp>
#include <thresh/summary/columns.hpp>
#include <thresh/summary/trace.hpp>

#include <cmath>
#include <fmt/format.h>

namespace thresh::summary {

namespace {

std::string basis_words(const std::string& basis) {
    if (basis.empty() || basis == "as-is" || basis == "dry")
        return basis;
    return basis + " % moisture";
}

// `(a + b + c) / 3 = mean`
template <typename Items>
std::string mean_of(const Items& items, std::uint32_t n, double mean) {
    std::string sum;
    for (const auto& item : items)
        if (item.n > 0)
            sum += fmt::format("{}{}", sum.empty() ? "" : " + ", item.mean);
    return n == 1 ? fmt::format("{}", mean) : fmt::format("({}) / {} = {}", sum, n, mean);
}

std::string reading_text(const TracedReading& reading, const std::string& unit) {
    std::string text = fmt::format("    {}", reading.cell);
    if (!reading.time.missing())
        text += "  " + to_text(reading.time);
    if (reading.as_read)
        text += fmt::format("  {}{}{}", *reading.as_read, unit.empty() ? "" : " " + unit,
                            reading.basis_as_read.empty() ? "" : " " + basis_words(reading.basis_as_read));
    if (reading.as_read && reading.factor && *reading.factor != 1) {
        if (reading.moisture)
            text += fmt::format(" at moisture {}", *reading.moisture);
        text += fmt::format(" x {}", *reading.factor);
    }
    if (!reading.adjustment.empty())
        text += fmt::format(" adjusted {}", reading.adjustment);
    if (reading.value && (!reading.as_read || *reading.value != *reading.as_read))
        text += fmt::format(" = {}", *reading.value);
    text += reading.used
                ? (reading.mark == Mark::review || reading.verdict == Verdict::review ? "  used, to review"
                                                                                      : "  used")
                : "  not used: " + reading.why_not;
    if (!reading.findings.empty())
        text += fmt::format("  [{}]", reading.findings);
    return text + '\n';
}

std::string sample_text(const TracedSample& sample, const std::string& unit) {
    std::string text = fmt::format("  sample {}\n", sample.id);
    if (sample.readings.empty())
        return text + "    not read\n";
    std::string sum;
    for (const TracedReading& reading : sample.readings) {
        text += reading_text(reading, unit);
        if (reading.used)
            sum += fmt::format("{}{}", sum.empty() ? "" : " + ", *reading.value);
    }
    if (sample.n == 0)
        return text + "    no usable value\n";
    if (sample.n == 1)
        return text + fmt::format("    mean {}\n", sample.mean);
    return text + fmt::format("    mean ({}) / {} = {}\n", sum, sample.n, sample.mean);
}

std::string one_trace(const Trace& trace) {
    std::string text = fmt::format("{} of line {}", trace.constituent, trace.line);
    if (!trace.trial.empty())
        text += fmt::format(" in trial {}", trace.trial);
    text += fmt::format(", {}", trace.material.empty() ? "material unknown" : trace.material);
    if (!trace.basis.empty())
        text += ", on " + basis_words(trace.basis);
    text += '\n';
    if (!trace.formula.empty())
        text += fmt::format("of each reading: {}, from converted inputs\n", trace.formula);
    for (const TracedPlot& plot : trace.plots) {
        text += '\n' + plot.label + '\n';
        for (const TracedSample& sample : plot.samples)
            text += sample_text(sample, trace.unit);
        if (plot.n > 0)
            text += fmt::format("  plot {}\n", mean_of(plot.samples, plot.n, plot.mean));
    }
    if (trace.n == 0)
        return text + "\nno usable value: the line has no number\n";
    text += fmt::format("\nmean {}\n", mean_of(trace.plots, trace.n, trace.mean));
    if (trace.n > 1)
        text += fmt::format("SD over {} = {} (n - 1), SE = SD / sqrt({}) = {}\n", trace.n, trace.sd, trace.n,
                            trace.se);
    return text;
}

class TraceTable final : public Table {
  public:
    explicit TraceTable(const std::vector<Trace>& traces) {
        name_ = "trace";
        for (const TableDeclaration& table : table_declarations())
            if (table.name == name_)
                for (const ColumnDeclaration& column : table.columns)
                    columns_.push_back(declared_column(name_, column.name));
        for (const Trace& trace : traces)
            for (const TracedPlot& plot : trace.plots)
                for (const TracedSample& sample : plot.samples)
                    for (const TracedReading& reading : sample.readings)
                        rows_.push_back({trace.material, trace.constituent, plot.label, sample.id,
                                         plot.n > 0 ? plot.mean : kNothing,
                                         sample.n > 0 ? sample.mean : kNothing, reading});
    }
    std::size_t rows() const override { return rows_.size(); }
    void write(std::size_t first, std::size_t last, RowSink& sink) const override {
        for (std::size_t i = first; i < last; ++i)
            write_row(rows_[i], sink);
    }

  private:
    struct Row {
        std::string material, constituent, plot, sample;
        double plot_mean, sample_mean;
        TracedReading reading;
    };

    static void send(RowSink& sink, std::optional<double> value) {
        if (value && !std::isnan(*value))
            sink.number(*value);
        else
            sink.missing();
    }

    static void write_row(const Row& row, RowSink& sink) {
        static constexpr const char* kMarks[] = {"use", "review", "exclude"};
        sink.begin_row();
        sink.text(row.material);
        sink.text(row.constituent);
        sink.text(row.plot);
        sink.text(row.sample);
        sink.text(row.reading.cell);
        sink.time(row.reading.time);
        sink.text(to_text(row.reading.verdict));
        sink.text(kMarks[static_cast<std::size_t>(row.reading.mark)]);
        sink.text(row.reading.used ? "yes" : "no");
        send(sink, row.reading.as_read);
        sink.text(row.reading.basis_as_read);
        send(sink, row.reading.moisture);
        send(sink, row.reading.factor);
        send(sink, row.reading.value);
        send(sink, row.sample_mean);
        send(sink, row.plot_mean);
        sink.text(row.reading.findings);
        sink.text(row.reading.adjustment);
        sink.end_row();
    }

    std::vector<Row> rows_;
};

} // namespace

std::string trace_text(const std::vector<Trace>& traces) {
    std::string text;
    for (const Trace& trace : traces)
        text += (text.empty() ? "" : "\n\n") + one_trace(trace);
    return text;
}

std::unique_ptr<Table> trace_table(const std::vector<Trace>& traces) {
    return std::make_unique<TraceTable>(traces);
}

} // namespace thresh::summary
