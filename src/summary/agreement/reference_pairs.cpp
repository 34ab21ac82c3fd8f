// Results are gathered by material, oil type, constituent and original sample; the NIR side of a sample is
// the mean of its (and its duplicates') sample means, as in the table of samples. Repeatabilities come from
// all results and usable readings of one seed, so blind duplicates enter them.
#include <thresh/summary/agreement.hpp>

#include "summary/agreement/laboratory_checks.hpp"
#include "summary/line_groups.hpp"
#include "summary/material_order.hpp"
#include "summary/workspace.hpp"

#include <thresh/basis/convert.hpp>
#include <thresh/stats/summary.hpp>

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <set>
#include <tuple>

namespace thresh::summary {

namespace {

struct Key {
    std::string material, oil_type;
    std::size_t slot;
    auto operator<=>(const Key&) const = default;
};

// What both sides say of one seed.
struct Gathered {
    std::vector<double> nir, reference; // single readings and single results
    double nir_mean = 0;                // of sample means
    std::uint32_t nir_samples = 0;
};

struct Gathering {
    std::uint8_t material_index = 0;
    std::map<std::uint32_t, Gathered> seeds; // by original sample
    std::size_t refused = 0;
    std::set<std::string> reasons;
    std::vector<std::string> cells; // refused ones, in file order
    std::set<std::string> instruments;
    Time first, last;
    bool adjusted = false, computed = false;
    bool states_basis = false; // moisture beside as-is results
};

std::uint32_t original_of(const batch::Batch& batch, std::uint32_t sample) {
    while (batch.samples[sample].original != kNone)
        sample = batch.samples[sample].original;
    return sample;
}

class Collector {
  public:
    explicit Collector(const SampleMeans& means)
        : means_(means), season_(means.season()), workspace_(means.workspace()) {
        const batch::Batch& batch = season_.batch;
        for (std::uint32_t i = 0; i < batch.samples.size(); ++i)
            by_id_.emplace(batch.samples[i].id, i);
        for (const SampleMeans::Group group : means.list_groups())
            groups_[original_of(batch, group.sample)].push_back(group);
    }

    void add(const batch::ReferenceResult& result) {
        const auto at = by_id_.find(result.sample);
        const auto groups =
            at == by_id_.end() ? groups_.end() : groups_.find(original_of(season_.batch, at->second));
        if (groups == groups_.end()) {
            unread_.insert(result.sample);
            return;
        }
        as_is_ = std::any_of(result.values.begin(), result.values.end(), [](const auto& value) {
            return value.part_of == PartOf::sample && value.constituent != constituent::moisture &&
                   value.basis.kind == Basis::Kind::as_is;
        });
        for (const batch::ReferenceValue& value : result.values) {
            const std::size_t slot = means_.values().slot_of(value.constituent);
            if (slot == kNoSlot) {
                not_read_.insert(season_.rules.constituents[value.constituent].name);
                continue;
            }
            std::set<std::uint8_t> materials;
            for (const SampleMeans::Group group : groups->second)
                if (materials.insert(group.material).second)
                    add_value(result, value, slot, groups->first, group.material);
        }
        for (const batch::RefusedCell& cell : result.refused)
            if (const std::size_t slot = means_.values().slot_of(cell.constituent); slot != kNoSlot)
                refuse_cell(cell, slot, groups->second);
    }

    std::map<Key, Gathering> finish(std::vector<std::string>& notes) {
        for (auto& [key, gathering] : found_)
            for (auto& [seed, gathered] : gathering.seeds)
                add_nir(key, gathering, seed, gathered);
        for (auto& [key, gathering] : found_)
            std::erase_if(gathering.seeds, [&](const auto& seed) {
                if (seed.second.nir_samples > 0)
                    return false;
                unusable_.insert(std::string(season_.batch.samples[seed.first].id));
                return true;
            });
        tell(notes, unread_, "was never read and has no partner", "were never read and have no partner");
        tell(notes, unusable_, "has no usable NIR value of some constituent",
             "have no usable NIR value of some constituent");
        tell(notes, not_read_, "is in the reference results and in no export",
             "are in the reference results and in no export");
        return std::move(found_);
    }

