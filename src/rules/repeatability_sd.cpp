// The season's own SD is estimated robustly, by the median of the ranges of re-read samples over the median
// range of normals: a few bad repeats, which it is meant to find, must not widen it.
#include "rules/repeatability_sd.hpp"

#include "rules/limits.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
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

std::optional<double> comparable(const Evidence& evidence, RowId row, ConstituentId constituent) {
    const Block& block = evidence.batch.block_of(row);
    const auto column = block.table->find(constituent);
    if (!column || evidence.so_far.mark(row, constituent) == Mark::exclude)
        return std::nullopt;
    const std::size_t at = evidence.batch.in_block(row);
    const auto raw = basis::raw_value(block, at, *column);
    const Column& about = block.table->numbers[*column];
    if (!raw || about.part_of != PartOf::sample || constituent == constituent::moisture)
        return raw;
    return basis::restate(*raw, about.basis, Basis::dry(), basis::moisture_of(block, at));
}

namespace {

constexpr std::uint32_t kSamplesAPiece = 8192;

// Splits a sample's usable readings by session and material; most samples have one of each.
void add_groups(const Evidence& evidence, std::uint32_t sample, std::vector<RowId>& usable,
                RepeatGroups& into) {
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
        if (last - first >= 2)
            into.groups.push_back({sample, batch.session[usable[first]], batch.material[usable[first]],
                                   std::vector<RowId>(usable.begin() + static_cast<std::ptrdiff_t>(first),
                                                      usable.begin() + static_cast<std::ptrdiff_t>(last))});
    }
}

void add_spreads(const Evidence& evidence, std::uint32_t group, RepeatGroups& into) {
    const Material* material = evidence.rules.material(into.groups[group].material);
    if (material == nullptr)
        return;
    for (const ConstituentId id : material->key) {
        double low = 0, high = 0;
        std::uint32_t n = 0;
        for (const RowId row : into.groups[group].rows) {
            const auto value = comparable(evidence, row, id);
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
    std::vector<RepeatGroups> pieces((samples + kSamplesAPiece - 1) / kSamplesAPiece);
    parallel_for(pieces.size(), evidence.rules.batch.threads, [&](std::size_t piece) {
        std::vector<RowId> usable;
        const auto first = static_cast<std::uint32_t>(piece * kSamplesAPiece);
        for (std::uint32_t sample = first; sample < std::min(samples, first + kSamplesAPiece); ++sample) {
            auto next = static_cast<std::uint32_t>(pieces[piece].groups.size());
            add_groups(evidence, sample, usable, pieces[piece]);
            for (; next < pieces[piece].groups.size(); ++next)
                add_spreads(evidence, next, pieces[piece]);
        }
    });
    RepeatGroups all;
    for (RepeatGroups& piece : pieces) {
        const auto shift = static_cast<std::uint32_t>(all.groups.size());
        for (RepeatSpread spread : piece.spreads) {
            spread.group += shift;
            all.spreads.push_back(spread);
        }
        std::move(piece.groups.begin(), piece.groups.end(), std::back_inserter(all.groups));
    }
    return all;
}

std::map<SdKey, RepeatabilitySd> repeatability_in_force(const Evidence& evidence,
                                                        const RepeatGroups& groups) {
    // Each re-read sample gives one estimate: its range over the median range of so many normals.
    std::map<SdKey, std::vector<double>> estimates;
    std::map<std::uint32_t, double> median_range;
    for (const RepeatSpread& spread : groups.spreads) {
        auto [at, fresh] = median_range.try_emplace(spread.n, 0);
        if (fresh)
            at->second = stats::critical_range_factor(static_cast<int>(spread.n), 0.5);
        estimates[{groups.groups[spread.group].material, spread.constituent}].push_back(spread.range /
                                                                                        at->second);
    }
    std::map<SdKey, RepeatabilitySd> in_force;
    for (std::uint8_t m = 0; m < evidence.rules.batch.material_names.size(); ++m) {
        const Material* material = evidence.rules.material(m);
        if (material == nullptr)
            continue;
        for (const ConstituentId id : material->key) {
            const auto given = material->repeatability_sd.find(id);
            const auto own = estimates.find({m, id});
            const bool enough = own != estimates.end() &&
                                static_cast<int>(own->second.size()) >= evidence.rules.tests.repeats_own_sd;
            if (given != material->repeatability_sd.end() &&
                (!enough || from_rules_file(evidence, *material, id)))
                in_force[{m, id}] = {given->second, 0};
            else if (enough)
                in_force[{m, id}] = {*stats::median(own->second), own->second.size()};
        }
    }
    return in_force;
}

} // namespace thresh::rules
