// Sessions: the readings of each instrument in time order, cut at gaps. Rows of every kind but repeated ones
// take part, so that a selection or an ignored warm-up moves no session; a repeated row is in the session of
// the reading that stands for it. Rows without an instrument count as read on one unnamed instrument.
#include "batch/stages.hpp"

#include <algorithm>
#include <array>
#include <fmt/format.h>
#include <span>
#include <thresh/core/parallel.hpp>

namespace thresh::batch {

namespace {

struct Timed {
    std::int64_t time = 0; // packed
    RowId row = 0;
};

// Stable radix sort by time: as many passes of eleven bits as the span of times needs.
void sort_by_time(std::vector<Timed>& rows) {
    if (std::ranges::is_sorted(rows, {}, &Timed::time))
        return;
    const auto [low, high] = std::ranges::minmax(rows, {}, &Timed::time);
    const std::int64_t base = low.time;
    const auto span = static_cast<std::uint64_t>(high.time - base);
    constexpr unsigned kBits = 11, kBuckets = 1U << kBits;
    std::vector<Timed> other(rows.size());
    for (unsigned shift = 0; shift < 64 && span >> shift != 0; shift += kBits) {
        const auto digit = [&](const Timed& t) {
            return static_cast<std::uint64_t>(t.time - base) >> shift & (kBuckets - 1);
        };
        std::array<std::uint32_t, kBuckets + 1> begin{};
        for (const Timed& t : rows)
            ++begin[digit(t) + 1];
        for (std::size_t b = 1; b < begin.size(); ++b)
            begin[b] += begin[b - 1];
        for (const Timed& t : rows)
            other[begin[digit(t)]++] = t;
        rows.swap(other);
    }
}

struct Cut {
    std::uint32_t file = kNone; // sessions without times
    std::vector<RowId> rows;
    Time start, end;
};

// Rows of one instrument: in canonical order, those without a time by themselves.
struct Instrument {
    std::vector<Timed> timed;
    std::vector<std::pair<std::uint32_t, RowId>> untimed; // file, row
};

std::vector<Cut> cut(Instrument& instrument, double gap_hours) {
    std::vector<Cut> cuts;
    for (const auto& [file, row] : instrument.untimed) {
        if (cuts.empty() || cuts.back().file != file) {
            cuts.emplace_back();
            cuts.back().file = file;
        }
        cuts.back().rows.push_back(row);
    }
    sort_by_time(instrument.timed);
    const double gap = gap_hours * 3600;
    for (std::size_t i = 0; i < instrument.timed.size(); ++i) {
        const Time time{instrument.timed[i].time};
        if (i == 0 || static_cast<double>(time.seconds() - cuts.back().end.seconds()) > gap) {
            cuts.emplace_back();
            cuts.back().start = time;
        }
        cuts.back().end = time;
        cuts.back().rows.push_back(instrument.timed[i].row);
    }
    instrument = {};
    return cuts;
}

std::string label(const Readings& readings, TextId instrument, const Cut& cut, bool seconds) {
    const std::string_view name = instrument == kNoText ? std::string_view("unnamed")
                                                        : readings.pool(TextField::instrument)[instrument];
    if (cut.file != kNone)
        return fmt::format("{}@{}", name, readings.files[cut.file].source);
    Time start = cut.start;
    if (start.precision() == Time::Precision::second && !seconds)
        start = Time::of(start.seconds(), Time::Precision::minute);
    return fmt::format("{}@{}", name, to_text(start));
}

} // namespace

void make_sessions(Batch& batch, const Settings& settings) {
    const Readings& readings = batch.readings;
    const std::size_t named = readings.pool(TextField::instrument).size();
    std::vector<Instrument> instruments(named + 1); // the unnamed one last
    for (const Block& block : readings.blocks)
        for (std::size_t r = 0; r < block.rows; ++r) {
            const auto row = static_cast<RowId>(block.first + r);
            if (batch.kind[row] == Kind::repeated)
                continue;
            const TextId id = block.text_of(TextField::instrument, r);
            Instrument& instrument = instruments[id == kNoText ? named : id];
            const Time time = block.time_of(r);
            if (time.missing())
                instrument.untimed.emplace_back(block.file, row);
            else
                instrument.timed.push_back({time.packed, row});
        }
    std::vector<std::vector<Cut>> cuts(instruments.size());
    parallel_for(instruments.size(), settings.threads,
                 [&](std::size_t i) { cuts[i] = cut(instruments[i], settings.session_gap_hours); });

    batch.session.assign(readings.rows, kNone);
    const bool seconds = settings.session_gap_hours * 60 < 1; // two may start in one minute
    for (std::size_t i = 0; i < cuts.size(); ++i)
        for (Cut& one : cuts[i]) {
            const TextId instrument = i == named ? kNoText : static_cast<TextId>(i);
            for (const RowId row : one.rows)
                batch.session[row] = static_cast<std::uint32_t>(batch.sessions.size());
            batch.sessions.push_back({label(readings, instrument, one, seconds), instrument, one.start,
                                      one.end, std::move(one.rows)});
        }
    for (const Repeat& repeat : batch.repeats)
        batch.session[repeat.row] = batch.session[repeat.first];
}

} // namespace thresh::batch
