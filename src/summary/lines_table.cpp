// `lines`, wide and long: rows are computed when they are written, each by one thread.
#include "summary/line_flags.hpp"
#include "summary/line_numbers.hpp"
#include "summary/reading_values.hpp"
#include "summary/trials/line_columns.hpp"
#include "summary/value_notes.hpp"

#include <thresh/core/nearest.hpp>
#include <thresh/core/nothing.hpp>
#include <thresh/summary/columns.hpp>

#include <algorithm>
#include <cmath>
#include <memory>

namespace thresh::summary {

namespace {

void send(RowSink& sink, double value, Shown shown = Shown::plain) {
    if (std::isnan(value))
        sink.missing();
    else
        sink.number(value, shown);
}

const char* status_of(const LineNumbers& line, std::uint32_t expected) {
    if (line.plots_used == 0)
        return "none";
    return line.plots_used >= expected ? "complete" : "partial";
}

// What both forms share.
class LinesBase : public Table {
  protected:
    LinesBase(const Season& season, const SampleMeans& means, const LinesOptions& options)
        : season_(season), means_(means), by_(options.by), groups_(group_lines(season, options.by)),
          flags_(means, groups_), trials_(options.trials), decisions_(options.decisions),
          kept_(options.kept) {}

    void add_key_columns(std::string_view table) {
        columns_.push_back(declared_column(table, "material"));
        for (const std::string& name : groups_.key_columns) {
            if (name == "trial" || name == "line") {
                columns_.push_back(declared_column(table, name));
                continue;
            }
            OutColumn column;
            column.name = name;
            column.description = name + " of the sample list";
            columns_.push_back(std::move(column));
        }
    }
    void send_key(const LineGroup& group, RowSink& sink) const {
        sink.text(group.material);
        for (const std::string& value : group.key)
            sink.text(value);
    }
    // A provisional mean is shown to people, never counted.
    static Shown shown_of(const LineNumbers& line, const FlagCounts& flags, std::size_t slot) {
        return line.provisional
                   ? Shown::provisional
                   : shown_mean(flags.low[slot], flags.high[slot], flags.flagged[slot], line.used);
    }

    Season season_;
    const SampleMeans& means_;
    std::vector<std::string> by_;
    LineGroups groups_;
    LineFlags flags_;
    const TrialModels* trials_;
    const Decisions* decisions_;
    const KeptMeans* kept_; // may be null
};

class LinesWide final : public LinesBase {
  public:
    LinesWide(const Season& season, const SampleMeans& means, const LinesOptions& options)
        : LinesBase(season, means, options) {
        name_ = "lines";
        add_key_columns("lines");
        if (by_.empty())
            columns_.push_back(declared_column("lines", "check"));
        for (const char* name : {"basis", "status"})
            columns_.push_back(declared_column("lines", name));
        if (means.values().adjuster().active())
            columns_.push_back(declared_column("lines", "adjusted"));
        if (season.batch.has_plots)
            columns_.push_back(declared_column("lines", "plots"));
        for (const char* name :
             {"samples", "readings", "readings_used", "readings_review", "readings_excluded"})
            columns_.push_back(declared_column("lines", name));
        for (const ConstituentId id : means.constituents()) {
            for (const char* name : {"{c}", "{c}_sd", "{c}_se", "{c}_n", "{c}_flagged"})
                columns_.push_back(declared_column("lines", name, id, season.rules.constituents[id]));
            if (trials_ != nullptr && !means.values().is_ratio(id))
                add_trial_columns(*trials_, id, season.rules.constituents[id], columns_);
            if (decisions_ != nullptr && decisions_->about(id))
                for (const char* name : {"{c}_certain", "{c}_decision"})
                    columns_.push_back(declared_column("lines", name, id, season.rules.constituents[id]));
        }
    }
    std::size_t rows() const override { return groups_.groups.size(); }
    void write(std::size_t first, std::size_t last, RowSink& sink) const override {
        LineArithmetic arithmetic(means_, false, kept_);
        FlagCounts flags;
        Cells cells(means_.constituents().size());
        for (std::size_t row = first; row < last; ++row) {
            flags_.count(row, flags);
            write_row(row, arithmetic.compute(groups_, groups_.groups[row]), flags, cells, sink);
        }
    }

