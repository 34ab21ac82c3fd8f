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

namespace {

bool from_rules_file(const Evidence& evidence, const Material& material, ConstituentId id) {
    const auto at = evidence.rules.origins.find(
        fmt::format("materials.{}.repeatability_sd.{}", material.name, evidence.rules.constituents[id].name));
    return at != evidence.rules.origins.end() && at->second.where != "built-in";
}

} // namespace

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
constexpr std::uint32_t kSamplesAhead = 8;

// Splits a sample's usable readings by session and material; most samples have one of each.
void add_groups(const Evidence& evidence, std::uint32_t sample, std::vector<RowId>& usable,
                RepeatPiece& into) {
    const batch::Batch& batch = evidence.batch;
    const auto rows = batch.rows_of(sample);
    if (rows.size() < 2)
        return;
    usable.clear();
    for (const RowId row : rows)
        if (evidence.so_far.verdict[row] <= Verdict::review && batch.session[row] != kNone &&
            batch.material[row] != batch::kNoMaterial)
            usable.push_back(row);
    const auto key = [&](RowId row) { return std::tuple(batch.session[row], batch.material[row], row); };
    std::sort(usable.begin(), usable.end(), [&](RowId a, RowId b) { return key(a) < key(b); });
    for (std::size_t first = 0, last = 0; first < usable.size(); first = last) {
        while (last < usable.size() && batch.session[usable[last]] == batch.session[usable[first]] &&
               batch.material[usable[last]] == batch.material[usable[first]])
            ++last;
        if (last - first < 2)
            continue;
        const auto at = static_cast<std::uint32_t>(into.rows.size());
        into.rows.insert(into.rows.end(), usable.begin() + static_cast<std::ptrdiff_t>(first),
                         usable.begin() + static_cast<std::ptrdiff_t>(last));
        into.groups.push_back({sample, batch.session[usable[first]], batch.material[usable[first]], at,
                               static_cast<std::uint32_t>(into.rows.size())});
    }
}

// The ways to the values of a material's key constituents; groups nearly always share their material.
struct KeyValues {
    std::uint8_t material = batch::kNoMaterial;
    std::vector<std::pair<ConstituentId, ComparableValues>> values;

    void set(const Evidence& evidence, std::uint8_t wanted) {
        if (wanted == material)
            return;
        material = wanted;
        values.clear();
        if (const Material* about = evidence.rules.material(wanted))
            for (const ConstituentId id : about->key)
                values.emplace_back(id, ComparableValues(evidence, id));
    }
};

void add_spreads(std::uint32_t group, KeyValues& keys, RepeatPiece& into) {
    for (auto& [id, comparable] : keys.values) {
        double low = 0, high = 0;
        std::uint32_t n = 0;
        for (const RowId row : into.rows_of(into.groups[group])) {
            const auto value = comparable(row);
            if (!value)
                continue;
            low = n == 0 ? *value : std::min(low, *value);
            high = n == 0 ? *value : std::max(high, *value);
            ++n;
        }
        if (n >= 2)
            into.spreads.push_back({group, id, n, high - low});
    }
}

} // namespace

RepeatGroups repeat_groups(const Evidence& evidence) {
    const auto samples = static_cast<std::uint32_t>(evidence.batch.samples.size());
    RepeatGroups pieces((samples + kSamplesAPiece - 1) / kSamplesAPiece);
    parallel_for(pieces.size(), evidence.rules.batch.threads, [&](std::size_t piece) {
        std::vector<RowId> usable;
        KeyValues keys;
        const auto first = static_cast<std::uint32_t>(piece * kSamplesAPiece);
        for (std::uint32_t sample = first; sample < std::min(samples, first + kSamplesAPiece); ++sample) {
            if (sample + kSamplesAhead < samples)
                for (const RowId row : evidence.batch.rows_of(sample + kSamplesAhead))
                    for (const auto& [id, comparable] : keys.values)
                        comparable.prefetch(row);
            auto next = static_cast<std::uint32_t>(pieces[piece].groups.size());
            add_groups(evidence, sample, usable, pieces[piece]);
            for (; next < pieces[piece].groups.size(); ++next) {
                keys.set(evidence, pieces[piece].groups[next].material);
                add_spreads(next, keys, pieces[piece]);
            }
        }
    });
    return pieces;
}

namespace {

// Each re-read sample gives one estimate: its range over the median range of so many normals.
std::vector<double> estimates(const RepeatGroups& groups, SdKey key) {
    std::vector<double> found;
    std::map<std::uint32_t, double> median_range;
    for (const RepeatPiece& piece : groups)
        for (const RepeatSpread& spread : piece.spreads) {
            if (spread.constituent != key.second || piece.groups[spread.group].material != key.first)
                continue;
            auto [at, fresh] = median_range.try_emplace(spread.n, 0);
            if (fresh)
                at->second = stats::critical_range_factor(static_cast<int>(spread.n), 0.5);
            found.push_back(spread.range / at->second);
        }
    return found;
}

} // namespace

std::map<SdKey, RepeatabilitySd> repeatability_in_force(const Evidence& evidence,
                                                        const RepeatGroups& groups) {
    std::vector<SdKey> keys;
    for (std::uint8_t m = 0; m < evidence.rules.batch.material_names.size(); ++m)
        if (const Material* material = evidence.rules.material(m))
            for (const ConstituentId id : material->key)
                keys.emplace_back(m, id);
    std::vector<std::optional<RepeatabilitySd>> known(keys.size());
    parallel_for(keys.size(), evidence.rules.batch.threads, [&](std::size_t k) {
        const auto [m, id] = keys[k];
        const Material& material = *evidence.rules.material(m);
        const auto given = material.repeatability_sd.find(id);
        const bool is_given = given != material.repeatability_sd.end();
        if (is_given && from_rules_file(evidence, material, id)) {
            known[k] = {given->second, 0};
            return;
        }
        const std::vector<double> own = estimates(groups, keys[k]);
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

} // namespace thresh::rules
