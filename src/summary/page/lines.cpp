// The same numbers as `lines`, by material and trial, ranked by the first key constituent of the material
// that has numbers: by the trial's model where there is one, else by the means. For a line without any, the
// findings that took its readings are gathered in words.
#include "summary/page/parts.hpp"

#include "summary/line_flags.hpp"
#include "summary/material_order.hpp"

#include <thresh/summary/trials.hpp>

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <numeric>

namespace thresh::summary {

namespace {

constexpr std::size_t kMostColumns = 10;

std::string trial_of(const LineGroup& group) {
    return group.key.size() > 1 ? group.key.front() : std::string();
}

// Which slots have a number in a group so far. Only the first of them become columns, so that nothing behind
// the last of those need be kept.
class SeenSlots {
  public:
    explicit SeenSlots(std::size_t slots) : seen_(slots, false), kept_(slots) {}
    void add(const std::vector<double>& means) {
        for (std::size_t slot = 0; slot < seen_.size(); ++slot)
            if (!seen_[slot] && !std::isnan(means[slot])) {
                seen_[slot] = true;
                find_kept();
            }
    }
    bool seen(std::size_t slot) const { return seen_[slot]; }
    std::size_t kept() const { return kept_; } // slots from the first on

  private:
    void find_kept() {
        std::size_t n = 0;
        for (std::size_t slot = 0; slot < seen_.size(); ++slot)
            if (seen_[slot] && ++n == kMostColumns)
                kept_ = slot + 1;
    }
    std::vector<bool> seen_;
    std::size_t kept_;
};

// A line with a cell for each of the first `kept` slots.
page::Line line_of(const LineGroup& group, const LineNumbers& numbers, const FlagCounts& flags,
                   std::size_t kept) {
    page::Line made;
    made.name = group.key.back();
    made.check = group.check;
    made.provisional = numbers.provisional;
    made.plots = numbers.plots;
    made.samples = numbers.samples;
    made.readings = numbers.readings;
    made.used = numbers.used;
    made.review = numbers.review;
    made.status = numbers.plots_used == 0                      ? "none"
                  : numbers.plots_used >= group.expected_plots ? "complete"
                                                               : "partial";
    for (const std::uint32_t flagged : flags.flagged)
        made.flagged += flagged;
    made.cells.reserve(kept);
    for (std::size_t slot = 0; slot < kept; ++slot) {
        page::Cell cell;
        cell.mean = numbers.mean[slot];
        cell.se = numbers.provisional ? kNothing : numbers.se[slot];
        cell.n = numbers.provisional ? 0 : numbers.n[slot];
        cell.shown = numbers.provisional
                         ? Shown::provisional
                         : shown_mean(flags.low[slot], flags.high[slot], flags.flagged[slot], numbers.used);
        made.cells.push_back(cell);
    }
    return made;
}

// Keeps the columns that have a number, the first of them in the table.
void choose_columns(const SampleMeans& means, std::uint8_t material, const SeenSlots& seen,
                    page::LineGroup& group) {
    std::vector<std::size_t> kept;
    for (std::size_t slot = 0; slot < means.constituents().size(); ++slot) {
        if (!seen.seen(slot))
            continue;
        if (kept.size() < kMostColumns)
            kept.push_back(slot);
        else
            group.more.push_back(page_quantity(means, slot, material).title);
    }
    for (const std::size_t slot : kept)
        group.columns.push_back(page_quantity(means, slot, material));
    for (page::Line& line : group.lines) {
        for (std::size_t c = 0; c < kept.size(); ++c)
            line.cells[c] = line.cells[kept[c]];
        line.cells.resize(kept.size());
    }
}

std::size_t rank_column(const Season& season, std::uint8_t material, const page::LineGroup& group) {
    const rules::Material* about = season.rules.material(material);
    if (about != nullptr)
        for (const ConstituentId id : about->key)
            for (std::size_t c = 0; c < group.columns.size(); ++c)
                if (id != constituent::moisture &&
                    group.columns[c].name == season.rules.constituents[id].name)
                    return c;
    for (std::size_t c = 0; c < group.columns.size(); ++c)
        if (group.columns[c].name != "moisture")
            return c;
    return group.columns.size();
}

// What the trial's model says of what the group is ranked by: its lines are rows `first` and on of `lines`.
void add_fit(const SampleMeans& means, const TrialModels& models, std::uint8_t material, std::size_t first,
             page::LineGroup& group) {
    if (group.ranked_by >= group.columns.size())
        return;
    const auto& ids = means.constituents();
    const auto id = means.season().rules.constituents.find(group.columns[group.ranked_by].name);
    const auto slot = static_cast<std::size_t>(std::find(ids.begin(), ids.end(), id) - ids.begin());
    const auto& traits = models.traits();
    const auto trait = std::find_if(traits.begin(), traits.end(), [&](const TrialTrait& other) {
        return other.material_index == material && other.trial == group.trial && other.slot == slot;
    });
    if (trait == traits.end())
        return;
    // An analysis may have adjusted means without predictions.
    if (std::none_of(trait->rank.begin(), trait->rank.end(), [](const auto& rank) { return bool(rank); })) {
        group.no_fit = trait->notes;
        return;
    }
    group.fit = {trait->analysis->model, trait->notes, models.options().model.alpha, trait->analysis->lsd,
                 trait->analysis->heritability.cullis};
    for (std::size_t i = 0; i < group.lines.size(); ++i) {
        const TrialModels::Place place = models.place(first + i, slot);
        if (place.trait == nullptr)
            continue;
        const auto code = static_cast<std::size_t>(place.line);
        const stats::LineResult& result = trait->analysis->lines[code];
        page::Line& line = group.lines[i];
        line.rank = static_cast<std::size_t>(trait->rank[code].value_or(0));
        line.adjusted = {result.blue.value_or(kNothing), result.blue_se.value_or(kNothing),
                         line.cells[group.ranked_by].n};
    }
}

// In the order that page::LineGroup states. By the fit where there is one, of equal predictions the highest
// adjusted mean first; else the highest mean first. Ties in the order of `lines`.
void rank(page::LineGroup& group) {
    const std::size_t by = group.ranked_by;
    const auto value = [&](const page::Line& line) {
        return by < line.cells.size() ? line.cells[by].mean : kNothing;
    };
    const auto place = [&](const page::Line& line) {
        if (std::isnan(value(line)))
            return line.used > 0 ? 1 : 3;
        if (line.provisional)
            return 2;
        return group.fit && line.rank == 0 ? 1 : 0;
    };
    const auto higher = [](double a, double b) { return !std::isnan(a) && (std::isnan(b) || a > b); };
    std::vector<std::uint32_t> order(group.lines.size());
    std::iota(order.begin(), order.end(), 0U);
    std::stable_sort(order.begin(), order.end(), [&](std::uint32_t first, std::uint32_t second) {
        const page::Line &a = group.lines[first], &b = group.lines[second];
        if (place(a) != place(b))
            return place(a) < place(b);
        // Where lines do not differ beyond chance, all predictions are one.
        if (group.fit && place(a) == 0)
            return a.rank != b.rank ? a.rank < b.rank : higher(a.adjusted.mean, b.adjusted.mean);
        return higher(value(a), value(b));
    });
    std::vector<page::Line> ranked;
    ranked.reserve(order.size());
    for (const std::uint32_t i : order)
        ranked.push_back(std::move(group.lines[i]));
    group.lines = std::move(ranked);
    if (group.fit)
        return;
    for (std::size_t i = 0; i < group.lines.size() && place(group.lines[i]) == 0; ++i) {
        const bool tie = i > 0 && value(group.lines[i]) == value(group.lines[i - 1]);
        group.lines[i].rank = tie ? group.lines[i - 1].rank : i + 1;
    }
}

// Packets of a line that were never read.
std::vector<std::string> listed_packets(const batch::Batch& batch, const LineGroup& group) {
    std::vector<std::string> packets;
    const auto key = std::pair(trial_of(group), group.key.back());
    const auto at = std::lower_bound(
        batch.lines.begin(), batch.lines.end(), key, [](const batch::Line& line, const auto& wanted) {
            return std::pair(line.trial, line.name) <
                   std::pair(std::string_view(wanted.first), std::string_view(wanted.second));
        });
    if (at == batch.lines.end() || at->trial != key.first || at->name != key.second)
        return packets;
    for (const std::uint32_t plot : at->plots)
        for (const std::uint32_t sample : batch.plots[plot].samples)
            if (batch.rows_of(sample).empty())
                packets.emplace_back(batch.samples[sample].id);
    return packets;
}

// What a line without a usable reading lacks.
std::string why_missing(const Season& season, const Reasons& reasons, const LineGroups& groups,
                        const LineGroup& group) {
    constexpr std::size_t kMostNames = 4;
    std::vector<std::string> unread = listed_packets(season.batch, group), elsewhere;
    for (std::uint32_t i = group.first; i < group.last; ++i) {
        const std::uint32_t sample = groups.members[i].sample;
        const auto rows = season.batch.rows_of(sample);
        const auto here = [&](RowId row) { return season.batch.material[row] == group.material_index; };
        if (!rows.empty() && std::none_of(rows.begin(), rows.end(), here))
            elsewhere.emplace_back(season.batch.samples[sample].id);
    }
    std::string why;
    if (!unread.empty())
        why = fmt::format("not read: {}", few_names(unread, kMostNames));
    if (!elsewhere.empty())
        why += fmt::format("{}read as another material: {}", why.empty() ? "" : "; ",
                           few_names(elsewhere, kMostNames));
    const std::string marked = reasons.words(groups, group, {.least = Severity::exclude, .values = false});
    if (!marked.empty())
        why += (why.empty() ? "" : "; ") + marked;
    return why.empty() ? "no packet of it is listed or read" : why;
}

} // namespace

std::string few_names(const std::vector<std::string>& names, std::size_t most) {
    std::string text;
    for (std::size_t i = 0; i < std::min(most, names.size()); ++i)
        text += (i > 0 ? ", " : "") + names[i];
    if (names.size() > most)
        text += fmt::format(" and {} more", names.size() - most);
    return text;
}

page::Quantity page_quantity(const Season& season, ConstituentId id, std::string basis) {
    const ConstituentInfo& info = season.rules.constituents[id];
    return {info.name, info.title, info.unit, std::move(basis), {}, info.decimals};
}

page::Quantity page_quantity(const SampleMeans& means, std::size_t slot, std::uint8_t material) {
    page::Quantity made =
        page_quantity(means.season(), means.constituents()[slot], means.basis_of(slot, material));
    made.part_of = part_text(means.part_of(slot));
    return made;
}

void add_page_lines(const Season& season, const SampleMeans& means, const LineGroups& groups,
                    const TrialModels* models, SeasonPage& page) {
    LineArithmetic arithmetic(means);
    const LineFlags line_flags(means, groups);
    FlagCounts flags;
    const Reasons reasons(season);
    SeenSlots seen(0);
    std::uint8_t material = 0; // of the last group
    std::size_t first = 0;     // row of its first line
    const auto finish = [&] {
        if (page.groups.empty())
            return;
        choose_columns(means, material, seen, page.groups.back());
        page.groups.back().ranked_by = rank_column(season, material, page.groups.back());
        if (models != nullptr)
            add_fit(means, *models, material, first, page.groups.back());
        rank(page.groups.back());
    };
    for (std::size_t g = 0; g < groups.groups.size(); ++g) {
        const LineGroup& group = groups.groups[g];
        const std::string trial = trial_of(group);
        if (page.groups.empty() || page.groups.back().material != group.material ||
            page.groups.back().trial != trial) {
            finish();
            page.groups.push_back({group.material, trial, {}, {}, 0, {}, season.batch.has_plots, {}});
            first = g;
            material = group.material_index;
            seen = SeenSlots(means.constituents().size());
        }
        const LineNumbers& numbers = arithmetic.compute(groups, group);
        seen.add(numbers.mean);
        line_flags.count(g, flags);
        page::Line line = line_of(group, numbers, flags, seen.kept());
        if (line.used == 0)
            page.missing.push_back({group.material, trial, line.name, line.check,
                                    why_missing(season, reasons, groups, group), line.provisional});
        page.groups.back().lines.push_back(std::move(line));
    }
    finish();
}

} // namespace thresh::summary
