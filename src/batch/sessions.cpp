// Sessions: the readings of each instrument in time order, cut at gaps. Rows of every kind but repeated ones
// take part, so that a selection or an ignored warm-up moves no session; a repeated row is in the session of
// the reading that stands for it. Rows without an instrument count as read on one unnamed instrument.
// Exports mostly hold an instrument's rows in time order already: then one pass cuts them. Only the rows of
// other instruments are gathered and sorted.
#include "batch/stages.hpp"

#include <algorithm>
#include <array>
#include <fmt/format.h>
#include <thresh/core/parallel.hpp>

namespace thresh::batch {

namespace {

struct Timed {
    std::int64_t time = 0; // packed
    RowId row = 0;
};

// Stable radix sort by time: as many passes of eleven bits as the span of times needs.
void sort_by_time(std::vector<Timed>& rows) {
    const auto [low, high] = std::ranges::minmax(rows, {}, &Timed::time);
    const std::int64_t base = low.time;
    const auto range = static_cast<std::uint64_t>(high.time - base);
    constexpr unsigned kBits = 11, kBuckets = 1U << kBits;
    std::vector<Timed> other(rows.size());
    for (unsigned shift = 0; shift < 64 && range >> shift != 0; shift += kBits) {
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

// A session in the making. Its number is its place in Instrument::cuts.
struct Cut {
    std::uint32_t file = kNone; // sessions without times
    Time start, end;
    std::uint32_t rows = 0;
};

struct Instrument {
    bool in_order = true;     // as far as seen
    std::vector<Timed> timed; // only when not in order
    std::vector<Cut> without_times, cuts;
};

void begin_cut(std::vector<Cut>& cuts, Time time, std::uint32_t file) {
    cuts.emplace_back();
    cuts.back().file = file;
    cuts.back().start = time;
}

// Adds a reading to the newest session or begins one.
inline void add(std::vector<Cut>& cuts, Time time, std::uint32_t file, double gap_seconds) {
    if (cuts.empty() || cuts.back().file != file ||
        static_cast<double>(time.seconds() - cuts.back().end.seconds()) > gap_seconds) [[unlikely]]
        begin_cut(cuts, time, file);
    cuts.back().end = time;
    ++cuts.back().rows;
}

// Calls visit(instrument, time, file, row) for every row that takes part, in canonical order; `instrument` is
// its number, the unnamed one `unnamed`.
template <typename Visit>
void for_each_row(const Batch& batch, std::size_t unnamed, const Visit& visit) {
    for (const Block& block : batch.readings.blocks) {
        // What is written must not seem to change where columns lie.
        const TextColumn::View instrument = block.texts(TextField::instrument);
        const TimeColumn::View time = block.time.view();
        const Kind* const kind = batch.kind.data() + block.first;
        for (std::size_t r = 0; r < block.rows; ++r)
            if (kind[r] != Kind::repeated)
                visit(std::min<std::size_t>(instrument[r], unnamed), time[r], block.file,
                      static_cast<RowId>(block.first + r));
    }
}

// Fills the instruments' cuts, and `timed` of those that need it.
void cut(const Batch& batch, std::vector<Instrument>& instruments, double gap_seconds, unsigned threads) {
    const std::size_t unnamed = instruments.size() - 1;
    bool all_in_order = true;
    for_each_row(batch, unnamed, [&](std::size_t i, Time time, std::uint32_t file, RowId) {
        Instrument& instrument = instruments[i];
        if (time.missing()) {
            add(instrument.without_times, time, file, gap_seconds);
        } else if (instrument.in_order) {
            instrument.in_order = instrument.cuts.empty() || instrument.cuts.back().end <= time;
            all_in_order = all_in_order && instrument.in_order;
            add(instrument.cuts, time, kNone, gap_seconds);
        }
    });
    if (all_in_order)
        return;
    for_each_row(batch, unnamed, [&](std::size_t i, Time time, std::uint32_t, RowId row) {
        if (!instruments[i].in_order && !time.missing())
            instruments[i].timed.push_back({time.packed, row});
    });
    parallel_for(instruments.size(), threads, [&](std::size_t i) {
        Instrument& instrument = instruments[i];
        if (instrument.in_order)
            return;
        instrument.cuts.clear();
        sort_by_time(instrument.timed);
        for (const Timed& timed : instrument.timed)
            add(instrument.cuts, Time{timed.time}, kNone, gap_seconds);
    });
}

// Deals rows out to sessions that follow each other: as many to each as it has room for.
class Dealer {
  public:
    explicit Dealer(std::size_t first_session) : next_(first_session) {}
    void deal(Batch& batch, RowId row) {
        if (to_ == end_) [[unlikely]] {
            std::vector<RowId>& rows = batch.sessions[next_++].rows;
            to_ = rows.data();
            end_ = to_ + rows.size();
        }
        *to_++ = row;
        batch.session[row] = static_cast<std::uint32_t>(next_ - 1);
    }

  private:
    RowId* to_ = nullptr;
    RowId* end_ = nullptr;
    std::size_t next_;
};

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
    cut(batch, instruments, settings.session_gap_hours * 3600, settings.threads);

    const bool seconds = settings.session_gap_hours * 60 < 1; // two may start in one minute
    std::vector<Dealer> without_times, timed;                 // of each instrument
    for (std::size_t i = 0; i < instruments.size(); ++i) {
        const TextId id = i == named ? kNoText : static_cast<TextId>(i);
        without_times.emplace_back(batch.sessions.size());
        timed.emplace_back(batch.sessions.size() + instruments[i].without_times.size());
        for (const auto* cuts : {&instruments[i].without_times, &instruments[i].cuts})
            for (const Cut& one : *cuts)
                batch.sessions.push_back({label(readings, id, one, seconds), id, one.start, one.end,
                                          std::vector<RowId>(one.rows),
                                          instruments[i].in_order || one.file != kNone});
    }
    // Rows into their sessions: sorted ones from the sorted array, the others as they come.
    batch.session.assign(readings.rows, kNone);
    for_each_row(batch, named, [&](std::size_t i, Time time, std::uint32_t, RowId row) {
        if (time.missing())
            without_times[i].deal(batch, row);
        else if (instruments[i].in_order)
            timed[i].deal(batch, row);
    });
    for (std::size_t i = 0; i < instruments.size(); ++i)
        for (const Timed& one : instruments[i].timed)
            timed[i].deal(batch, one.row);
    for (const Repeat& repeat : batch.repeats)
        batch.session[repeat.row] = batch.session[repeat.first];
}

} // namespace thresh::batch
