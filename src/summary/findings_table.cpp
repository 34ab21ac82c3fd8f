// `findings`: records become words only when their row is written.
#include "summary/line_groups.hpp"
#include "summary/material_order.hpp"

#include <thresh/summary/columns.hpp>
#include <thresh/summary/tables.hpp>

namespace thresh::summary {

namespace {

class FindingsTable final : public Table {
  public:
    explicit FindingsTable(const Season& season) : season_(season) {
        name_ = "findings";
        for (const char* name :
             {"code", "severity", "about", "source", "row", "column", "time", "instrument", "material",
              "sample", "line", "constituent", "value", "low", "high", "basis", "message", "action"})
            columns_.push_back(declared_column(name_, name));
        for (std::size_t i = 0; i < season.judgement.findings.size(); ++i)
            if (season.judgement.findings[i].severity != Severity::off)
                shown_.push_back(static_cast<std::uint32_t>(i));
    }
    std::size_t rows() const override { return shown_.size(); }
    void write(std::size_t first, std::size_t last, RowSink& sink) const override {
        for (std::size_t i = first; i < last; ++i)
            write_row(season_.judgement.findings[shown_[i]], sink);
    }

  private:
    static void send(RowSink& sink, std::optional<double> value) {
        if (value)
            sink.number(*value);
        else
            sink.missing();
    }

    std::uint32_t sample_of(const Finding& finding) const {
        if (finding.about == About::sample)
            return finding.subject;
        return finding.row == kNone ? kNone : season_.batch.sample[finding.row];
    }

    void write_place(const rules::FindingPlace& place, RowSink& sink) const {
        sink.text(place.sheet.empty() ? place.source : place.source + "[" + place.sheet + "]");
        if (place.line > 0)
            sink.integer(place.line);
        else
            sink.missing();
        if (place.position)
            sink.integer(std::int64_t{*place.position} + 1);
        else
            sink.missing();
    }

    // Time and instrument of the reading, or of the session that the finding is about.
    void write_when(const Finding& finding, RowSink& sink) const {
        const batch::Batch& batch = season_.batch;
        Time time;
        TextId instrument = kNoText;
        if (finding.row != kNone) {
            const Block& block = batch.block_of(finding.row);
            time = block.time_of(finding.row - block.first);
            instrument = block.text_of(TextField::instrument, finding.row - block.first);
        } else if (finding.about == About::session && finding.subject < batch.sessions.size()) {
            time = batch.sessions[finding.subject].start;
            instrument = batch.sessions[finding.subject].instrument;
        }
        sink.time(time);
        sink.text(instrument == kNoText ? std::string_view()
                                        : batch.readings.pool(TextField::instrument)[instrument]);
    }

    void write_whom(const Finding& finding, RowSink& sink) const {
        const batch::Batch& batch = season_.batch;
        const std::uint32_t sample = sample_of(finding);
        sink.text(finding.row == kNone ? std::string_view()
                                       : material_name(batch, batch.material[finding.row]));
        sink.text(sample == kNone ? std::string_view() : batch.samples[sample].id);
        if (finding.about == About::line && finding.subject < batch.lines.size())
            sink.text(batch.lines[finding.subject].name);
        else
            sink.text(sample == kNone ? std::string_view() : sample_attribute(batch, sample, "line"));
    }

    void write_row(const Finding& finding, RowSink& sink) const {
        const rules::FindingText text =
            rules::describe(finding, season_.judgement, season_.batch, season_.rules);
        sink.begin_row();
        sink.text(rules::catalogue()[finding.code].code);
        sink.text(to_text(finding.severity));
        sink.text(to_text(finding.about));
        write_place(rules::place_of(finding, season_.batch), sink);
        write_when(finding, sink);
        write_whom(finding, sink);
        sink.text(finding.constituent == kNoConstituent
                      ? std::string_view()
                      : std::string_view(season_.rules.constituents[finding.constituent].name));
        send(sink, text.value);
        send(sink, text.low);
        send(sink, text.high);
        sink.text(text.basis);
        sink.text(text.message);
        sink.text(text.action);
        sink.end_row();
    }

    Season season_;
    std::vector<std::uint32_t> shown_;
};

} // namespace

std::unique_ptr<Table> findings_table(const Season& season) {
    return std::make_unique<FindingsTable>(season);
}

} // namespace thresh::summary