  private:
    // Room for a row's cells of all constituents, to be sent together, where nothing but numbers is told.
    struct Cells {
        static constexpr std::size_t kEach = 5; // mean, SD, SE, n, flagged
        explicit Cells(std::size_t slots) : values(kEach * slots), whole(new bool[values.size()]) {
            for (std::size_t i = 0; i < values.size(); ++i)
                whole[i] = i % kEach >= 3;
        }
        std::vector<double> values;
        std::unique_ptr<bool[]> whole;
    };
    void send_together(const LineNumbers& line, const FlagCounts& flags, Cells& cells, RowSink& sink) const {
        double* cell = cells.values.data();
        for (std::size_t slot = 0; slot < line.mean.size(); ++slot, cell += Cells::kEach) {
            cell[0] = line.provisional ? kNothing : line.mean[slot];
            cell[1] = line.provisional ? kNothing : line.sd[slot];
            cell[2] = line.provisional ? kNothing : line.se[slot];
            cell[3] = line.provisional ? 0 : line.n[slot];
            cell[4] = flags.flagged[slot];
        }
        sink.numbers(cells.values, {cells.whole.get(), cells.values.size()});
    }

    // Why the mean is marked; of a provisional one, why its readings are excluded.
    void send_note(const LineGroup& group, const LineNumbers& line, const FlagCounts& flags, std::size_t slot,
                   RowSink& sink) const {
        if (!line.provisional && flags.flagged[slot] + flags.low[slot] + flags.high[slot] == 0)
            return;
        ValueNotes notes(season_);
        for (std::uint32_t i = group.first; i < group.last; ++i)
            for (const RowId row : season_.batch.rows_of(groups_.members[i].sample)) {
                if (season_.batch.material[row] != group.material_index)
                    continue;
                notes.add_value(row, means_.constituents()[slot]);
                if (line.provisional)
                    notes.add_excluded_reading(row);
            }
        if (line.provisional && !std::isnan(line.mean[slot]))
            sink.note("provisional: all readings of the line are excluded" +
                      (notes.empty() ? "" : "\n" + notes.text()));
        else if (!notes.empty())
            sink.note(notes.text());
    }

    void write_row(std::size_t row, const LineNumbers& line, const FlagCounts& flags, Cells& cells,
                   RowSink& sink) const {
        const LineGroup& group = groups_.groups[row];
        sink.begin_row();
        send_key(group, sink);
        if (by_.empty())
            sink.text(season_.batch.list.given() ? (group.check ? "yes" : "no") : "");
        sink.text(to_text(season_.rules.wanted_basis(group.material_index)));
        sink.text(status_of(line, group.expected_plots));
        if (means_.values().adjuster().active())
            sink.text(means_.values().adjuster().names(line.adjusted));
        if (season_.batch.has_plots)
            sink.integer(line.plots);
        sink.integer(line.samples);
        sink.integer(line.readings);
        sink.integer(line.used);
        sink.integer(line.review);
        sink.integer(line.readings - line.used);
        if (trials_ == nullptr && decisions_ == nullptr && !sink.wants_marks() && !sink.wants_notes())
            send_together(line, flags, cells, sink);
        else
            send_each(row, line, flags, sink);
        sink.end_row();
    }
    void send_each(std::size_t row, const LineNumbers& line, const FlagCounts& flags, RowSink& sink) const {
        const LineGroup& group = groups_.groups[row];
        for (std::size_t slot = 0; slot < line.mean.size(); ++slot) {
            send(sink, line.mean[slot], shown_of(line, flags, slot));
            if (sink.wants_notes())
                send_note(group, line, flags, slot, sink);
            send(sink, line.provisional ? kNothing : line.sd[slot]);
            send(sink, line.provisional ? kNothing : line.se[slot]);
            sink.integer(line.provisional ? 0 : line.n[slot]);
            sink.integer(flags.flagged[slot]);
            if (trials_ != nullptr && !means_.values().is_ratio(means_.constituents()[slot]))
                send_trial_cells(*trials_, row, slot, sink);
            if (decisions_ != nullptr && decisions_->about(means_.constituents()[slot]))
                send_decision(*decisions_, row, slot, sink);
        }
    }
};

class LinesLong final : public LinesBase {
  public:
    LinesLong(const Season& season, const SampleMeans& means, const LinesOptions& options)
        : LinesBase(season, means, options) {
        name_ = "lines_long";
        add_key_columns("lines_long");
        for (const char* name : {"constituent", "unit", "part_of", "basis", "n", "mean", "sd", "se", "min",
                                 "median", "max", "flagged"})
            columns_.push_back(declared_column("lines_long", name));
        if (means.values().adjuster().active())
            columns_.push_back(declared_column("lines_long", "adjusted"));
        if (trials_ != nullptr)
            add_trial_columns_long(*trials_, columns_);
        if (decisions_ != nullptr)
            for (const char* name : {"certain", "decision"})
                columns_.push_back(declared_column("lines_long", name));
    }
    std::size_t rows() const override { return groups_.groups.size() * slots(); }
    void write(std::size_t first, std::size_t last, RowSink& sink) const override {
        LineArithmetic arithmetic(means_, false, kept_);
        const LineNumbers* line = nullptr;
        FlagCounts flags;
        std::size_t computed = kNoSlot;
        for (std::size_t row = first; row < last; ++row) {
            const std::size_t group = row / slots();
            if (computed != group) {
                line = &arithmetic.compute(groups_, groups_.groups[group]);
                flags_.count(group, flags);
            }
            computed = group;
            write_row(group, *line, flags, row % slots(), sink);
        }
    }

