// Lines, plots and the samples in them. Texts become numbers in bytewise order, then two counting sorts bring
// the samples line by line and only the few samples of one line are compared with each other.
#include "batch/stages.hpp"

#include "batch/id_pattern.hpp"

#include <algorithm>
#include <array>
#include <numeric>
#include <span>

namespace thresh::batch {

namespace {

constexpr std::size_t kTrial = static_cast<std::size_t>(PlaceField::trial);
constexpr std::size_t kLine = static_cast<std::size_t>(PlaceField::line);
constexpr std::size_t kPlot = static_cast<std::size_t>(PlaceField::plot);

// Fields in the order in which plots of one line are ordered.
constexpr std::array<std::size_t, 5> kPlotOrder = {
    static_cast<std::size_t>(PlaceField::environment), static_cast<std::size_t>(PlaceField::rep),
    static_cast<std::size_t>(PlaceField::block), kPlot, static_cast<std::size_t>(PlaceField::year)};

// A sample that has a place of its own in the field.
struct Placed {
    std::uint32_t sample = 0;
    std::array<std::uint32_t, kPlaceFields> id{}; // ranks of the texts, bytewise
};

struct Places {
    std::vector<Placed> placed; // in order of samples
    std::array<TextPool, kPlaceFields> pools;
};

PlaceTexts listed_place(const ListEntry& entry) {
    return {entry.trial,       entry.line.empty() ? std::string_view(entry.sample) : entry.line,
            entry.environment, entry.rep,
            entry.block,       entry.plot,
            entry.year};
}

// The last original over all duplicates of duplicates.
std::uint32_t root_of(const Batch& batch, std::uint32_t sample) {
    while (batch.samples[sample].original != kNone)
        sample = batch.samples[sample].original;
    return sample;
}

Places find_places(const Batch& batch, const IdPattern* pattern) {
    Places places;
    for (std::uint32_t s = 0; s < batch.samples.size(); ++s) {
        const Sample& sample = batch.samples[s];
        PlaceTexts texts;
        if (batch.list.given()) {
            if (sample.entry == kNone || sample.original != kNone)
                continue;
            texts = listed_place(batch.list.entries[sample.entry]);
        } else {
            if (batch.rows_of(s).empty())
                continue;
            const auto match = pattern ? pattern->match(sample.id) : std::nullopt;
            if (match)
                texts = *match;
            else
                texts[kLine] = sample.id;
        }
        Placed& placed = places.placed.emplace_back();
        placed.sample = s;
        for (std::size_t f = 0; f < kPlaceFields; ++f)
            placed.id[f] = places.pools[f].intern(texts[f]);
    }
    for (std::size_t f = 0; f < kPlaceFields; ++f) {
        const std::vector<TextId> rank = places.pools[f].sort_bytewise();
        for (Placed& placed : places.placed)
            placed.id[f] = rank[placed.id[f]];
    }
    return places;
}

// Stable counting sort of `order` (indices of placed) by one field.
void sort_by(const Places& places, std::size_t field, std::vector<std::uint32_t>& order) {
    std::vector<std::uint32_t> begin(places.pools[field].size() + 1, 0);
    for (const Placed& placed : places.placed)
        ++begin[placed.id[field] + 1];
    std::partial_sum(begin.begin(), begin.end(), begin.begin());
    std::vector<std::uint32_t> sorted(order.size());
    for (const std::uint32_t i : order)
        sorted[begin[places.placed[i].id[field]]++] = i;
    order = std::move(sorted);
}

// The place's texts as views that live as long as the batch.
PlaceTexts stable_texts(const Batch& batch, const IdPattern* pattern, std::uint32_t sample) {
    if (batch.list.given())
        return listed_place(batch.list.entries[batch.samples[sample].entry]);
    PlaceTexts texts;
    texts[kLine] = batch.samples[sample].id;
    if (const auto match = pattern ? pattern->match(batch.samples[sample].id) : std::nullopt)
        texts = *match;
    return texts;
}

// One line: its samples `members` become plots.
void add_line(Batch& batch, const Places& places, const IdPattern* pattern,
              std::span<std::uint32_t> members) {
    const std::vector<Placed>& placed = places.placed;
    const auto line_index = static_cast<std::uint32_t>(batch.lines.size());
    const PlaceTexts line_texts = stable_texts(batch, pattern, placed[members[0]].sample);
    Line line;
    line.trial = line_texts[kTrial];
    line.name = line_texts[kLine];
    const auto place_of = [&](std::uint32_t i) {
        std::array<std::uint32_t, kPlotOrder.size()> key{};
        for (std::size_t k = 0; k < key.size(); ++k)
            key[k] = placed[i].id[kPlotOrder[k]];
        return key;
    };
    // Members come in sample order, which a stable sort keeps within one place.
    if (members.size() > 1)
        std::ranges::stable_sort(members, {}, place_of);
    for (std::size_t m = 0; m < members.size(); ++m) {
        const std::uint32_t sample = placed[members[m]].sample;
        const bool named = batch.has_plots && !places.pools[kPlot][placed[members[m]].id[kPlot]].empty();
        if (!named || m == 0 || place_of(members[m]) != place_of(members[m - 1])) {
            const PlaceTexts texts = stable_texts(batch, pattern, sample);
            Plot plot;
            plot.line = line_index;
            plot.trial = texts[kTrial];
            plot.environment = texts[static_cast<std::size_t>(PlaceField::environment)];
            plot.rep = texts[static_cast<std::size_t>(PlaceField::rep)];
            plot.block = texts[static_cast<std::size_t>(PlaceField::block)];
            plot.plot = texts[kPlot];
            batch.line_plots.push_back(static_cast<std::uint32_t>(batch.plots.size()));
            batch.plots.push_back(plot);
            if (batch.list.given())
                ++line.listed_plots;
        }
        batch.samples[sample].line = line_index;
        batch.samples[sample].plot = static_cast<std::uint32_t>(batch.plots.size() - 1);
        line.check =
            line.check || (batch.list.given() && batch.list.entries[batch.samples[sample].entry].is_check);
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

    const Places places = find_places(batch, pattern);
    std::vector<std::uint32_t> order(places.placed.size());
    std::iota(order.begin(), order.end(), 0U);
    sort_by(places, kLine, order);
    sort_by(places, kTrial, order);
    const auto same_line = [&](std::uint32_t i, std::uint32_t j) {
        return places.placed[i].id[kLine] == places.placed[j].id[kLine] &&
               places.placed[i].id[kTrial] == places.placed[j].id[kTrial];
    };
    for (std::size_t begin = 0; begin < order.size();) {
        std::size_t end = begin + 1;
        while (end < order.size() && same_line(order[begin], order[end]))
            ++end;
        add_line(batch, places, pattern, std::span(order).subspan(begin, end - begin));
        begin = end;
    }
    for (std::uint32_t s = 0; s < batch.samples.size(); ++s)
        if (batch.samples[s].original != kNone) {
            const Sample& original = batch.samples[root_of(batch, s)];
            batch.samples[s].line = original.line;
            batch.samples[s].plot = original.plot;
        }
    set_spans(batch);
}

} // namespace thresh::batch