  private:
    static void tell(std::vector<std::string>& notes, const std::set<std::string>& names, const char* one,
                     const char* many) {
        if (names.empty())
            return;
        std::vector<std::string> first(names.begin(), names.end());
        const std::size_t all = first.size();
        first.resize(std::min<std::size_t>(all, 8));
        notes.push_back(fmt::format("{}{} {}", fmt::join(first, ", "),
                                    all > 8 ? fmt::format(" and {} more", all - 8) : "",
                                    all == 1 ? one : many));
    }

    // Why a value cannot stand beside the NIR value; empty when it can.
    std::string refusal(const batch::ReferenceResult& result, const batch::ReferenceValue& value,
                        Basis wanted) const {
        const ConstituentInfo& about = season_.rules.constituents[value.constituent];
        const PartOf part = means_.values().part_of(value.constituent);
        if (value.part_of != part)
            return fmt::format("{} is a share of the {} in the reference and of the {} in the exports",
                               about.name, part_text(value.part_of), part_text(part));
        // Protein is nitrogen times the factor; a share of the protein is divided by it. An amino acid that
        // is a share of the sample is weighed itself: no factor enters.
        if (value.constituent == constituent::protein || part == PartOf::protein) {
            const double ours = season_.rules.nitrogen_factor;
            if (!result.nitrogen_factor)
                return fmt::format("the protein of the reference names no nitrogen factor: add a column "
                                   "`nitrogen_factor` (here {})",
                                   ours);
            const double theirs = *result.nitrogen_factor;
            if (theirs != ours)
                return fmt::format(
                    "the reference is N x {}, the exports are N x {} (`nitrogen_factor` of the "
                    "rules): restate the reference, multiplied by {} / {}",
                    theirs, ours, part == PartOf::protein ? theirs : ours,
                    part == PartOf::protein ? ours : theirs);
        }
        if (part != PartOf::sample || value.constituent == constituent::moisture)
            return {};
        if (value.basis.kind == Basis::Kind::not_stated)
            return "the reference states no basis: add a column `basis`, or the basis to the heading";
        if (wanted.kind == Basis::Kind::as_is)
            return "as-is values of the two methods were found at different moistures: compare on a fixed "
                   "basis (--basis dry)";
        if (!basis::restate(value.value, value.basis, wanted, result.moisture))
            return "an as-is reference needs its own moisture: add a column `moisture`";
        return {};
    }

    Gathering& gathering_of(std::size_t slot, std::uint32_t seed, std::uint8_t material) {
        Gathering& gathering = found_[{std::string(material_name(season_.batch, material)),
                                       std::string(sample_attribute(season_.batch, seed, "oil_type")), slot}];
        gathering.material_index = material;
        return gathering;
    }

    // Counts it for each material that its sample was read as.
    void refuse_cell(const batch::RefusedCell& cell, std::size_t slot,
                     const std::vector<SampleMeans::Group>& groups) {
        std::set<std::uint8_t> materials;
        for (const SampleMeans::Group group : groups) {
            if (!materials.insert(group.material).second)
                continue;
            Gathering& gathering =
                gathering_of(slot, original_of(season_.batch, group.sample), group.material);
            ++gathering.refused;
            gathering.cells.push_back(cell.why);
        }
    }

    void add_value(const batch::ReferenceResult& result, const batch::ReferenceValue& value, std::size_t slot,
                   std::uint32_t seed, std::uint8_t material) {
        const Basis wanted = season_.rules.wanted_basis(material);
        Gathering& gathering = gathering_of(slot, seed, material);
        gathering.states_basis =
            gathering.states_basis || (as_is_ && value.constituent == constituent::moisture);
        if (std::string why = refusal(result, value, wanted); !why.empty()) {
            ++gathering.refused;
            gathering.reasons.insert(std::move(why));
            return;
        }
        const bool converts = value.part_of == PartOf::sample && value.constituent != constituent::moisture;
        gathering.seeds[seed].reference.push_back(
            converts ? *basis::restate(value.value, value.basis, wanted, result.moisture) : value.value);
    }

