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

constexpr std::uint32_t kSamplesAPiece = 8192;

// Splits a sample's usable readings by session and material; most samples have one of each. `places` gets the
// places of the groups' rows, group by group, beginning with the first group added here.
void add_groups(const Evidence& evidence, const KeyValues& keys, std::uint32_t sample,
                std::vector<std::size_t>& places, RepeatPiece& into) {
    const batch::Batch& batch = evidence.batch;
    places.clear();
    const auto session = [&](std::size_t place) { return batch.session[batch.sample_rows[place]]; };
    if (batch.sample_begin[sample + 1] - batch.sample_begin[sample] < 2)
        return;
    for (std::size_t place = batch.sample_begin[sample]; place < batch.sample_begin[sample + 1]; ++place)
        if (keys.material(place) != batch::kNoMaterial && session(place) != kNone)
            places.push_back(place);
    if (places.size() < 2)
        return;
    const auto key = [&](std::size_t place) { return std::pair(session(place), keys.material(place)); };
    std::stable_sort(places.begin(), places.end(),
                     [&](std::size_t a, std::size_t b) { return key(a) < key(b); });
    std::size_t kept = 0;
    for (std::size_t first = 0, last = 0; first < places.size(); first = last) {
        while (last < places.size() && key(places[last]) == key(places[first]))
            ++last;
        if (last - first < 2)
            continue;
        const auto at = static_cast<std::uint32_t>(into.rows.size());
        for (std::size_t i = first; i < last; ++i) {
            into.rows.push_back(batch.sample_rows[places[i]]);
            places[kept++] = places[i];
        }
        into.groups.push_back({sample, session(places[kept - 1]), keys.material(places[kept - 1]), at,
                               static_cast<std::uint32_t>(into.rows.size())});
    }
}

// `place`: of the group's first row, the others behind it.
void add_spreads(const Evidence& evidence, const KeyValues& keys, std::uint32_t group,
                 const std::size_t* place, RepeatPiece& into) {
    const RepeatGroup& of = into.groups[group];
    const Material* material = evidence.rules.material(of.material);
    into.n.resize(into.place(group + 1, 0), 0);
    into.range.resize(into.place(group + 1, 0), 0);
    for (std::size_t k = 0; material != nullptr && k < material->key.size(); ++k) {
        double low = 0, high = 0;
        std::uint32_t n = 0;
        for (std::uint32_t i = 0; i < of.last - of.first; ++i) {
            const double value = keys.of(place[i])[k];
            if (std::isnan(value))
                continue;
            low = n == 0 ? value : std::min(low, value);
            high = n == 0 ? value : std::max(high, value);
            ++n;
        }
        into.n[into.place(group, k)] = n;
        into.range[into.place(group, k)] = high - low;
    }
}

RepeatGroups repeat_groups(const Evidence& evidence, const KeyValues& keys) {
    const auto samples = static_cast<std::uint32_t>(evidence.batch.samples.size());
    RepeatGroups pieces((samples + kSamplesAPiece - 1) / kSamplesAPiece);
    parallel_for(pieces.size(), evidence.rules.batch.threads, [&](std::size_t piece) {
        std::vector<std::size_t> places;
        RepeatPiece& into = pieces[piece];
        into.width = keys.width();
        const auto first = static_cast<std::uint32_t>(piece * kSamplesAPiece);
        for (std::uint32_t sample = first; sample < std::min(samples, first + kSamplesAPiece); ++sample) {
            const auto before = static_cast<std::uint32_t>(into.groups.size());
            add_groups(evidence, keys, sample, places, into);
            const std::size_t* place = places.data();
            for (std::uint32_t g = before; g < into.groups.size(); ++g) {
                add_spreads(evidence, keys, g, place, into);
                place += into.groups[g].last - into.groups[g].first;
            }
        }
    });
    return pieces;
}

// Each re-read sample gives one estimate: its range over the median range of so many normals.
std::vector<double> estimates(const RepeatGroups& groups, std::uint8_t material, std::size_t key) {
    std::vector<double> found, median_range; // the latter by number of values; 0: not known yet
    for (const RepeatPiece& piece : groups)
        for (std::size_t g = 0; g < piece.groups.size(); ++g) {
            const std::uint32_t n = piece.n[piece.place(g, key)];
            if (piece.groups[g].material != material || n < 2)
                continue;
            if (median_range.size() <= n)
                median_range.resize(n + 1, 0);
            if (!(median_range[n] > 0))
                median_range[n] = stats::critical_range_factor(static_cast<int>(n), 0.5);
            found.push_back(piece.range[piece.place(g, key)] / median_range[n]);
        }
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
        const std::vector<double> own = estimates(groups, m, place[k]);
        if (!own.empty() && static_cast<int>(own.size()) >= evidence.rules.tests.repeats_own_sd)
            known[k] = {*stats::median(own), own.size()};
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

RepeatEvidence::RepeatEvidence(const Evidence& evidence)
    : groups(repeat_groups(evidence, *evidence.key_values)),
      in_force(repeatability_in_force(evidence, groups)) {}

} // namespace thresh::rules
