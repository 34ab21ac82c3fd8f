// `samples`: means as everywhere, and beside them the value that ISO 5725-6 would quote for the readings in
// the order in which they were made. Whether they agree is judged on dry matter, which the rules'
// repeatability SD is of: the same readings agree whatever basis results are wanted on.
#include "summary/finding_codes.hpp"
#include "summary/line_flags.hpp"
#include "summary/line_groups.hpp"
#include "summary/material_order.hpp"
#include "summary/reading_values.hpp"
#include "summary/value_notes.hpp"

#include <thresh/basis/convert.hpp>
#include <thresh/basis/values.hpp>
#include <thresh/stats/repeatability.hpp>
#include <thresh/stats/summary.hpp>
#include <thresh/summary/columns.hpp>
#include <thresh/summary/kept_means.hpp>

#include <algorithm>
#include <array>
#include <cmath>

namespace thresh::summary {

namespace {

class SamplesTable final : public Table {
  public:
    SamplesTable(const Season& season, const SampleMeans& means, KeptMeans* keep)
        : season_(season), means_(means), states_(means.states()), keep_(keep), groups_(means.list_groups()),
          below_(rules::code_index("below-expected")), above_(rules::code_index("above-expected")) {
        name_ = "samples";
        for (const char* name : {"material", "sample", "line", "trial", "environment", "rep", "block", "plot",
                                 "check", "verdict", "findings", "adjusted", "readings", "readings_used"})
            if (name != std::string_view("adjusted") || means.values().adjuster().active())
                columns_.push_back(declared_column("samples", name));
        for (const ConstituentId id : means.constituents())
            for (const char* name : {"{c}", "{c}_n", "{c}_quoted"})
                columns_.push_back(declared_column("samples", name, id, season.rules.constituents[id]));
        whole_ = std::make_unique<bool[]>(3 * means.constituents().size());
        for (std::size_t slot = 0; slot < means.constituents().size(); ++slot)
            whole_[3 * slot + 1] = true;
        list_repeatability();
    }
    std::size_t rows() const override { return groups_.size(); }
    void write(std::size_t first, std::size_t last, RowSink& sink) const override {
        Room room(season_, means_);
        room.each.slots = quoted_slots_;
        // The first rows too: they are few of a range, but each waits for its memory many times.
        for (std::size_t row = first; row < std::min(last, first + kAhead); ++row)
            prefetch(groups_[row].sample);
        for (std::size_t row = first; row < last; ++row) {
            if (row + kAhead < last)
                prefetch(groups_[row + kAhead].sample);
            prefetch_findings(row, last, room);
            write_row(groups_[row], room, sink);
        }
    }

  private:
    static constexpr std::size_t kAhead = 6;

    // One for a thread.
    struct Room {
        Room(const Season& season, const SampleMeans& means)
            : codes(season), workspace(means.workspace()), low(means.constituents().size()), high(low.size()),
              flagged(low.size()), quotes(low.size()), notes(season) {}
        FindingCodes codes;
        std::unique_ptr<Workspace, void (*)(Workspace*)> workspace;
        SampleNumbers numbers;
        std::vector<std::uint32_t> low, high, flagged;
        std::vector<RowId> used;
        std::array<std::vector<RowId>, 3>
            told;               // readings that have findings perhaps, of this row and the next
        SampleMeans::Each each; // used rows x slots that are quoted
        std::vector<std::pair<std::int64_t, std::uint32_t>> order; // seconds and place of used rows, in time
        std::vector<double> readings, dry;                         // of one constituent, in time
        std::vector<double> quotes;                                // by slot; NaN where nothing is quoted
        std::vector<double> cells;                                 // of all constituents, to be sent together
        ValueNotes notes;
    };

    // What means and findings of a sample's readings need: they lie far apart. Inline: see ReadingsTable.
    [[gnu::always_inline]] void prefetch(std::uint32_t sample) const {
        means_.prefetch(sample);
        for (const RowId row : season_.batch.rows_of(sample)) {
            const Block& block = season_.batch.block_of(row);
            if (!block.time.empty())
                block.time.prefetch(row - block.first);
        }
    }

    // The findings of a sample's readings: where they begin, then the findings, a row later, for one tells
    // where to look for the other.
    [[gnu::always_inline]] void prefetch_findings(std::size_t row, std::size_t last, Room& room) const {
        const rules::Judgement& judgement = season_.judgement;
        const auto told_in = [&](std::size_t later) -> std::vector<RowId>& {
            return room.told[(row + later) % room.told.size()];
        };
        told_in(2).clear();
        if (row + 2 < last)
            for (const RowId reading : season_.batch.rows_of(groups_[row + 2].sample))
                if (states_[reading].may_be_told()) {
                    told_in(2).push_back(reading);
                    __builtin_prefetch(&judgement.by_row[reading]);
                }
        for (const RowId reading : told_in(1))
            for (const Finding& finding : judgement.of_row(reading))
                __builtin_prefetch(&finding);
    }

