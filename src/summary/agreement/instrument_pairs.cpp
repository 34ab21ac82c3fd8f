// Samples that two instruments read, paired by the mean of each instrument's usable readings in a material.
// Both sides carry error, so the slope is that of predicting one instrument from the other, not a structural
// relation.
#include <thresh/summary/agreement.hpp>

#include "summary/cells.hpp"
#include "summary/material_order.hpp"
#include "summary/workspace.hpp"

#include <array>
#include <cmath>
#include <fmt/format.h>
#include <map>
#include <tuple>

namespace thresh::summary {

namespace {

// Usable readings of one sample on one instrument, by slot.
using Readings = std::vector<std::vector<double>>;
// material, then sample, then instrument
using ByInstrument = std::map<TextId, Readings>;

double mean_of(const std::vector<double>& values) {
    double sum = 0;
    for (const double value : values)
        sum += value;
    return sum / static_cast<double>(values.size());
}

ByInstrument by_instrument(const SampleMeans& means, SampleMeans::Group group, Workspace& workspace) {
    const Season& season = means.season();
    ByInstrument found;
    for (const RowId row : season.batch.rows_of(group.sample)) {
        const Block& block = season.batch.block_of(row);
        const TextId instrument = block.text_of(TextField::instrument, row - block.first);
        if (season.batch.material[row] != group.material || season.judgement.verdict[row] > Verdict::review ||
            instrument == kNoText)
            continue;
        means.values().usable(row, workspace.scratch, workspace.values.data());
        Readings& readings = found[instrument];
        readings.resize(workspace.values.size());
        for (std::size_t slot = 0; slot < workspace.values.size(); ++slot)
            if (!std::isnan(workspace.values[slot]))
                readings[slot].push_back(workspace.values[slot]);
    }
    return found;
}

struct Gathered {
    std::array<std::vector<double>, 2> mean; // of samples
    std::array<std::vector<double>, 2> values;
    std::array<std::vector<int>, 2> group;
};

// material rank, slot, instrument, other
using Key = std::tuple<std::string, std::size_t, TextId, TextId>;

void add_pairs(const ByInstrument& readings, const std::string& material, std::map<Key, Gathered>& into) {
    for (auto a = readings.begin(); a != readings.end(); ++a)
        for (auto b = std::next(a); b != readings.end(); ++b)
            for (std::size_t slot = 0; slot < a->second.size(); ++slot) {
                if (a->second[slot].empty() || b->second[slot].empty())
                    continue;
                Gathered& gathered = into[{material, slot, a->first, b->first}];
                std::size_t side = 0;
                for (const auto* values : {&a->second[slot], &b->second[slot]}) {
                    const int group = static_cast<int>(gathered.mean[side].size());
                    gathered.mean[side].push_back(mean_of(*values));
                    for (const double value : *values) {
                        gathered.values[side].push_back(value);
                        gathered.group[side].push_back(group);
                    }
                    ++side;
                }
            }
}

std::string verdict_of(const InstrumentPair& pair) {
    if (!pair.result)
        return pair.why_not;
    const stats::Agreement& a = *pair.result;
    if (a.advice == stats::Advice::too_few)
        return fmt::format("{} samples: numbers without a verdict; read 10 or better 20 on both", a.n);
    std::string text = a.caution ? fmt::format("with caution, {} samples: ", a.n) : "";
    if (a.slope_significant)
        text += "the difference changes with the level: check both against wet chemistry before correcting "
                "either";
    else if (a.bias_significant)
        text += fmt::format("{} reads {} by {:.3f}: find out which one agrees with wet chemistry",
                            pair.instrument, a.bias > 0 ? "higher" : "lower", std::fabs(a.bias));
    else
        text += "no difference beyond chance";
    return text;
}

} // namespace

Result<std::vector<InstrumentPair>> compare_instruments(const SampleMeans& means, double alpha) {
    const Season& season = means.season();
    const auto workspace = means.workspace();
    std::map<Key, Gathered> found;
    for (const SampleMeans::Group group : means.list_groups())
        add_pairs(by_instrument(means, group, *workspace),
                  std::string(material_name(season.batch, group.material)), found);
    if (found.empty())
        return fail("no sample has usable readings from two instruments",
                    "read some twenty samples that span the range on each of them");
    const TextPool& names = season.batch.readings.pool(TextField::instrument);
    std::vector<InstrumentPair> pairs;
    for (auto& [key, gathered] : found) {
        const auto& [material, slot, instrument, other] = key;
        InstrumentPair pair;
        pair.material = material;
        pair.constituent = means.constituents()[slot];
        const auto& known = season.batch.material_names;
        const auto at = std::find(known.begin(), known.end(), material);
        pair.basis = means.basis_of(slot, at == known.end() ? batch::kNoMaterial
                                                            : static_cast<std::uint8_t>(at - known.begin()));
        pair.instrument = names[instrument];
        pair.other = names[other];
        pair.n = gathered.mean[0].size();
        stats::AgreementOptions how;
        how.alpha = alpha;
        auto result = stats::agreement(gathered.mean[0], gathered.mean[1], how);
        if (result)
            pair.result = std::move(*result);
        else
            pair.why_not =
                fmt::format("{} sample{} on both: at least 3 are needed", pair.n, pair.n == 1 ? "" : "s");
        pair.repeatability = stats::repeatability_from_groups(gathered.values[0], gathered.group[0]);
        pair.other_repeatability = stats::repeatability_from_groups(gathered.values[1], gathered.group[1]);
        pairs.push_back(std::move(pair));
    }
    return pairs;
}

std::unique_ptr<Table> instruments_table(const Season& season, const std::vector<InstrumentPair>& pairs) {
    auto table = std::make_unique<StoredTable>("instruments", all_columns("instruments"));
    for (const InstrumentPair& pair : pairs) {
        const ConstituentInfo& about = season.rules.constituents[pair.constituent];
        std::vector<Value> row = {cell(pair.material), cell(pair.instrument), cell(pair.other),
                                  cell(about.name),    cell(pair.basis),      count(pair.n)};
        if (pair.result) {
            const stats::Agreement& a = *pair.result;
            for (const double value : {a.nir_mean, a.reference_mean, a.bias, a.bias - a.bias_limit,
                                       a.bias + a.bias_limit, a.bias_p, a.sep})
                row.push_back(cell(value));
            row.push_back(a.line ? cell(a.line->slope) : Value{});
            row.push_back(a.line ? cell(a.slope_p) : Value{});
            row.push_back(a.line ? cell(a.line->intercept) : Value{});
            row.push_back(a.line ? cell(a.line->r2) : Value{});
        } else {
            row.resize(row.size() + 11);
        }
        for (const auto& repeatability : {pair.repeatability, pair.other_repeatability})
            row.push_back(repeatability ? cell(repeatability->sd) : Value{});
        row.push_back(cell(verdict_of(pair)));
        table->add(std::move(row));
    }
    return table;
}

} // namespace thresh::summary