    void add_nir(const Key& key, Gathering& gathering, std::uint32_t seed, Gathered& into) {
        double sum = 0;
        for (const SampleMeans::Group group : groups_.at(seed)) {
            if (group.material != gathering.material_index)
                continue;
            means_.compute(group, *workspace_, numbers_);
            if (numbers_.n[key.slot] == 0)
                continue;
            sum += numbers_.mean[key.slot];
            ++into.nir_samples;
            for (const RowId row : season_.batch.rows_of(group.sample))
                add_reading(row, key.slot, gathering, into);
        }
        into.nir_mean = into.nir_samples > 0 ? sum / into.nir_samples : kNothing;
    }

    void add_reading(RowId row, std::size_t slot, Gathering& gathering, Gathered& into) {
        if (season_.batch.material[row] != gathering.material_index ||
            season_.judgement.verdict[row] > Verdict::review)
            return;
        means_.values().usable(row, workspace_->scratch, workspace_->values.data());
        const double value = workspace_->values[slot];
        if (std::isnan(value))
            return;
        into.nir.push_back(value);
        const Block& block = season_.batch.block_of(row);
        const ConstituentId id = means_.constituents()[slot];
        if (block.table->find(id))
            gathering.adjusted = gathering.adjusted || means_.values().adjuster().find(row, id) != nullptr;
        else
            gathering.computed = true;
        const Time time = block.time_of(row - block.first);
        if (!time.missing()) {
            gathering.first = gathering.first.missing() ? time : std::min(gathering.first, time);
            gathering.last = gathering.last.missing() ? time : std::max(gathering.last, time);
        }
        const TextId instrument = block.text_of(TextField::instrument, row - block.first);
        gathering.instruments.insert(instrument == kNoText ? ""
                                                           : std::string(season_.batch.readings.pool(
                                                                 TextField::instrument)[instrument]));
    }