  private:
    std::size_t slots() const { return means_.constituents().size(); }

    // Minimum, median, maximum of the plot means.
    static std::array<double, 3> order_statistics(const LineNumbers& line, std::size_t slot) {
        std::vector<double> values;
        for (std::uint32_t plot = 0; plot < line.plot_rows; ++plot)
            if (const double value = line.plot_means[plot * line.mean.size() + slot]; !std::isnan(value))
                values.push_back(value);
        if (values.empty())
            return {kNothing, kNothing, kNothing};
        std::sort(values.begin(), values.end());
        const std::size_t middle = values.size() / 2;
        const double median =
            values.size() % 2 == 1 ? values[middle] : (values[middle - 1] + values[middle]) / 2;
        return {values.front(), median, values.back()};
    }

    void write_row(std::size_t row, const LineNumbers& line, const FlagCounts& flags, std::size_t slot,
                   RowSink& sink) const {
        const LineGroup& group = groups_.groups[row];
        const ConstituentId id = means_.constituents()[slot];
        const ConstituentInfo& info = season_.rules.constituents[id];
        sink.begin_row();
        send_key(group, sink);
        sink.text(info.name);
        sink.text(info.unit);
        sink.text(part_text(means_.part_of(slot)));
        sink.text(means_.basis_of(slot, group.material_index));
        sink.integer(line.provisional ? 0 : line.n[slot]);
        send(sink, line.mean[slot], shown_of(line, flags, slot));
        const bool spread = !line.provisional && !means_.values().is_ratio(id);
        const auto [low, median, high] = order_statistics(line, slot);
        for (const double value : {line.sd[slot], line.se[slot], low, median, high})
            send(sink, spread ? value : kNothing);
        sink.integer(flags.flagged[slot]);
        if (means_.values().adjuster().active())
            sink.text(!line.adjusted.empty() && line.adjusted[id] ? "yes" : "");
        if (trials_ != nullptr)
            send_trial_cells_long(*trials_, row, slot, sink);
        if (decisions_ != nullptr)
            send_decision(*decisions_, row, slot, sink);
        sink.end_row();
    }
};

} // namespace

std::unique_ptr<Table> lines_table(const Season& season, const SampleMeans& means,
                                   const LinesOptions& options) {
    if (options.long_form)
        return std::make_unique<LinesLong>(season, means, options);
    return std::make_unique<LinesWide>(season, means, options);
}

Result<std::vector<std::string>> parse_by(std::string_view text) {
    const auto& known = sample_attributes();
    std::vector<std::string> columns;
    while (!text.empty()) {
        const std::size_t comma = std::min(text.find(','), text.size());
        std::string name(text.substr(0, comma));
        text.remove_prefix(std::min(text.size(), comma + 1));
        if (std::find(known.begin(), known.end(), name) == known.end()) {
            return fail("lines cannot be grouped by `" + name + "`",
                        nearest_hint(name, known, "columns to group by"));
        }
        if (std::find(columns.begin(), columns.end(), name) == columns.end())
            columns.push_back(std::move(name));
    }
    if (columns.empty())
        return fail("--by names no column", "such as --by environment or --by trial,environment");
    return columns;
}

} // namespace thresh::summary
