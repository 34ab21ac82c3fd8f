// `readings`, one row a reading: streamed from the blocks, nothing is copied.
#include "summary/finding_codes.hpp"
#include "summary/line_groups.hpp"
#include "summary/material_order.hpp"
#include "summary/reading_places.hpp"
#include "summary/reading_values.hpp"
#include "summary/readings_long.hpp"
#include "summary/value_notes.hpp"

#include <thresh/summary/columns.hpp>

#include <cmath>

namespace thresh::summary {

namespace {

class ReadingsTable final : public Table {
  public:
    ReadingsTable(const Season& season, const ReadingsOptions& options)
        : season_(season), values_(season), sources_(block_sources(season.batch)), as_read_(options.as_read),
          below_(rules::code_index("below-expected")), above_(rules::code_index("above-expected")) {
        name_ = "readings";
        for (const ColumnDeclaration& column : declaration().columns)
            if (column.name.find("{c}") == std::string_view::npos &&
                (column.name != "adjusted" || values_.adjuster().active()))
                columns_.push_back(declared_column(name_, column.name));
        for (const ConstituentId id : values_.constituents())
            if (!values_.is_ratio(id)) {
                shown_slots_.push_back(values_.slot_of(id));
                columns_.push_back(declared_column(name_, "{c}", id, season.rules.constituents[id]));
            }
        if (as_read_)
            add_as_read();
        if (options.flagged)
            list_flagged();
    }
    std::size_t rows() const override { return flagged_ ? flagged_->size() : season_.batch.kind.size(); }
    void write(std::size_t first, std::size_t last, RowSink& sink) const override {
        Room room{FindingCodes(season_),
                  values_.scratch(),
                  std::vector<double>(values_.slots()),
                  std::vector<Shown>(values_.slots()),
                  ValueNotes(season_),
                  {}};
        for (std::size_t row = first; row < last; ++row)
            write_row(flagged_ ? (*flagged_)[row] : static_cast<RowId>(row), room, sink);
    }

  private:
    struct Room {
        FindingCodes codes;
        ReadingValues::Scratch scratch;
        std::vector<double> values;
        std::vector<Shown> shown;
        ValueNotes notes;
        std::vector<double> all;
    };

    void list_flagged() {
        flagged_.emplace();
        for (RowId row = 0; row < season_.batch.kind.size(); ++row)
            if (season_.batch.kind[row] == Kind::seed &&
                (season_.judgement.verdict[row] != Verdict::use || season_.judgement.has_marks(row)))
                flagged_->push_back(row);
    }

    const TableDeclaration& declaration() const {
        for (const TableDeclaration& declared : table_declarations())
            if (declared.name == name_)
                return declared;
        std::abort();
    }

    // Every constituent that an export has a column of, those about the reading itself too.
    void add_as_read() {
        std::vector<bool> read(season_.rules.constituents.size());
        for (const Block& block : season_.batch.readings.blocks)
            for (const Column& column : block.table->numbers)
                read[column.constituent] = true;
        for (std::size_t id = 0; id < read.size(); ++id)
            if (read[id]) {
                read_ids_.push_back(static_cast<ConstituentId>(id));
                columns_.push_back(declared_column(name_, "{c}_as_read", read_ids_.back(),
                                                   season_.rules.constituents[read_ids_.back()]));
            }
    }

    void send_text(TextField field, const Block& block, std::size_t at, RowSink& sink) const {
        const TextId id = block.text_of(field, at);
        sink.text(id == kNoText ? std::string_view() : season_.batch.readings.pool(field)[id]);
    }

    void write_row(RowId row, Room& room, RowSink& sink) const {
        const batch::Batch& batch = season_.batch;
        const Block& block = batch.block_of(row);
        const std::size_t at = row - block.first;
        const bool seed = batch.kind[row] == Kind::seed;
        const std::uint32_t session = batch.session[row];
        sink.begin_row();
        sink.text(sources_[static_cast<std::size_t>(&block - batch.readings.blocks.data())]);
        sink.integer(block.line[at]);
        sink.text(to_text(batch.kind[row]));
        sink.time(block.time_of(at));
        send_text(TextField::instrument, block, at, sink);
        sink.text(session == kNone ? std::string_view() : std::string_view(batch.sessions[session].label));
        send_text(TextField::operator_, block, at, sink);
        send_text(TextField::analysis, block, at, sink);
        send_text(TextField::calibration, block, at, sink);
        sink.text(material_name(batch, batch.material[row]));
        write_sample(row, block, at, sink);
        sink.text(seed ? to_text(season_.judgement.verdict[row]) : "");
        room.codes.clear();
        room.codes.add_reading(row);
        if (room.codes.empty())
            sink.missing();
        else
            sink.text(room.codes.joined());
        sink.text(to_text(values_.wanted(row)));
        if (values_.adjuster().active()) {
            std::vector<bool> adjusted;
            values_.adjuster().add_names(row, adjusted);
            sink.text(values_.adjuster().names(adjusted));
        }
        write_values(row, room, sink);
        if (as_read_)
            write_as_read(block, at, sink);
        sink.end_row();
    }

