// `readings`, one row a reading: streamed from the blocks, nothing is copied. Cells of one kind are sent
// together, and what a row refers to elsewhere in memory (its sample, plot and findings lie in another order)
// is asked for some rows ahead.
#include "summary/finding_codes.hpp"
#include "summary/line_groups.hpp"
#include "summary/material_order.hpp"
#include "summary/reading_places.hpp"
#include "summary/reading_values.hpp"
#include "summary/readings_long.hpp"
#include "summary/value_notes.hpp"

#include <thresh/summary/columns.hpp>

#include <array>
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
        for (std::size_t material = 0; material < basis_texts_.size(); ++material)
            if (material < season.batch.material_names.size() || material == batch::kNoMaterial)
                basis_texts_[material] =
                    to_text(season.rules.wanted_basis(static_cast<std::uint8_t>(material)));
    }
    std::size_t rows() const override { return flagged_ ? flagged_->size() : season_.batch.kind.size(); }
    void write(std::size_t first, std::size_t last, RowSink& sink) const override {
        Room room{FindingCodes(season_),
                  values_.scratch(),
                  std::vector<double>(values_.slots()),
                  std::vector<Shown>(values_.slots()),
                  ValueNotes(season_),
                  {},
                  {},
                  nullptr,
                  {}};
        const auto row_of = [&](std::size_t i) { return flagged_ ? (*flagged_)[i] : static_cast<RowId>(i); };
        // The first rows too: they are a thirtieth of a range, but each waits for its memory four times.
        for (std::size_t i = first; i < std::min(last, first + 3 * kAhead); ++i)
            prefetch_sample(row_of(i));
        for (std::size_t i = first; i < std::min(last, first + 2 * kAhead); ++i)
            prefetch_of_sample(row_of(i));
        for (std::size_t i = first; i < std::min(last, first + kAhead); ++i)
            prefetch_of_line(row_of(i));
        for (std::size_t i = first; i < last; ++i) {
            if (i + 3 * kAhead < last)
                prefetch_sample(row_of(i + 3 * kAhead));
            if (i + 2 * kAhead < last)
                prefetch_of_sample(row_of(i + 2 * kAhead));
            if (i + kAhead < last)
                prefetch_of_line(row_of(i + kAhead));
            write_row(row_of(i), room, sink);
        }
    }

  private:
    struct Room {
        FindingCodes codes;
        ReadingValues::Scratch scratch;
        std::vector<double> values;
        std::vector<Shown> shown;
        ValueNotes notes;
        std::vector<double> all;
        std::vector<double> plain; // the shown values of a row, to be sent together
        const ReadingValues::Layout* layout = nullptr;
        std::vector<std::uint32_t> places; // in that layout, of the shown slots
    };
    static constexpr std::size_t kAhead = 5;

    // In steps, because each needs what the one before brings. Inline, because g++ takes a function that only
    // asks ahead for one without effect, and leaves the call out.
    [[gnu::always_inline]] void prefetch_sample(RowId row) const {
        const std::uint32_t sample = season_.batch.sample[row];
        if (sample == kNone)
            return;
        const batch::Sample& about = season_.batch.samples[sample];
        __builtin_prefetch(&about);
        __builtin_prefetch(&about.plot); // every second sample ends in the next line of the cache
        __builtin_prefetch(&season_.judgement.by_sample[sample]);
    }
    [[gnu::always_inline]] void prefetch_of_sample(RowId row) const {
        const std::uint32_t sample = season_.batch.sample[row];
        if (sample == kNone)
            return;
        const batch::Sample& about = season_.batch.samples[sample];
        __builtin_prefetch(about.id.data());
        __builtin_prefetch(about.id.data() + about.id.size());
        if (about.line != kNone)
            __builtin_prefetch(&season_.batch.lines[about.line]);
        if (about.plot != kNone)
            __builtin_prefetch(&season_.batch.plots[about.plot]);
    }
    [[gnu::always_inline]] void prefetch_of_line(RowId row) const {
        const std::uint32_t sample = season_.batch.sample[row];
        if (sample == kNone || season_.batch.samples[sample].line == kNone)
            return;
        const batch::Line& line = season_.batch.lines[season_.batch.samples[sample].line];
        __builtin_prefetch(line.name.data());
        __builtin_prefetch(line.trial.data());
    }

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

    std::string_view text_of(TextField field, const Block& block, std::size_t at) const {
        const TextId id = block.text_of(field, at);
        return id == kNoText ? std::string_view() : season_.batch.readings.pool(field)[id];
    }

    void write_row(RowId row, Room& room, RowSink& sink) const {
        const batch::Batch& batch = season_.batch;
        const Block& block = batch.block_of(row);
        const std::size_t at = row - block.first;
        const bool seed = batch.kind[row] == Kind::seed;
        const std::uint32_t session = batch.session[row];
        const std::uint32_t sample = batch.sample[row];
        sink.begin_row();
        sink.text(sources_[static_cast<std::size_t>(&block - batch.readings.blocks.data())]);
        sink.integer(block.line[at]);
        sink.text(to_text(batch.kind[row]));
        sink.time(block.time_of(at));
        const SampleDesign design = sample == kNone ? SampleDesign{} : sample_design(batch, sample);
        room.codes.clear();
        room.codes.add_reading(row);
        const std::string_view texts[] = {
            text_of(TextField::instrument, block, at),
            session == kNone ? std::string_view() : std::string_view(batch.sessions[session].label),
            text_of(TextField::operator_, block, at),
            text_of(TextField::analysis, block, at),
            text_of(TextField::calibration, block, at),
            material_name(batch, batch.material[row]),
            sample == kNone ? text_of(TextField::sample, block, at) : batch.samples[sample].id,
            design.line,
            design.trial,
            design.environment,
            design.rep,
            design.plot,
            seed ? to_text(season_.judgement.verdict[row]) : std::string_view(),
            room.codes.joined(),
            basis_texts_[batch.material[row]]};
        sink.texts(texts);
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

    void write_values(RowId row, Room& room, RowSink& sink) const {
        const RowState state(season_, row);
        const ReadingValues::InLayout reading = values_.usable_in_layout(row, state, room.scratch);
        const bool notes = sink.wants_notes();
        if (!notes && (!sink.wants_marks() || !state.may_be_told()))
            return send_together(reading, room, sink);
        values_.spread(reading, room.values.data());
        const auto findings = season_.judgement.of_row(row);
        mark_values(findings, room);
        for (const std::size_t slot : shown_slots_) {
            const double value = room.values[slot];
            if (std::isnan(value))
                send_left_out(row, slot, room, sink);
            else
                sink.number(value, room.shown[slot]);
            if (notes && season_.batch.kind[row] == Kind::seed)
                send_note(row, values_.constituents()[slot], room.notes, sink);
        }
    }
    void send_together(const ReadingValues::InLayout& reading, Room& room, RowSink& sink) const {
        room.plain.resize(shown_slots_.size());
        if (&reading.layout != room.layout) {
            room.layout = &reading.layout;
            room.places.clear();
            for (const std::size_t slot : shown_slots_)
                room.places.push_back(reading.layout.at[slot]);
        }
        double* const plain = room.plain.data();
        const std::uint32_t* const places = room.places.data();
        for (std::size_t i = 0; i < shown_slots_.size(); ++i)
            plain[i] = places[i] == kNone ? kNothing : reading.values[places[i]];
        sink.numbers(room.plain);
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
    void mark_values(std::span<const Finding> findings, Room& room) const {
        std::fill(room.shown.begin(), room.shown.end(), Shown::plain);
        for (const Finding& finding : findings) {
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
    std::vector<std::string> sources_;         // by block
    std::array<std::string, 256> basis_texts_; // by material
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
