// Lines, plots and the samples in them. Samples come line by line (places.hpp), so that only the few samples
// of one line are compared with each other; pieces of whole lines are made side by side and then put
// together.
#include "batch/stages.hpp"

#include "batch/places.hpp"
#include "batch/short_text.hpp"

#include <algorithm>
#include <array>
#include <numeric>
#include <span>
#include <thresh/core/parallel.hpp>
#include <utility>

namespace thresh::batch {

namespace {

constexpr std::size_t kTrial = static_cast<std::size_t>(PlaceField::trial);
constexpr std::size_t kLine = static_cast<std::size_t>(PlaceField::line);
constexpr std::size_t kEnvironment = static_cast<std::size_t>(PlaceField::environment);
constexpr std::size_t kRep = static_cast<std::size_t>(PlaceField::rep);
constexpr std::size_t kBlock = static_cast<std::size_t>(PlaceField::block);
constexpr std::size_t kPlot = static_cast<std::size_t>(PlaceField::plot);
constexpr std::size_t kYear = static_cast<std::size_t>(PlaceField::year);

// The last original over all duplicates of duplicates.
std::uint32_t root_of(const Batch& batch, std::uint32_t sample) {
    while (batch.samples[sample].original != kNone)
        sample = batch.samples[sample].original;
    return sample;
}

// One sample of a line with its place: environment, rep, block, plot, year.
struct Member {
    std::uint32_t sample = 0;
    std::array<std::string_view, 5> place;
    Member(std::uint32_t number, const PlaceTexts& texts)
        : sample(number), place{texts[kEnvironment], texts[kRep], texts[kBlock], texts[kPlot], texts[kYear]} {
    }
    // Plots of a line are in this order. Most texts are absent or the same piece of memory.
    friend bool operator<(const Member& a, const Member& b) {
        for (std::size_t i = 0; i < a.place.size(); ++i)
            if (a.place[i].data() != b.place[i].data() || a.place[i].size() != b.place[i].size())
                if (const int order = compare_text(a.place[i], b.place[i]); order != 0)
                    return order < 0;
        return false;
    }
};

bool same_place(const Place& a, const Place& b) {
    return same_text(a.rep, b.rep) && same_text(a.plot, b.plot) && same_text(a.block, b.block) &&
           same_text(a.environment, b.environment) && same_text(a.year, b.year);
}

// Environment and rep are often all that is known of a place, so that millions of plots share a few hundred
// places, which then lie in the cache. The last ones are looked through by hash, in two spots each, so that
// hardly ever two take turns in one; one that was forgotten is kept once more. Before that the place is tried
// that came next after the last one before: reps come in the same order in every line.
class PlaceKeeper {
  public:
    PlaceKeeper() { recent_.fill(kNone); }
    std::uint32_t keep(const Place& place) {
        if (last_ != kNone && next_[last_] != kNone && same_place(places[next_[last_]], place))
            return last_ = next_[last_];
        const std::uint32_t number = look_up(place);
        next_.resize(places.size(), kNone);
        if (last_ != kNone)
            next_[last_] = number;
        return last_ = number;
    }
    std::vector<Place> places;

