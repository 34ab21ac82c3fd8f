// `readings --long`: every cell of the exports that is not missing, with its mark, and every derived
// constituent that has a value. Rows are counted reading by reading once, so that any range can be written.
#include "summary/readings_long.hpp"

#include "summary/finding_codes.hpp"
#include "summary/line_groups.hpp"
#include "summary/material_order.hpp"
#include "summary/reading_places.hpp"
#include "summary/reading_values.hpp"

#include <thresh/core/parallel.hpp>
#include <thresh/summary/columns.hpp>

#include <algorithm>
#include <cmath>

namespace thresh::summary {

namespace {

const char* mark_text(Mark mark) {
    static constexpr const char* kNames[] = {"use", "review", "exclude"};
    return kNames[static_cast<std::size_t>(mark)];
}

void send(RowSink& sink, std::optional<double> value, Shown shown = Shown::plain) {
    if (value && !std::isnan(*value))
        sink.number(*value, shown);
    else
        sink.missing();
}

class ReadingsLong final : public Table {
  public:
    explicit ReadingsLong(const Season& season)
        : season_(season), values_(season), sources_(block_sources(season.batch)) {
        name_ = "readings_long";
        for (const char* name : {"source", "row", "kind", "time", "instrument", "material", "sample", "line",
                                 "verdict", "constituent", "unit", "part_of", "basis", "value", "as_read",
                                 "basis_as_read", "mark", "findings"})
            columns_.push_back(declared_column(name_, name));
        if (values_.adjuster().active())
            columns_.push_back(declared_column(name_, "adjusted"));
        count_rows();
    }
    std::size_t rows() const override { return begin_.back(); }
    void write(std::size_t first, std::size_t last, RowSink& sink) const override {
        Room room(*this);
        auto reading = static_cast<std::size_t>(std::upper_bound(begin_.begin(), begin_.end(), first) -
                                                begin_.begin() - 1);
        for (std::size_t row = first; row < last; ++reading) {
            const auto id = static_cast<RowId>(reading);
            list_values(id, room);
            for (std::size_t i = row - begin_[reading]; i < room.items.size() && row < last; ++i, ++row)
                write_row(id, room.items[i], room, sink);
        }
    }

  private:
    struct Item {
        ConstituentId id;
        std::optional<std::size_t> column; // nothing: derived
        double value;
    };
    struct Room {
        explicit Room(const ReadingsLong& table)
            : codes(table.season_), scratch(table.values_.scratch()), all(table.values_.slots()),
              usable(table.values_.slots()) {}
        FindingCodes codes;
        ReadingValues::Scratch scratch;
        std::vector<double> all, usable;
        std::vector<Item> items;
    };

    void count_rows() {
        const std::size_t readings = season_.batch.kind.size();
        begin_.assign(readings + 1, 0);
        constexpr std::size_t kAPiece = 16384;
        parallel_for((readings + kAPiece - 1) / kAPiece, season_.threads, [&](std::size_t piece) {
            Room room(*this);
            const std::size_t last = std::min(readings, (piece + 1) * kAPiece);
            for (std::size_t row = piece * kAPiece; row < last; ++row) {
                list_values(static_cast<RowId>(row), room);
                begin_[row + 1] = room.items.size();
            }
        });
        for (std::size_t row = 0; row < readings; ++row)
            begin_[row + 1] += begin_[row];
    }