    const SampleMeans& means_;
    Season season_;
    std::unique_ptr<Workspace, void (*)(Workspace*)> workspace_;
    SampleNumbers numbers_;
    bool as_is_ = false; // the result being added holds as-is values
    std::map<std::string_view, std::uint32_t> by_id_;
    std::map<std::uint32_t, std::vector<SampleMeans::Group>> groups_; // by original sample
    std::map<Key, Gathering> found_;
    std::set<std::string> unread_, unusable_, not_read_;
};

std::optional<stats::Repeatability> pooled(const std::vector<const std::vector<double>*>& groups) {
    std::vector<double> values;
    std::vector<int> group;
    for (std::size_t i = 0; i < groups.size(); ++i)
        for (const double value : *groups[i]) {
            values.push_back(value);
            group.push_back(static_cast<int>(i));
        }
    return stats::repeatability_from_groups(values, group);
}

constexpr std::size_t kCellsNamed = 4;

std::vector<std::string> reasons_of(const Gathering& gathering) {
    std::vector<std::string> reasons(gathering.reasons.begin(), gathering.reasons.end());
    const std::size_t named = std::min(kCellsNamed, gathering.cells.size());
    reasons.insert(reasons.end(), gathering.cells.begin(),
                   gathering.cells.begin() + static_cast<std::ptrdiff_t>(named));
    if (const std::size_t more = gathering.cells.size() - named; more > 0)
        reasons.push_back(fmt::format("{} more such cell{}", more, more == 1 ? "" : "s"));
    return reasons;
}

AgreementSet make_set(const SampleMeans& means, const Key& key, const Gathering& gathering,
                      const ComparisonOptions& options) {
    const Season& season = means.season();
    AgreementSet set;
    set.material = key.material;
    set.oil_type = key.oil_type;
    set.material_index = gathering.material_index;
    set.constituent = means.constituents()[key.slot];
    set.part_of = means.part_of(key.slot);
    set.basis = means.basis_of(key.slot, gathering.material_index);
    if (set.constituent == constituent::protein || set.part_of == PartOf::protein)
        set.nitrogen_factor = season.rules.nitrogen_factor;
    set.refused = gathering.refused;
    set.reasons = reasons_of(gathering);
    set.adjusted = gathering.adjusted;
    set.computed = gathering.computed || season.rules.constituents[set.constituent].group == Group::ratio;
    set.states_basis = gathering.states_basis;
    set.first_reading = gathering.first;
    set.last_reading = gathering.last;
    if (gathering.instruments.size() == 1)
        set.instrument = *gathering.instruments.begin();
    std::vector<double> nir, reference;
    std::vector<const std::vector<double>*> nir_groups, reference_groups;
    for (const auto& [seed, gathered] : gathering.seeds) {
        AgreementPair pair;
        pair.sample = seed;
        pair.nir = gathered.nir_mean;
        for (const double value : gathered.reference)
            pair.reference += value;
        pair.reference /= static_cast<double>(gathered.reference.size());
        pair.nir_readings = static_cast<std::uint32_t>(gathered.nir.size());
        pair.reference_results = static_cast<std::uint32_t>(gathered.reference.size());
        set.results_a_sample += pair.reference_results;
        set.single_share += 1.0 / pair.reference_results;
        nir.push_back(pair.nir);
        reference.push_back(pair.reference);
        nir_groups.push_back(&gathered.nir);
        reference_groups.push_back(&gathered.reference);
        set.pairs.push_back(pair);
    }
    if (!set.pairs.empty()) {
        set.results_a_sample /= static_cast<double>(set.pairs.size());
        set.single_share /= static_cast<double>(set.pairs.size());
    }
    set.reference_repeatability = pooled(reference_groups);
    set.nir_repeatability = pooled(nir_groups);
    stats::AgreementOptions how;
    how.alpha = options.alpha;
    if (const auto at = options.calibration.find(set.constituent); at != options.calibration.end())
        how.calibration = at->second;
    if (set.pairs.empty()) {
        set.why_not = "no pair can be compared";
        return set;
    }
    auto result = stats::agreement(nir, reference, how);
    if (!result) {
        set.why_not = result.error().message + ": " + result.error().help;
        return set;
    }
    set.result = std::move(*result);
    for (const stats::OutlyingPair& outlying : set.result->outlying)
        set.pairs[outlying.index].outlying = true;
    return set;
}

} // namespace

Result<ReferenceComparison> compare_with_reference(const SampleMeans& means,
                                                   const batch::ReferenceResults& reference,
                                                   const ComparisonOptions& options) {
    ReferenceComparison made;
    made.notes = reference.notes;
    Collector collector(means);
    for (const batch::ReferenceResult& result : reference.results)
        if (result.role != "check")
            collector.add(result);
    note_laboratory_checks(means.season(), reference, made.notes);
    const auto found = collector.finish(made.notes);
    std::size_t pairs = 0;
    std::vector<std::string> reasons; // of all sets
    for (const auto& [key, gathering] : found) {
        made.sets.push_back(make_set(means, key, gathering, options));
        const AgreementSet& set = made.sets.back();
        pairs += set.pairs.size();
        if (set.refused > 0)
            made.notes.push_back(fmt::format("{} {}: {} result{} refused: {}", set.material,
                                             means.season().rules.constituents[set.constituent].name,
                                             set.refused, set.refused == 1 ? "" : "s",
                                             fmt::join(set.reasons, "; ")));
        for (const std::string& reason : set.reasons)
            if (std::ranges::find(reasons, reason) == reasons.end())
                reasons.push_back(reason);
    }
    if (pairs == 0)
        return fail(reasons.empty()
                        ? "no reference result belongs to a sample with a usable NIR value" +
                              (reference.notes.empty() ? "" : "; " + reference.notes.front())
                        : fmt::format("no reference result can be compared: {}", fmt::join(reasons, "; ")),
                    reasons.empty() ? "results meet readings by sample ID; a shipment's codes need --key FILE"
                                    : "correct the reference file; both sides must be on one basis and one "
                                      "nitrogen factor",
                    reference.source);
    return made;
}

} // namespace thresh::summary