    // `marks`: with the findings about each value counted.
    void gather(SampleMeans::Group group, bool marks, Room& room) const {
        room.codes.clear();
        room.used.clear();
        if (marks)
            for (auto* counts : {&room.low, &room.high, &room.flagged})
                std::fill(counts->begin(), counts->end(), 0U);
        for (const RowId row : season_.batch.rows_of(group.sample)) {
            const RowState state = states_[row];
            if (state.material() != group.material)
                continue;
            add_codes(row, state, room.codes);
            const bool used = state.verdict() <= Verdict::review;
            if (used)
                room.used.push_back(row);
            if (marks)
                for (const Finding& finding : season_.judgement.of_row(row))
                    count(finding, used, room);
        }
        for (const Finding& finding : season_.judgement.of_sample(group.sample))
            room.codes.add(finding);
    }
    // As FindingCodes::add_reading, without its sample's: those are added once.
    void add_codes(RowId row, RowState state, FindingCodes& codes) const {
        const rules::Judgement& judgement = season_.judgement;
        if (state.may_be_told())
            for (const Finding& finding : judgement.of_row(row))
                codes.add(finding);
        if (state.has_marks())
            codes.add_marking(row);
        if (judgement.by_session.front() == judgement.by_session.back() ||
            season_.batch.session[row] == kNone)
            return;
        for (const Finding& finding : judgement.of_session(season_.batch.session[row]))
            codes.add(finding);
    }
    void count(const Finding& finding, bool used, Room& room) const {
        const std::size_t slot = means_.values().slot_of(finding.constituent);
        if (slot == kNoSlot || finding.settled)
            return;
        room.low[slot] += used && finding.code == below_ ? 1U : 0U;
        room.high[slot] += used && finding.code == above_ ? 1U : 0U;
        room.flagged[slot] += finding.about == About::value && finding.severity >= Severity::review ? 1U : 0U;
    }

    // The rules' SD of each material and slot; 0 where they say none, then no value is quoted. The slots that
    // are quoted in any material.
    void list_repeatability() {
        for (std::size_t material = 0; material < sds_.size(); ++material) {
            const rules::Material* about = season_.rules.material(static_cast<std::uint8_t>(material));
            if (about == nullptr)
                continue;
            sds_[material].resize(means_.constituents().size());
            for (std::size_t slot = 0; slot < sds_[material].size(); ++slot)
                if (const auto sd = about->repeatability_sd.find(means_.constituents()[slot]);
                    sd != about->repeatability_sd.end() && sd->second > 0)
                    sds_[material][slot] = sd->second;
        }
        for (std::size_t slot = 0; slot < means_.constituents().size(); ++slot)
            if (std::ranges::any_of(sds_, [&](const auto& sds) { return !sds.empty() && sds[slot] > 0; }))
                quoted_slots_.push_back(slot);
    }

    // Readings are quoted in the order in which they were made; those of one second in canonical order.
    void order_by_time(Room& room) const {
        room.order.clear();
        for (std::uint32_t i = 0; i < room.used.size(); ++i)
            room.order.emplace_back(time_of(room.used[i]).seconds(), i);
        if (!std::is_sorted(room.order.begin(), room.order.end()))
            std::sort(room.order.begin(), room.order.end());
    }
    Time time_of(RowId row) const {
        const Block& block = season_.batch.block_of(row);
        return block.time_of(row - block.first);
    }

    void quote(std::uint8_t material, Room& room) const {
        std::fill(room.quotes.begin(), room.quotes.end(), kNothing);
        const std::vector<double>& sds = sds_[material];
        for (std::size_t which = 0; which < (sds.empty() ? 0 : quoted_slots_.size()); ++which) {
            const std::size_t slot = quoted_slots_[which];
            if (!(sds[slot] > 0) || room.numbers.n[slot] == 0)
                continue;
            if (room.used.size() < 2) {
                room.quotes[slot] = room.numbers.mean[slot];
                continue;
            }
            room.readings.clear();
            room.dry.clear();
            for (const auto& [seconds, i] : room.order)
                if (const double value = room.each.values[i * quoted_slots_.size() + which];
                    !std::isnan(value)) {
                    room.readings.push_back(value);
                    if (const auto dry = dry_value(value, room.used[i], slot, material))
                        room.dry.push_back(*dry);
                }
            // Without moisture there is no dry value: as they stand.
            const bool all_dry = room.dry.size() == room.readings.size();
            if (const auto made = stats::quoted_value(all_dry ? room.dry : room.readings, sds[slot]))
                room.quotes[slot] =
                    made->median ? *stats::median(room.readings) : *stats::mean(room.readings);
        }
    }

