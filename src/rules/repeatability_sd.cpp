// The season's own SD is estimated robustly, by the median of the ranges of re-read samples over the median
// range of normals: a few bad repeats, which it is meant to find, must not widen it.
#include "rules/repeatability_sd.hpp"

#include "rules/limits.hpp"

#include <algorithm>
#include <cmath>
#include <thresh/stats/repeatability.hpp>
#include <thresh/stats/summary.hpp>

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

std::vector<RepeatGroup> repeat_groups(const Evidence& evidence, std::uint32_t first, std::uint32_t last) {
    const batch::Batch& batch = evidence.batch;
    std::vector<RepeatGroup> groups;
    for (std::uint32_t sample = first; sample < last; ++sample) {
        const auto rows = batch.rows_of(sample);
        if (rows.size() < 2)
            continue;
        std::map<std::pair<std::uint32_t, std::uint8_t>, std::vector<RowId>> by_session;
        for (const RowId row : rows)
            if (evidence.so_far.verdict[row] <= Verdict::review && batch.session[row] != kNone &&
                batch.material[row] != batch::kNoMaterial)
                by_session[{batch.session[row], batch.material[row]}].push_back(row);
        for (auto& [key, together] : by_session)
            if (together.size() >= 2)
                groups.push_back({sample, key.first, key.second, std::move(together)});
    }
    return groups;
}

std::map<SdKey, RepeatabilitySd> repeatability_in_force(const Evidence& evidence) {
    // Each re-read sample gives one estimate: its range over the expected range of so many normals.
    std::map<SdKey, std::vector<double>> estimates;
    const auto samples = static_cast<std::uint32_t>(evidence.batch.samples.size());
    std::vector<double> values;
    std::map<std::size_t, double> expected_range;
    for (const RepeatGroup& group : repeat_groups(evidence, 0, samples)) {
        const Material* material = evidence.rules.material(group.material);
        if (material == nullptr)
            continue;
        for (const ConstituentId id : material->key) {
            values.clear();
            for (const RowId row : group.rows)
                if (const auto value = comparable(evidence, row, id))
                    values.push_back(*value);
            if (values.size() < 2)
                continue;
            const auto [low, high] = std::minmax_element(values.begin(), values.end());
            auto [at, fresh] = expected_range.try_emplace(values.size(), 0);
            if (fresh)
                at->second = stats::critical_range_factor(static_cast<int>(values.size()), 0.5);
            estimates[{group.material, id}].push_back((*high - *low) / at->second);
        }
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
