// `findings`: records become words only when their row is written.
#include "summary/material_order.hpp"
#include "summary/nothing_left.hpp"

#include <thresh/core/nothing.hpp>
#include <thresh/rules/shared_texts.hpp>
#include <thresh/summary/columns.hpp>
#include <thresh/summary/tables.hpp>

#include <array>

namespace thresh::summary {

namespace {

constexpr std::string_view kSettled = "nothing to do: settled"; // the action; documented with the column

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
        Room room{{season_.judgement, season_.batch, season_.rules}, {}};
        for (std::size_t i = first; i < last; ++i) {
            if (i + 2 * kAhead < last)
                prefetch_sample(season_.judgement.findings[shown_[i + 2 * kAhead]]);
            if (i + kAhead < last)
                prefetch_of_reading(season_.judgement.findings[shown_[i + kAhead]]);
            write_row(season_.judgement.findings[shown_[i]], room, sink);
        }
    }

  private:
    // Samples and lines lie in an order of their own, far apart for findings that follow each other: they are
    // asked for ahead, by some readings' findings.
    static constexpr std::size_t kAhead = 24;
    [[gnu::always_inline]] void prefetch_sample(const Finding& finding) const {
        if (finding.row == kNone || season_.batch.sample[finding.row] == kNone)
            return;
        const batch::Sample& sample = season_.batch.samples[season_.batch.sample[finding.row]];
        __builtin_prefetch(&sample);
        __builtin_prefetch(&sample.plot); // every second sample ends in the next line of the cache
    }
    [[gnu::always_inline]] void prefetch_of_reading(const Finding& finding) const {
        if (finding.row == kNone)
            return;
        const Block& block = season_.batch.block_of(finding.row);
        block.prefetch_cells(finding.row - block.first);
        if (season_.batch.sample[finding.row] == kNone)
            return;
        const batch::Sample& sample = season_.batch.samples[season_.batch.sample[finding.row]];
        __builtin_prefetch(sample.id.data());
        __builtin_prefetch(sample.id.data() + sample.id.size());
        if (sample.line != kNone)
            __builtin_prefetch(&season_.batch.lines[sample.line]);
    }

    // Of one thread.
    struct Room {
        rules::SharedTexts shared;
        std::string source;
    };

    // With the sheet, where it is one of a workbook.
    static std::string_view source_of(const rules::FindingPlace& place, Room& room) {
        if (place.sheet.empty())
            return place.source;
        room.source = place.source;
        room.source += '[';
        room.source += place.sheet;
        room.source += ']';
        return room.source;
    }

    static void write_position(const rules::FindingPlace& place, RowSink& sink) {
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
    struct When {
        Time time;
        TextId instrument = kNoText;
    };
    When when(const Finding& finding) const {
        const batch::Batch& batch = season_.batch;
        if (finding.row != kNone) {
            const Block& block = batch.block_of(finding.row);
            const std::size_t row = finding.row - block.first;
            return {block.time_of(row), block.text_of(TextField::instrument, row)};
        }
        if (finding.about == About::session && finding.subject < batch.sessions.size())
            return {batch.sessions[finding.subject].start, batch.sessions[finding.subject].instrument};
        return {};
    }

    std::string_view line_of(const Finding& finding, std::uint32_t sample) const {
        const batch::Batch& batch = season_.batch;
        std::uint32_t line = kNone;
        if (finding.about == About::line && finding.subject < batch.lines.size())
            line = finding.subject;
        else if (sample != kNone)
            line = batch.samples[sample].line;
        return line == kNone ? std::string_view() : std::string_view(batch.lines[line].name);
    }

    // Instrument, material, sample, line and constituent.
    void write_what(const Finding& finding, TextId instrument, RowSink& sink) const {
        const batch::Batch& batch = season_.batch;
        std::uint32_t sample = finding.row == kNone ? kNone : batch.sample[finding.row];
        if (finding.about == About::sample)
            sample = finding.subject;
        sink.texts(std::array{
            instrument == kNoText ? std::string_view()
                                  : batch.readings.pool(TextField::instrument)[instrument],
            finding.row == kNone ? std::string_view() : material_name(batch, batch.material[finding.row]),
            sample == kNone ? std::string_view() : batch.samples[sample].id, line_of(finding, sample),
            finding.constituent == kNoConstituent
                ? std::string_view()
                : std::string_view(season_.rules.constituents[finding.constituent].name)});
    }

    void write_text(const Finding& finding, const rules::FindingText& text, std::optional<double> value,
                    RowSink& sink) const {
        sink.numbers(
            std::array{value.value_or(kNothing), text.low.value_or(kNothing), text.high.value_or(kNothing)});
        sink.texts(std::array<std::string_view, 3>{text.basis, text.message,
                                                   nothing_left(season_, finding) ? kSettled : text.action});
    }

    void write_row(const Finding& finding, Room& room, RowSink& sink) const {
        const rules::FindingPlace place = rules::place_of(finding, season_.batch);
        const When at = when(finding);
        sink.begin_row();
        sink.texts(std::array<std::string_view, 4>{rules::catalogue()[finding.code].code,
                                                   to_text(finding.severity), to_text(finding.about),
                                                   source_of(place, room)});
        write_position(place, sink);
        sink.time(at.time);
        write_what(finding, at.instrument, sink);
        if (const rules::FindingText* shared = room.shared.find(finding)) {
            write_text(finding, *shared, room.shared.value_of(finding), sink);
        } else {
            const rules::FindingText own =
                rules::describe(finding, season_.judgement, season_.batch, season_.rules);
            write_text(finding, own, own.value, sink);
        }
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