    // As repeats are compared: shares of the sample on dry matter, everything else as it is.
    std::optional<double> dry_value(double value, RowId row, std::size_t slot, std::uint8_t material) const {
        if (means_.part_of(slot) != PartOf::sample || means_.constituents()[slot] == constituent::moisture)
            return value;
        const Basis wanted = season_.rules.wanted_basis(material);
        if (wanted.kind != Basis::Kind::as_is)
            return basis::restate(value, wanted, Basis::dry(), std::nullopt);
        const Block& block = season_.batch.block_of(row);
        const auto corrected = means_.values().adjuster().moisture(row);
        return basis::restate(value, wanted, Basis::dry(),
                              corrected ? corrected : basis::moisture_of(block, row - block.first));
    }

    void send_note(SampleMeans::Group group, std::size_t slot, Room& room, RowSink& sink) const {
        room.notes.clear();
        for (const RowId row : season_.batch.rows_of(group.sample))
            if (season_.batch.material[row] == group.material) {
                room.notes.add_value(row, means_.constituents()[slot]);
                if (room.numbers.used == 0)
                    room.notes.add_excluded_reading(row);
            }
        if (!room.notes.empty())
            sink.note(room.notes.text());
    }

    void send_marked(SampleMeans::Group group, Room& room, RowSink& sink) const {
        for (std::size_t slot = 0; slot < room.low.size(); ++slot) {
            if (room.numbers.n[slot] > 0)
                sink.number(room.numbers.mean[slot], shown_mean(room.low[slot], room.high[slot],
                                                                room.flagged[slot], room.numbers.n[slot]));
            else
                sink.missing();
            if (sink.wants_notes())
                send_note(group, slot, room, sink);
            sink.integer(room.numbers.n[slot]);
            if (std::isnan(room.quotes[slot]))
                sink.missing();
            else
                sink.number(room.quotes[slot]);
        }
    }
    void send_together(Room& room, RowSink& sink) const {
        room.cells.resize(3 * room.low.size());
        double* cell = room.cells.data();
        for (std::size_t slot = 0; slot < room.low.size(); ++slot, cell += 3) {
            cell[0] = room.numbers.n[slot] > 0 ? room.numbers.mean[slot] : kNothing;
            cell[1] = static_cast<double>(room.numbers.n[slot]);
            cell[2] = room.quotes[slot];
        }
        sink.numbers(room.cells, {whole_.get(), room.cells.size()});
    }

    void write_row(SampleMeans::Group group, Room& room, RowSink& sink) const {
        means_.compute(group, *room.workspace, room.numbers, SampleMeans::Of::usable, &room.each);
        const bool marks = sink.wants_marks() || sink.wants_notes();
        gather(group, marks, room); // the same readings are used
        order_by_time(room);
        quote(group.material, room);
        const batch::Batch& batch = season_.batch;
        sink.begin_row();
        const SampleDesign design = sample_design(batch, group.sample);
        const std::string_view texts[] = {material_name(batch, group.material),
                                          batch.samples[group.sample].id,
                                          design.line,
                                          design.trial,
                                          design.environment,
                                          design.rep,
                                          design.block,
                                          design.plot,
                                          sample_attribute(batch, group.sample, "check"),
                                          room.numbers.used == 0    ? "exclude"
                                          : room.numbers.review > 0 ? "review"
                                                                    : "use",
                                          room.codes.joined()};
        sink.texts(texts);
        if (const Adjuster& adjuster = means_.values().adjuster(); adjuster.active()) {
            std::vector<bool> adjusted;
            for (const RowId row : room.used)
                adjuster.add_names(row, adjusted);
            sink.text(adjuster.names(adjusted));
        }
        sink.integer(room.numbers.readings);
        sink.integer(room.numbers.used);
        if (marks)
            send_marked(group, room, sink);
        else
            send_together(room, sink);
        sink.end_row();
        if (keep_ !=
            nullptr) // now, long after the means were stored: read back at once they would be waited for
            keep_->keep(group, room.numbers);
    }

    Season season_;
    const SampleMeans& means_;
    const std::vector<RowState>& states_;
    KeptMeans* keep_;                        // may be null
    std::vector<SampleMeans::Group> groups_; // by row
    std::optional<std::uint16_t> below_, above_;
    std::unique_ptr<bool[]> whole_;            // by cell of the constituents: counts
    std::vector<std::size_t> quoted_slots_;    // in any material
    std::array<std::vector<double>, 256> sds_; // by material and slot; empty: a material without rules
};

} // namespace

std::unique_ptr<Table> samples_table(const Season& season, const SampleMeans& means, KeptMeans* keep) {
    return std::make_unique<SamplesTable>(season, means, keep);
}

} // namespace thresh::summary