  private:
    std::uint32_t look_up(const Place& place) {
        std::uint64_t mixed = 0;
        for (const std::string_view text :
             {place.environment, place.rep, place.block, place.plot, place.year})
            mixed = mixed * 31 + (text.empty() ? 0 : hash_bytes(text));
        std::uint32_t& first = recent_[mixed % recent_.size()];
        std::uint32_t& second = recent_[mixed / recent_.size() % recent_.size()];
        for (const std::uint32_t known : {first, second})
            if (known != kNone && same_place(places[known], place))
                return known;
        const auto fresh = static_cast<std::uint32_t>(places.size());
        (first != kNone && second == kNone ? second : first) = fresh;
        places.push_back(place);
        return fresh;
    }
    std::array<std::uint32_t, 1024> recent_{};
    std::vector<std::uint32_t> next_; // by place: the one that came after it last
    std::uint32_t last_ = kNone;
};

// Lines whose samples follow each other in the order of lines. Lines, plots and places are numbered from 0
// until the piece is put behind those before it.
struct Piece {
    std::size_t begin = 0, end = 0; // of the placed samples
    std::vector<Line> lines;
    std::vector<Place> places;
    std::size_t plots = 0; // in Batch::plots from `begin` on: there are no more than placed samples
    std::vector<std::uint32_t> plots_so_far;    // by line: at its end
    std::size_t first_line = 0, first_plot = 0; // once it is put there
    std::vector<std::uint32_t> place_in_batch;  // by number
};

// One line: its samples become plots. `members` in order of samples, the first of them placed at `first`;
// `line` with its names.
void add_line(Batch& batch, Line line, std::vector<Member>& members, std::size_t first, PlaceKeeper& places,
              Piece& piece) {
    const auto line_index = static_cast<std::uint32_t>(piece.lines.size());
    if (!std::is_sorted(members.begin(), members.end())) // IDs often follow the field
        std::stable_sort(members.begin(), members.end());
    const std::span samples = std::span(batch.plot_samples).subspan(first, members.size());
    for (std::size_t m = 0, begin = 0; m < members.size(); ++m) {
        const auto& [sample, texts] = members[m];
        const auto& [environment, rep, block, plot_text, year] = texts;
        const bool named = batch.has_plots && !plot_text.empty();
        if (!named || m == 0 || members[m - 1] < members[m]) {
            Plot plot;
            plot.line = line_index;
            plot.place = places.keep({environment, rep, block, plot_text, year});
            batch.plots[piece.begin + piece.plots++] = plot;
            begin = m;
            if (batch.list.given())
                ++line.listed_plots;
        }
        samples[m] = sample;
        batch.plots[piece.begin + piece.plots - 1].samples = samples.subspan(begin, m + 1 - begin);
        batch.samples[sample].line = line_index;
        batch.samples[sample].plot = static_cast<std::uint32_t>(piece.plots - 1);
        line.check = line.check || batch.list.is_check(batch.samples[sample].entry);
    }
    piece.lines.push_back(line);
    piece.plots_so_far.push_back(static_cast<std::uint32_t>(piece.plots));
}

bool same_line(const Placed& a, const Placed& b) {
    return a.line == b.line && a.trial == b.trial;
}

// Pieces of about as many samples; they do not depend on the threads.
std::vector<Piece> cut(const std::vector<Placed>& placed) {
    constexpr std::size_t kPiece = 8192;
    std::vector<Piece> pieces;
    for (std::size_t begin = 0, end = 0; begin < placed.size(); begin = end) {
        end = std::min(begin + kPiece, placed.size());
        while (end < placed.size() && same_line(placed[end], placed[end - 1]))
            ++end;
        pieces.emplace_back();
        pieces.back().begin = begin;
        pieces.back().end = end;
    }
    return pieces;
}

void fill(Batch& batch, const IdPattern* pattern, const std::vector<Placed>& placed, Piece& piece) {
    PlaceFinder finder(batch, pattern);
    PlaceKeeper places;
    std::vector<Member> members;
    for (std::size_t i = piece.begin; i < piece.end;) {
        const std::size_t first = i;
        Line line;
        members.clear();
        for (; i < piece.end && same_line(placed[i], placed[first]); ++i) {
            const PlaceTexts& texts = finder.place(placed[i].sample);
            if (i == first) {
                line.trial = texts[kTrial];
                line.name = texts[kLine];
            }
            members.emplace_back(placed[i].sample, texts);
        }
        add_line(batch, line, members, first, places, piece);
    }
    piece.places = std::move(places.places);
}

// Gives the pieces' lines, plots and places their numbers in the batch.
void number(Batch& batch, std::vector<Piece>& pieces) {
    std::size_t most_places = 0;
    for (const Piece& piece : pieces)
        most_places += piece.places.size();
    PlaceKeeper places;
    places.places.reserve(most_places);
    std::size_t lines = 0, plots = 0;
    for (Piece& piece : pieces) {
        piece.first_line = std::exchange(lines, lines + piece.lines.size());
        piece.first_plot = std::exchange(plots, plots + piece.plots);
        if (piece.first_plot != piece.begin)
            std::copy_n(batch.plots.data() + piece.begin, piece.plots, batch.plots.data() + piece.first_plot);
        for (const Place& place : piece.places)
            piece.place_in_batch.push_back(places.keep(place));
        std::vector<Place>().swap(piece.places);
    }
    batch.places = std::move(places.places);
    if (batch.places.size() < batch.places.capacity() / 2)
        batch.places.shrink_to_fit();
    batch.lines.resize(lines);
    batch.plots.resize(plots);
    if (plots < batch.plots.capacity() / 2)
        batch.plots.shrink_to_fit();
    batch.line_plots.resize(plots);
}

void put(Batch& batch, const std::vector<Placed>& placed, const Piece& piece) {
    const auto first_line = static_cast<std::uint32_t>(piece.first_line),
               first_plot = static_cast<std::uint32_t>(piece.first_plot);
    for (std::size_t l = 0, begin = 0; l < piece.lines.size(); ++l) {
        Line& line = batch.lines[first_line + l] = piece.lines[l];
        line.plots = std::span(batch.line_plots).subspan(first_plot + begin, piece.plots_so_far[l] - begin);
        begin = piece.plots_so_far[l];
    }
    for (std::uint32_t i = 0; i < piece.plots; ++i) {
        Plot& plot = batch.plots[first_plot + i];
        plot.line += first_line;
        plot.place = piece.place_in_batch[plot.place];
        batch.line_plots[first_plot + i] = first_plot + i;
    }
    for (std::size_t i = piece.begin; i < piece.end; ++i) {
        batch.samples[placed[i].sample].line += first_line;
        batch.samples[placed[i].sample].plot += first_plot;
    }
}

// Duplicates join their originals' plots, which then list their samples anew.
void join_duplicates(Batch& batch) {
    for (std::uint32_t s = 0; s < batch.samples.size(); ++s)
        if (batch.samples[s].original != kNone) {
            const Sample& original = batch.samples[root_of(batch, s)];
            batch.samples[s].line = original.line;
            batch.samples[s].plot = original.plot;
        }
    std::vector<std::uint32_t> begin(batch.plots.size() + 1, 0);
    for (const Sample& sample : batch.samples)
        if (sample.plot != kNone)
            ++begin[sample.plot + 1];
    std::partial_sum(begin.begin(), begin.end(), begin.begin());
    batch.plot_samples.resize(begin.back());
    const std::span<const std::uint32_t> all_samples = batch.plot_samples;
    for (std::size_t p = 0; p < batch.plots.size(); ++p)
        batch.plots[p].samples = all_samples.subspan(begin[p], begin[p + 1] - begin[p]);
    for (std::uint32_t s = 0; s < batch.samples.size(); ++s)
        if (batch.samples[s].plot != kNone)
            batch.plot_samples[begin[batch.samples[s].plot]++] = s;
}

} // namespace

std::string name_of(const Environment& environment) {
    std::string name(environment.site);
    if (!name.empty() && !environment.year.empty())
        name += ' ';
    return name.append(environment.year);
}

void make_lines(Batch& batch, const Settings& settings) {
    std::optional<IdPattern> id_pattern;
    if (!batch.list.given() && settings.sample_id)
        id_pattern.emplace(*settings.sample_id);
    const IdPattern* pattern = id_pattern ? &*id_pattern : nullptr;
    batch.has_trials = batch.list.has_trial || (pattern && pattern->has(PlaceField::trial));
    batch.has_plots = batch.list.has_plot || (pattern && pattern->has(PlaceField::plot));

    const std::vector<Placed> placed = find_places(batch, pattern, settings.threads);
    std::vector<Piece> pieces = cut(placed);
    batch.plots.resize(placed.size());
    batch.plot_samples.resize(placed.size());
    parallel_for(pieces.size(), settings.threads,
                 [&](std::size_t p) { fill(batch, pattern, placed, pieces[p]); });
    number(batch, pieces);
    parallel_for(pieces.size(), settings.threads, [&](std::size_t p) { put(batch, placed, pieces[p]); });
    if (batch.list.states(ListText::duplicate_of))
        join_duplicates(batch);
}

} // namespace thresh::batch
