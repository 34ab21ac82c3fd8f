// The season's own SD is estimated robustly, by the median of the ranges of re-read samples over the median
// range of normals: a few bad repeats, which it is meant to find, must not widen it.
#include "rules/repeatability_sd.hpp"

#include "rules/limits.hpp"

#include <algorithm>
#include <cmath>
#include <thresh/core/parallel.hpp>
#include <thresh/stats/repeatability.hpp>
#include <thresh/stats/summary.hpp>
#include <tuple>

namespace thresh::rules {

void ComparableValues::look_up(const TableColumns& table) {
    table_ = &table;
    column_ = table.find(constituent_);
    moisture_ = table.find(constituent::moisture);
    as_read_ = constituent_ == constituent::moisture ||
               (column_ && table.numbers[*column_].part_of != PartOf::sample);
}

std::optional<double> ComparableValues::value(const Block& block, std::size_t row) const {
    const auto raw = basis::raw_value(block, row, *column_);
    if (!raw || as_read_)
        return raw;
    return basis::restate(*raw, table_->numbers[*column_].basis, Basis::dry(),
                          moisture_ ? basis::raw_value(block, row, *moisture_) : std::nullopt);
}

namespace {

// The places of a sample's usable readings that belong to a session.
void usable_places(const Evidence& evidence, std::uint32_t sample, std::vector<std::size_t>& places) {
    const batch::Batch& batch = evidence.batch;
    places.clear();
    if (batch.sample_begin[sample + 1] - batch.sample_begin[sample] < 2)
        return;
    for (std::size_t place = batch.sample_begin[sample]; place < batch.sample_begin[sample + 1]; ++place)
        if (evidence.key_values->material(place) != batch::kNoMaterial &&
            batch.session[batch.sample_rows[place]] != kNone)
            places.push_back(place);
}

// `places`: of the group that was added last.
void add_spreads(const Evidence& evidence, std::span<const std::size_t> places, RepeatPiece& into) {
    const Material* material = evidence.rules.material(into.groups.back().material);
    for (std::size_t k = 0; k < into.width; ++k) {
        double low = 0, high = 0;
        std::uint32_t n = 0;
        for (const std::size_t place : places) {
            if (material == nullptr || k >= material->key.size())
                break;
            const double value = evidence.key_values->of(place)[k];
            if (std::isnan(value))
                continue;
            low = n == 0 ? value : std::min(low, value);
            high = n == 0 ? value : std::max(high, value);
            ++n;
        }
        into.add_spread(n, high - low);
    }
}

// Splits a sample's usable readings by session and material; most samples have one of each. `places` is room
// to work in.
void add_groups(const Evidence& evidence, std::uint32_t sample, std::vector<std::size_t>& places,
                RepeatPiece& into) {
    const batch::Batch& batch = evidence.batch;
    usable_places(evidence, sample, places);
    if (places.size() < 2)
        return;
    const auto key = [&](std::size_t place) {
        return std::pair(batch.session[batch.sample_rows[place]], evidence.key_values->material(place));
    };
    std::stable_sort(places.begin(), places.end(),
                     [&](std::size_t a, std::size_t b) { return key(a) < key(b); });
    for (std::size_t first = 0, last = 0; first < places.size(); first = last) {
        while (last < places.size() && key(places[last]) == key(places[first]))
            ++last;
        if (last - first < 2)
            continue;
        into.groups.push_back({static_cast<std::uint16_t>(sample - into.first_sample),
                               evidence.key_values->material(places[first]),
                               batch.sample_rows[places[first]]});
        add_spreads(evidence, std::span(places).subspan(first, last - first), into);
    }
}

RepeatGroups repeat_groups(const Evidence& evidence) {
    const auto samples = static_cast<std::uint32_t>(evidence.batch.samples.size());
    RepeatGroups pieces((samples + RepeatPiece::kSamples - 1) / RepeatPiece::kSamples);
    parallel_for(pieces.size(), evidence.rules.batch.threads, [&](std::size_t piece) {
        std::vector<std::size_t> places;
        RepeatPiece& into = pieces[piece];
        into.width = evidence.key_values->width();
        into.first_sample = static_cast<std::uint32_t>(piece * RepeatPiece::kSamples);
        const std::uint32_t last = std::min(samples, into.first_sample + RepeatPiece::kSamples);
        const batch::Batch& batch = evidence.batch;
        for (std::uint32_t sample = into.first_sample; sample < last; ++sample) {
            // A sample's readings lie far apart in the season: their sessions are asked for ahead.
            constexpr std::size_t kAhead = 24;
            for (std::size_t place = batch.sample_begin[sample] + kAhead;
                 place <
                 std::min<std::size_t>(batch.sample_begin[last], batch.sample_begin[sample + 1] + kAhead);
                 ++place)
                __builtin_prefetch(&batch.session[batch.sample_rows[place]]);
            add_groups(evidence, sample, places, into);
        }
        into.finish();
    });
    return pieces;
}

// Each re-read sample gives one estimate: its range over the median range of so many normals.
std::vector<double> estimates(const RepeatGroups& groups, std::uint8_t material, std::size_t key) {
    // Calls visit(range, number of values).
    const auto for_each_range = [&](const auto& visit) {
        for (const RepeatPiece& piece : groups)
            for (std::size_t g = 0; g < piece.groups.size(); ++g)
                if (const std::uint32_t n = piece.n(g, key); piece.groups[g].material == material && n >= 2)
                    visit(piece.range(g, key), n);
    };
    std::size_t count = 0; // they are too many to let the array grow
    for_each_range([&](double, std::uint32_t) { ++count; });
    std::vector<double> found, median_range; // the latter by number of values; 0: not known yet
    found.reserve(count);
    for_each_range([&](double range, std::uint32_t n) {
        if (median_range.size() <= n)
            median_range.resize(n + 1, 0);
        if (!(median_range[n] > 0))
            median_range[n] = stats::critical_range_factor(static_cast<int>(n), 0.5);
        found.push_back(range / median_range[n]);
    });
    return found;
}

std::map<SdKey, RepeatabilitySd> repeatability_in_force(const Evidence& evidence,
                                                        const RepeatGroups& groups) {
    std::vector<SdKey> keys;
    std::vector<std::size_t> place; // among the key constituents
    for (std::uint8_t m = 0; m < evidence.rules.batch.material_names.size(); ++m)
        if (const Material* material = evidence.rules.material(m))
            for (std::size_t k = 0; k < material->key.size(); ++k) {
                keys.emplace_back(m, material->key[k]);
                place.push_back(k);
            }
    std::vector<std::optional<RepeatabilitySd>> known(keys.size());
    parallel_for(keys.size(), evidence.rules.batch.threads, [&](std::size_t k) {
        const auto [m, id] = keys[k];
        const Material& material = *evidence.rules.material(m);
        const auto given = material.repeatability_sd.find(id);
        const bool is_given = given != material.repeatability_sd.end();
        if (is_given && material.repeatability_sd_given.contains(id)) {
            known[k] = {given->second, 0};
            return;
        }
        std::vector<double> own = estimates(groups, m, place[k]);
        if (!own.empty() && static_cast<int>(own.size()) >= evidence.rules.tests.repeats_own_sd)
            known[k] = {*stats::median_in_place(own), own.size()};
        else if (is_given)
            known[k] = {given->second, 0};
    });
    std::map<SdKey, RepeatabilitySd> in_force;
    for (std::size_t k = 0; k < keys.size(); ++k)
        if (known[k])
            in_force[keys[k]] = *known[k];
    return in_force;
}

} // namespace

void RepeatPiece::add_spread(std::uint32_t n, double range) {
    if (n >= kMany)
        many_[n_.size()] = n;
    n_.push_back(static_cast<std::uint16_t>(std::min<std::uint32_t>(n, kMany)));
    range_.push_back(range);
}

void RepeatPiece::finish() {
    groups.shrink_to_fit();
    n_.shrink_to_fit();
    range_.shrink_to_fit();
}

std::vector<RowId> repeated_rows(const Evidence& evidence, std::uint32_t sample, const RepeatGroup& group) {
    const batch::Batch& batch = evidence.batch;
    std::vector<std::size_t> places;
    usable_places(evidence, sample, places);
    std::vector<RowId> rows;
    for (const std::size_t place : places)
        if (const RowId row = batch.sample_rows[place];
            evidence.key_values->material(place) == group.material &&
            batch.session[row] == batch.session[group.first])
            rows.push_back(row);
    return rows;
}

RepeatEvidence::RepeatEvidence(const Evidence& evidence)
    : groups(repeat_groups(evidence)), in_force(repeatability_in_force(evidence, groups)) {}

} // namespace thresh::rules
