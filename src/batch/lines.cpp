// Lines, plots and the samples in them. Texts become numbers in bytewise order, then two counting sorts bring
// the samples line by line and only the few samples of one line are compared with each other.
#include "batch/stages.hpp"

#include "batch/id_pattern.hpp"

#include <algorithm>
#include <array>
#include <numeric>
#include <span>
#include <tuple>

namespace thresh::batch {

namespace {

constexpr std::size_t kTrial = static_cast<std::size_t>(PlaceField::trial);
constexpr std::size_t kLine = static_cast<std::size_t>(PlaceField::line);
constexpr std::size_t kEnvironment = static_cast<std::size_t>(PlaceField::environment);
constexpr std::size_t kRep = static_cast<std::size_t>(PlaceField::rep);
constexpr std::size_t kBlock = static_cast<std::size_t>(PlaceField::block);
constexpr std::size_t kPlot = static_cast<std::size_t>(PlaceField::plot);
constexpr std::size_t kYear = static_cast<std::size_t>(PlaceField::year);

// A sample that has a place of its own in the field.
struct Placed {
    std::uint32_t sample = 0;
    std::uint32_t trial = 0, line = 0; // ranks of the texts, bytewise
};

struct Places {
    std::vector<Placed> placed; // in order of samples
    std::size_t trials = 0, lines = 0;
};

PlaceTexts listed_place(const SampleList& list, std::uint32_t entry) {
    const std::string_view line = list.text(entry, ListText::line);
    return {list.text(entry, ListText::trial),       line.empty() ? list.text(entry, ListText::sample) : line,
            list.text(entry, ListText::environment), list.text(entry, ListText::rep),
            list.text(entry, ListText::block),       list.text(entry, ListText::plot),
            list.text(entry, ListText::year)};
}

// The last original over all duplicates of duplicates.
std::uint32_t root_of(const Batch& batch, std::uint32_t sample) {
    while (batch.samples[sample].original != kNone)
        sample = batch.samples[sample].original;
    return sample;
}

// The place's texts, as views that live as long as the batch.
PlaceTexts place_of(const Batch& batch, const IdPattern* pattern, std::uint32_t sample) {
    if (batch.list.given())
        return listed_place(batch.list, batch.samples[sample].entry);
    if (const auto match = pattern ? pattern->match(batch.samples[sample].id) : std::nullopt)
        return *match;
    PlaceTexts texts;
    texts[kLine] = batch.samples[sample].id;
    return texts;
}

// Interns texts that mostly are the same as the one before: samples come in bytewise order.
class RunPool {
  public:
    TextId intern(std::string_view text) {
        if (last_ == kNoText || text != pool_[last_])
            last_ = pool_.intern(text);
        return last_;
    }
    TextPool& pool() { return pool_; }

  private:
    TextPool pool_;
    TextId last_ = kNoText;
};

Places find_places(const Batch& batch, const IdPattern* pattern) {
    Places places;
    places.placed.reserve(batch.samples.size());
    RunPool trials, lines;
    for (std::uint32_t s = 0; s < batch.samples.size(); ++s) {
        const Sample& sample = batch.samples[s];
        const bool has_place = batch.list.given() ? sample.entry != kNone && sample.original == kNone
                                                  : !batch.rows_of(s).empty();
        if (!has_place)
            continue;
        const PlaceTexts texts = place_of(batch, pattern, s);
        places.placed.push_back({s, trials.intern(texts[kTrial]), lines.intern(texts[kLine])});
    }
    const std::vector<TextId> trial_rank = trials.pool().sort_bytewise(),
                              line_rank = lines.pool().sort_bytewise();
    for (Placed& placed : places.placed) {
        placed.trial = trial_rank[placed.trial];
        placed.line = line_rank[placed.line];
    }
    places.trials = trials.pool().size();
    places.lines = lines.pool().size();
    return places;
}

// Stable counting sort by one of the ranks.
void sort_by(std::vector<Placed>& placed, std::uint32_t Placed::*rank, std::size_t ranks) {
    std::vector<std::uint32_t> begin(ranks + 1, 0);
    for (const Placed& p : placed)
        ++begin[p.*rank + 1];
    std::partial_sum(begin.begin(), begin.end(), begin.begin());
    std::vector<Placed> sorted(placed.size());
    for (const Placed& p : placed)
        sorted[begin[p.*rank]++] = p;
    placed = std::move(sorted);
}

// One sample of a line with its place.
struct Member {
    std::uint32_t sample = 0;
    PlaceTexts texts;
    // Plots of a line are in this order.
    auto order() const {
        return std::tie(texts[kEnvironment], texts[kRep], texts[kBlock], texts[kPlot], texts[kYear]);
    }
};

// Environment and rep are often all that is known of a place, so that millions of plots share a few hundred
// places. The last ones are looked through by hash; one that was forgotten is kept once more.
class PlaceKeeper {
  public:
    // At most `plots` places will come.
    PlaceKeeper(std::vector<Place>& places, std::size_t plots) : places_(places) {
        recent_.fill(kNone);
        places_.reserve(plots);
    }
    std::uint32_t keep(const Place& place) {
        std::uint64_t mixed = 0;
        for (const std::string_view text : {place.environment, place.rep, place.block, place.plot})
            mixed = mixed * 31 + (text.empty() ? 0 : hash_bytes(text));
        std::uint32_t& known = recent_[mixed % recent_.size()];
        if (known == kNone || places_[known] != place) {
            known = static_cast<std::uint32_t>(places_.size());
            places_.push_back(place);
        }
        return known;
    }
    void finish() {
        if (places_.size() < places_.capacity() / 2)
            places_.shrink_to_fit();
    }

