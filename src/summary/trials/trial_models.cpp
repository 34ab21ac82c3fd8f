// The rows of `lines` are dealt out to trials; plot means come from the arithmetic of `lines`, so that plain
// and adjusted means rest on the same values. Traits are independent of each other and fitted side by side.
#include <thresh/summary/trials.hpp>

#include "summary/reading_values.hpp"
#include "summary/trials/trial_plots.hpp"

#include <thresh/basis/convert.hpp>
#include <thresh/core/nearest.hpp>
#include <thresh/core/parallel.hpp>
#include <thresh/stats/distributions.hpp>
#include <thresh/stats/summary.hpp>

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <map>

namespace thresh::summary {

namespace {

// Codes in bytewise order; blank is -1. Empty when all are blank.
std::vector<int> codes_of(const std::vector<std::string>& names) {
    std::set<std::string> distinct(names.begin(), names.end());
    distinct.erase("");
    if (distinct.empty())
        return {};
    std::map<std::string, int> code;
    for (const std::string& name : distinct)
        code.emplace(name, static_cast<int>(code.size()));
    std::vector<int> codes;
    for (const std::string& name : names)
        codes.push_back(name.empty() ? -1 : code.at(name));
    return codes;
}

struct Codes {
    std::vector<int> environment, rep, block;
};

// What takes the rules' SDs, of shares of the sample on dry basis, to the basis that the plots are on:
// moisture of the results, of as-is results the mean over the plots. Nothing where that is not known.
std::optional<double> from_dry(const SampleMeans& means, const TrialPlots& plots, std::size_t slot) {
    if (means.part_of(slot) != PartOf::sample || means.constituents()[slot] == constituent::moisture)
        return 1.0;
    const Basis wanted = means.season().rules.wanted_basis(plots.material_index);
    if (wanted.kind == Basis::Kind::fixed)
        return basis::convert(1, 0, wanted.percent);
    const std::size_t moisture = means.values().slot_of(constituent::moisture),
                      slots = means.values().slots();
    std::vector<double> moistures;
    for (std::size_t plot = 0; moisture != kNoSlot && plot < plots.line.size(); ++plot)
        if (const double of_plot = plots.values[plot * slots + moisture]; basis::valid_moisture(of_plot))
            moistures.push_back(of_plot);
    const auto mean = stats::mean(moistures);
    return mean ? std::optional(basis::convert(1, 0, *mean)) : std::nullopt;
}

// Standard deviations that are known beforehand, of a constituent in a material.
struct KnownError {
    double plot = 0, reading = 0;
};
std::optional<KnownError> known_error(const SampleMeans& means, const TrialPlots& plots, std::size_t slot,
                                      std::vector<std::string>& notes) {
    const rules::Material* material = means.season().rules.material(plots.material_index);
    if (material == nullptr)
        return std::nullopt;
    const ConstituentId id = means.constituents()[slot];
    const auto plot = material->plot_sd.find(id), reading = material->repeatability_sd.find(id);
    if (plot == material->plot_sd.end() || reading == material->repeatability_sd.end() || plot->second <= 0)
        return std::nullopt;
    const auto factor = from_dry(means, plots, slot);
    if (!factor) {
        notes.emplace_back(
            "plots weigh equally: the rules' SDs are of dry matter, and no plot's moisture is known");
        return std::nullopt;
    }
    const KnownError known{plot->second * *factor, reading->second * *factor};
    const std::string basis = means.basis_of(slot, plots.material_index);
    notes.push_back(
        fmt::format("plots weigh by known variances: plot SD {:.4g}, reading SD {:.4g} over readings{}",
                    known.plot, known.reading, basis.empty() ? "" : " (basis " + basis + ")"));
    return known;
}

stats::TrialData data_of(const TrialPlots& plots, const Codes& codes, std::size_t slots, std::size_t slot,
                         const std::optional<KnownError>& known) {
    stats::TrialData data;
    data.known_variances = known.has_value();
    data.lines = static_cast<int>(plots.lines.size());
    for (std::size_t plot = 0; plot < plots.line.size(); ++plot) {
        const double value = plots.values[plot * slots + slot];
        if (std::isnan(value))
            continue;
        data.y.push_back(value);
        if (known)
            data.weights.push_back(1 / (known->plot * known->plot +
                                        known->reading * known->reading * plots.shares[plot * slots + slot]));
        data.line.push_back(plots.line[plot]);
        for (const auto& [from, into] :
             {std::pair(&codes.environment, &data.environment), std::pair(&codes.rep, &data.rep),
              std::pair(&codes.block, &data.block)})
            if (!from->empty())
                into->push_back((*from)[plot]);
    }
    return data;
}

// Predictions that differ by no more than rounding are ties.
void rank_lines(TrialTrait& trait, bool low) {
    constexpr double kRounding = 1e-9;
    trait.rank.assign(trait.lines.size(), std::nullopt);
    std::vector<double> predictions;
    for (const stats::LineResult& line : trait.analysis->lines)
        if (line.blup)
            predictions.push_back(*line.blup);
    std::sort(predictions.begin(), predictions.end());
    for (std::size_t i = 0; i < trait.lines.size(); ++i)
        if (const auto& blup = trait.analysis->lines[i].blup) {
            const double reach = kRounding * std::max(1.0, std::fabs(*blup));
            const auto better =
                low ? std::lower_bound(predictions.begin(), predictions.end(), *blup - reach) -
                          predictions.begin()
                    : predictions.end() -
                          std::upper_bound(predictions.begin(), predictions.end(), *blup + reach);
            trait.rank[i] = static_cast<int>(better) + 1;
        }
}

TrialTrait fit_trait(const TrialPlots& plots, const Codes& codes, const SampleMeans& means, std::size_t slot,
                     const TrialModelOptions& options) {
    TrialTrait trait;
    trait.material = plots.material;
    trait.trial = plots.trial;
    trait.material_index = plots.material_index;
    trait.slot = slot;
    trait.lines = plots.lines;
    trait.read = plots.read[slot];
    if (!trait.read)
        return trait;
    for (const auto& [n, what] :
         {std::pair(plots.single_plants, "single plant"), std::pair(plots.remnants, "remnant")})
        if (n > 0)
            trait.notes.push_back(
                fmt::format("{} {}{} left out: not a plot of the trial", n, what, n == 1 ? "" : "s"));
    if (plots.lines_elsewhere > 0)
        trait.notes.push_back(fmt::format("{} line{} of the trial read as no known material: left out",
                                          plots.lines_elsewhere, plots.lines_elsewhere == 1 ? "" : "s"));
    for (const std::string& check : plots.unread_checks)
        trait.notes.push_back(fmt::format("no comparison with check {}: it was never read as {}", check,
                                          plots.material.empty() ? "any material" : plots.material));
    if (plots.line.empty() && plots.single_plants + plots.remnants > 0) {
        trait.notes.emplace_back("not analysed: the trial has no plots besides");
        return trait;
    }
    const auto known = known_error(means, plots, slot, trait.notes);
    const stats::TrialData data = data_of(plots, codes, means.values().slots(), slot, known);
    stats::TrialOptions how = options.model;
    how.higher_is_better = !options.low.contains(means.constituents()[slot]);
    std::vector<int> n_plots(plots.lines.size());
    for (const int line : data.line)
        ++n_plots[static_cast<std::size_t>(line)];
    for (std::size_t line = 0; line < plots.lines.size(); ++line) {
        const bool wanted = options.checks.empty() ? plots.check[line]
                                                   : std::find(options.checks.begin(), options.checks.end(),
                                                               plots.lines[line]) != options.checks.end();
        if (!wanted)
            continue;
        if (n_plots[line] == 0)
            trait.notes.push_back(
                fmt::format("no comparison with check {}: it has no usable plot", plots.lines[line]));
        else if (options.compare)
            how.checks.push_back(static_cast<int>(line));
    }
    auto analysis = stats::analyse_trial(data, how);
    if (!analysis) {
        trait.notes.push_back(
            fmt::format("not analysed: {}{}", analysis.error().message,
                        analysis.error().help.empty() ? "" : " (" + analysis.error().help + ")"));
        return trait;
    }
    trait.analysis = std::move(*analysis);
    trait.notes.insert(trait.notes.end(), trait.analysis->notes.begin(), trait.analysis->notes.end());
    rank_lines(trait, !how.higher_is_better);
    return trait;
}

std::string snake_case(std::string_view check) {
    std::string made;
    for (const char c : check) {
        const bool upper = c >= 'A' && c <= 'Z';
        const bool plain =
            (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || static_cast<unsigned char>(c) >= 128;
        made += upper ? static_cast<char>(c - 'A' + 'a') : plain ? c : '_';
    }
    return made;
}

// A check has several columns, told apart by their ends: `chk_1_p` is a column of `CHK 1`, so that the check
// `CHK 1 p` needs another name.
std::vector<std::string> columns_of(const std::vector<std::string>& checks) {
    std::vector<std::string> columns;
    std::set<std::string> taken;
    for (const std::string& check : checks) {
        const std::string name = snake_case(check);
        std::string free = name;
        const auto with_ends = [&] {
            return std::set<std::string>{free, free + "_se", free + "_p", free + "_low", free + "_high"};
        };
        const auto is_taken = [&](const std::string& column) { return taken.contains(column); };
        for (int number = 2; std::ranges::any_of(with_ends(), is_taken); ++number)
            free = fmt::format("{}_{}", name, number);
        taken.merge(with_ends());
        columns.push_back(std::move(free));
    }
    return columns;
}

} // namespace

Result<TrialModels> TrialModels::fit(const SampleMeans& means, const TrialModelOptions& options) {
    const Season season = means.season();
    LineGroups groups = group_lines(season, {});
    TrialModels models;
    models.options_ = options;
    models.slots_ = means.values().slots();
    models.constituent_of_slot_ = means.constituents();
    std::vector<TrialPlots> trials;
    std::map<std::pair<std::string, std::string>, std::size_t> known;
    LineArithmetic arithmetic(means, true);
    std::set<std::string> checks, names;
    std::vector<std::size_t> trial_of_group;
    for (const LineGroup& group : groups.groups) {
        const std::string trial = group.key.size() > 1 ? group.key.front() : "";
        const auto [at, fresh] = known.try_emplace({group.material, trial}, trials.size());
        if (fresh) {
            trials.emplace_back();
            trials.back().material = group.material;
            trials.back().trial = trial;
            trials.back().material_index = group.material_index;
        }
        TrialPlots& into = trials[at->second];
        models.code_.push_back(static_cast<int>(into.lines.size()));
        trial_of_group.push_back(at->second);
        const auto numbers_of = [&](const LineGroup& one) -> const LineNumbers& {
            return options.certain ? arithmetic.compute_certain(groups, one)
                                   : arithmetic.compute(groups, one);
        };
        const LineNumbers& numbers = numbers_of(group);
        add_read(numbers, into);
        const LineGroup plots = leave_out_plants(season.batch, groups, group, into);
        add_group(season.batch, groups, plots, plots.last == group.last ? numbers : numbers_of(plots), into);
        names.insert(group.key.back());
        if (group.check)
            checks.insert(group.key.back());
    }
    for (const std::string& check : options.checks)
        if (!names.contains(check))
            return fail(fmt::format("--check: there is no line `{}`", check),
                        nearest_hint(check, {names.begin(), names.end()}, "lines here"));
    models.checks_.assign(checks.begin(), checks.end());
    if (!options.checks.empty()) {
        models.checks_ = options.checks;
        std::sort(models.checks_.begin(), models.checks_.end());
        models.checks_.erase(std::unique(models.checks_.begin(), models.checks_.end()), models.checks_.end());
    }

    models.check_columns_ = columns_of(models.checks_);
    name_unread_checks(trials, options);
    leave_out_unknown_material(trials);

    std::vector<std::size_t> analysed;
    models.trait_of_slot_.assign(models.slots_, kNoSlot);
    for (std::size_t slot = 0; slot < models.slots_; ++slot) {
        const ConstituentId id = means.constituents()[slot];
        if (means.values().is_ratio(id) || (!options.only.empty() && !options.only.contains(id)))
            continue;
        models.trait_of_slot_[slot] = analysed.size();
        analysed.push_back(slot);
    }
    std::vector<Codes> codes;
    for (const TrialPlots& plots : trials)
        codes.push_back({codes_of(plots.environment), codes_of(plots.rep), codes_of(plots.block)});
    models.traits_.resize(trials.size() * analysed.size());
    parallel_for(models.traits_.size(), season.threads, [&](std::size_t i) {
        const std::size_t trial = i / analysed.size();
        models.traits_[i] =
            fit_trait(trials[trial], codes[trial], means, analysed[i % analysed.size()], options);
    });
    for (const std::size_t trial : trial_of_group)
        models.first_trait_.push_back(trial * analysed.size());
    return models;
}

TrialModels::Place TrialModels::place(std::size_t group, std::size_t slot) const {
    if (trait_of_slot_[slot] == kNoSlot)
        return {};
    const TrialTrait& trait = traits_[first_trait_[group] + trait_of_slot_[slot]];
    return trait.analysis ? Place{&trait, code_[group]} : Place{};
}

std::optional<TrialModels::Difference> TrialModels::against(const Place& place,
                                                            std::string_view check) const {
    if (place.trait == nullptr)
        return std::nullopt;
    for (const stats::CheckComparison& comparison : place.trait->analysis->checks) {
        if (place.trait->lines[static_cast<std::size_t>(comparison.check)] != check)
            continue;
        const auto& found = comparison.lines[static_cast<std::size_t>(place.line)];
        if (!found)
            return std::nullopt;
        if (!options_.plain)
            return Difference{found->difference, found->se, found->p, found->low, found->high};
        const double reach = stats::t_quantile(1 - options_.model.alpha / 2, comparison.df) * found->se;
        return Difference{found->difference, found->se, found->plain_p, found->difference - reach,
                          found->difference + reach};
    }
    return std::nullopt;
}

namespace {

// What was said of which constituents, in the order in which it was said first.
class Sayings {
  public:
    void add(const std::string& what, const std::string& constituent) {
        const auto at =
            std::find_if(said_.begin(), said_.end(), [&](const auto& s) { return s.first == what; });
        (at == said_.end() ? said_.emplace_back(what, std::vector<std::string>()) : *at)
            .second.push_back(constituent);
    }
    std::string lines(std::size_t all, const char* indent) const {
        std::string text;
        for (const auto& [what, names] : said_)
            text += fmt::format("{}{}{}\n", indent, what,
                                names.size() == all ? "" : fmt::format(" [{}]", fmt::join(names, ", ")));
        return text;
    }

  private:
    std::vector<std::pair<std::string, std::vector<std::string>>> said_;
};

} // namespace

std::string TrialModels::words(const Season& season) const {
    std::string text;
    for (std::size_t first = 0; first < traits_.size();) {
        std::size_t last = first, seen = 0;
        Sayings models, notes;
        for (; last < traits_.size() && traits_[last].trial == traits_[first].trial &&
               traits_[last].material == traits_[first].material;
             ++last) {
            const TrialTrait& trait = traits_[last];
            if (!trait.read)
                continue;
            ++seen;
            const std::string& name = season.rules.constituents[constituent_of_slot_[trait.slot]].name;
            if (trait.analysis)
                models.add("value = " + trait.analysis->model, name);
            for (const std::string& note : trait.notes)
                notes.add(note, name);
        }
        if (seen > 0)
            text += fmt::format("{}{}{}:\n{}{}", traits_[first].material,
                                traits_[first].trial.empty() || traits_[first].material.empty() ? "" : " ",
                                traits_[first].trial, models.lines(seen, "  "), notes.lines(seen, "  "));
        first = last;
    }
    return text;
}

} // namespace thresh::summary