    // In table order.
    void list_values(RowId row, Room& room) const {
        const Block& block = season_.batch.block_of(row);
        values_.all(row, room.scratch, room.all.data());
        values_.usable(row, room.scratch, room.usable.data());
        room.items.clear();
        for (std::size_t column = 0; column < block.table->numbers.size(); ++column) {
            if (block.cell(row - block.first, column).is_missing())
                continue;
            const ConstituentId id = block.table->numbers[column].constituent;
            const std::size_t slot = values_.slot_of(id);
            const bool about_reading = slot == kNoSlot; // a distance or the standard's peak: as it stands
            const double value = about_reading
                                     ? basis::raw_value(block, row - block.first, column).value_or(kNothing)
                                     : room.all[slot];
            room.items.push_back({id, column, value});
        }
        for (std::size_t slot = 0; slot < values_.slots(); ++slot)
            if (const ConstituentId id = values_.constituents()[slot];
                values_.is_derived(id) && !std::isnan(room.usable[slot]) && !block.table->find(id))
                room.items.push_back({id, std::nullopt, room.usable[slot]});
        std::stable_sort(room.items.begin(), room.items.end(),
                         [](const Item& a, const Item& b) { return a.id < b.id; });
    }

    void write_row(RowId row, const Item& item, Room& room, RowSink& sink) const {
        const batch::Batch& batch = season_.batch;
        const Block& block = batch.block_of(row);
        const std::size_t at = row - block.first;
        const ConstituentInfo& info = season_.rules.constituents[item.id];
        sink.begin_row();
        sink.text(sources_[block_index(batch, row)]);
        sink.integer(block.line[at]);
        sink.text(to_text(batch.kind[row]));
        sink.time(block.time_of(at));
        const TextId instrument = block.text_of(TextField::instrument, at);
        sink.text(instrument == kNoText ? std::string_view()
                                        : batch.readings.pool(TextField::instrument)[instrument]);
        sink.text(material_name(batch, batch.material[row]));
        const std::uint32_t sample = batch.sample[row];
        sink.text(sample == kNone ? std::string_view() : batch.samples[sample].id);
        sink.text(sample == kNone ? std::string_view() : sample_attribute(batch, sample, "line"));
        sink.text(batch.kind[row] == Kind::seed ? to_text(season_.judgement.verdict[row]) : "");
        sink.text(info.name);
        sink.text(info.unit);
        write_value(row, item, info, block, sink);
        sink.text(mark_text(season_.judgement.mark(row, item.id)));
        room.codes.clear();
        const auto add = [&](Finding finding) {
            if (finding.constituent == item.id) {
                finding.constituent = kNoConstituent; // the column beside it names it
                room.codes.add(finding);
            }
        };
        for (const Finding& finding : season_.judgement.of_row(row))
            add(finding);
        for_marking_findings(season_, row, add);
        sink.text(room.codes.joined());
        if (values_.adjuster().active())
            sink.text(item.column && values_.adjuster().find(row, item.id) != nullptr ? "yes" : "");
        sink.end_row();
    }

    void write_value(RowId row, const Item& item, const ConstituentInfo& info, const Block& block,
                     RowSink& sink) const {
        const Column* column = item.column ? &block.table->numbers[*item.column] : nullptr;
        const PartOf part = column != nullptr ? column->part_of : info.part_of;
        const bool on_basis = part == PartOf::sample;
        const bool moisture = item.id == constituent::moisture;
        sink.text(part_text(part));
        sink.text(!on_basis ? std::string() : moisture ? "as-is" : to_text(values_.wanted(row)));
        const Mark mark = season_.judgement.mark(row, item.id);
        send(sink, item.value,
             mark == Mark::exclude  ? Shown::excluded
             : mark == Mark::review ? Shown::review
                                    : Shown::plain);
        send(sink,
             column != nullptr ? basis::raw_value(block, row - block.first, *item.column) : std::nullopt);
        if (column == nullptr || !on_basis)
            sink.missing();
        else
            sink.text(column->basis.kind == Basis::Kind::not_stated || moisture ? "as-is"
                                                                                : to_text(column->basis));
    }

    Season season_;
    ReadingValues values_;
    std::vector<std::string> sources_;
    std::vector<std::size_t> begin_; // by reading
};

} // namespace

std::unique_ptr<Table> readings_long_table(const Season& season) {
    return std::make_unique<ReadingsLong>(season);
}

} // namespace thresh::summary