  private:
    std::vector<Place>& places_;
    std::array<std::uint32_t, 1024> recent_{};
};

// One line: its samples become plots. `members` in order of samples.
void add_line(Batch& batch, std::vector<Member>& members, PlaceKeeper& places) {
    const auto line_index = static_cast<std::uint32_t>(batch.lines.size());
    Line line;
    line.trial = members[0].texts[kTrial];
    line.name = members[0].texts[kLine];
    const auto before = [](const Member& a, const Member& b) { return a.order() < b.order(); };
    if (!std::is_sorted(members.begin(), members.end(), before)) // IDs often follow the field
        std::stable_sort(members.begin(), members.end(), before);
    for (std::size_t m = 0; m < members.size(); ++m) {
        const auto& [sample, texts] = members[m];
        const bool named = batch.has_plots && !texts[kPlot].empty();
        if (!named || m == 0 || members[m].order() != members[m - 1].order()) {
            Plot plot;
            plot.line = line_index;
            plot.place = places.keep({texts[kEnvironment], texts[kRep], texts[kBlock], texts[kPlot]});
            batch.line_plots.push_back(static_cast<std::uint32_t>(batch.plots.size()));
            batch.plots.push_back(plot);
            if (batch.list.given())
                ++line.listed_plots;
        }
        batch.samples[sample].line = line_index;
        batch.samples[sample].plot = static_cast<std::uint32_t>(batch.plots.size() - 1);
        line.check = line.check || batch.list.is_check(batch.samples[sample].entry);
    }
    batch.lines.push_back(line);
}

// Points lines to their plots and plots to their samples, now that the arrays have their final size.
void set_spans(Batch& batch) {
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

    const std::span<const std::uint32_t> all_plots = batch.line_plots;
    std::size_t first = 0;
    for (std::uint32_t l = 0; l < batch.lines.size(); ++l) {
        std::size_t end = first;
        while (end < batch.plots.size() && batch.plots[end].line == l)
            ++end;
        batch.lines[l].plots = all_plots.subspan(first, end - first);
        first = end;
    }
}

} // namespace

void make_lines(Batch& batch, const Settings& settings) {
    std::optional<IdPattern> id_pattern;
    if (!batch.list.given() && settings.sample_id)
        id_pattern.emplace(*settings.sample_id);
    const IdPattern* pattern = id_pattern ? &*id_pattern : nullptr;
    batch.has_trials = batch.list.has_trial || (pattern && pattern->has(PlaceField::trial));
    batch.has_plots = batch.list.has_plot || (pattern && pattern->has(PlaceField::plot));

    Places found = find_places(batch, pattern);
    std::vector<Placed>& placed = found.placed;
    sort_by(placed, &Placed::line, found.lines);
    sort_by(placed, &Placed::trial, found.trials);
    batch.plots.reserve(placed.size());
    batch.line_plots.reserve(placed.size());
    PlaceKeeper places(batch.places, placed.size());
    std::vector<Member> members;
    for (std::size_t i = 0; i < placed.size();) {
        const std::size_t first = i;
        members.clear();
        for (; i < placed.size() && placed[i].line == placed[first].line &&
               placed[i].trial == placed[first].trial;
             ++i)
            members.push_back({placed[i].sample, place_of(batch, pattern, placed[i].sample)});
        add_line(batch, members, places);
    }
    places.finish();
    for (std::uint32_t s = 0; s < batch.samples.size(); ++s)
        if (batch.samples[s].original != kNone) {
            const Sample& original = batch.samples[root_of(batch, s)];
            batch.samples[s].line = original.line;
            batch.samples[s].plot = original.plot;
        }
    set_spans(batch);
}

} // namespace thresh::batch