    void write_sample(RowId row, const Block& block, std::size_t at, RowSink& sink) const {
        const std::uint32_t sample = season_.batch.sample[row];
        if (sample == kNone) {
            send_text(TextField::sample, block, at, sink);
            for (int i = 0; i < 5; ++i)
                sink.missing();
            return;
        }
        sink.text(season_.batch.samples[sample].id);
        const SampleDesign design = sample_design(season_.batch, sample);
        for (const std::string_view text :
             {design.line, design.trial, design.environment, design.rep, design.plot})
            sink.text(text);
    }

    void write_values(RowId row, Room& room, RowSink& sink) const {
        values_.usable(row, room.scratch, room.values.data());
        const auto findings = season_.judgement.of_row(row);
        if (!findings.empty())
            mark_values(findings, room);
        for (const std::size_t slot : shown_slots_) {
            const double value = room.values[slot];
            if (std::isnan(value))
                send_left_out(row, slot, room, sink);
            else
                sink.number(value, findings.empty() ? Shown::plain : room.shown[slot]);
            if (sink.wants_notes() && season_.batch.kind[row] == Kind::seed)
                send_note(row, values_.constituents()[slot], room.notes, sink);
        }
    }
    // A value that its own findings exclude: people see what it was.
    void send_left_out(RowId row, std::size_t slot, Room& room, RowSink& sink) const {
        if (!season_.judgement.has_marks(row) ||
            season_.judgement.mark(row, values_.constituents()[slot]) != Mark::exclude)
            return sink.missing();
        room.all.resize(values_.slots());
        values_.all(row, room.scratch, room.all.data());
        if (std::isnan(room.all[slot]))
            return sink.missing();
        sink.number(room.all[slot], Shown::left_out);
    }
    static void send_note(RowId row, ConstituentId id, ValueNotes& notes, RowSink& sink) {
        notes.clear();
        notes.add_value(row, id);
        if (!notes.empty())
            sink.note(notes.text());
    }
    void mark_values(std::span<const std::uint32_t> findings, Room& room) const {
        std::fill(room.shown.begin(), room.shown.end(), Shown::plain);
        for (const std::uint32_t index : findings) {
            const Finding& finding = season_.judgement.findings[index];
            const std::size_t slot = values_.slot_of(finding.constituent);
            if (slot == kNoSlot || finding.settled)
                continue;
            if (finding.code == below_)
                room.shown[slot] = Shown::low;
            else if (finding.code == above_)
                room.shown[slot] = Shown::high;
            else if (finding.severity >= Severity::review && room.shown[slot] == Shown::plain)
                room.shown[slot] = Shown::review;
        }
    }

    void write_as_read(const Block& block, std::size_t at, RowSink& sink) const {
        for (const ConstituentId id : read_ids_) {
            const auto column = block.table->find(id);
            const auto value = column ? basis::raw_value(block, at, *column) : std::nullopt;
            if (value)
                sink.number(*value);
            else
                sink.missing();
        }
    }

    Season season_;
    ReadingValues values_;
    std::vector<std::string> sources_; // by block
    std::vector<std::size_t> shown_slots_;
    std::vector<ConstituentId> read_ids_;
    bool as_read_;
    std::optional<std::vector<RowId>> flagged_; // the rows of the table, where not all are
    std::optional<std::uint16_t> below_, above_;
};

} // namespace

std::unique_ptr<Table> readings_table(const Season& season, const ReadingsOptions& options) {
    if (options.long_form)
        return readings_long_table(season);
    return std::make_unique<ReadingsTable>(season, options);
}

} // namespace thresh::summary
