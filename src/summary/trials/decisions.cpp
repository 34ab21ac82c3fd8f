// Everything is computed twice, with and without the values under review, and kept by row of `lines`. Ratios
// have no adjusted mean; their plain means are decided on.
#include <thresh/summary/decisions.hpp>

#include "summary/line_numbers.hpp"

#include <thresh/core/nearest.hpp>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <fmt/format.h>
#include <map>

namespace thresh::summary {

bool CutOff::fulfilled(double mean) const {
    switch (op) {
    case Op::above:
        return mean > value;
    case Op::at_least:
        return mean >= value;
    case Op::below:
        return mean < value;
    case Op::at_most:
        return mean <= value;
    }
    return false;
}

Result<std::vector<CutOff>> parse_cut_offs(const std::vector<std::string>& texts, const SampleMeans& means) {
    std::vector<std::string> names;
    for (const ConstituentId id : means.constituents())
        names.push_back(means.season().rules.constituents[id].name);
    std::vector<CutOff> made;
    for (const std::string& text : texts) {
        const std::size_t sign = text.find_first_of("<>");
        const char* help = "such as --cut-off 'protein >= 36'";
        if (sign == std::string::npos)
            return fail(fmt::format("--cut-off `{}` compares nothing", text), help);
        const auto trimmed = [](std::string part) {
            part.erase(0, part.find_first_not_of(' '));
            part.erase(part.find_last_not_of(' ') + 1);
            return part;
        };
        CutOff one;
        one.text = trimmed(text);
        const bool equal = sign + 1 < text.size() && text[sign + 1] == '=';
        one.op = text[sign] == '>' ? (equal ? CutOff::Op::at_least : CutOff::Op::above)
                                   : (equal ? CutOff::Op::at_most : CutOff::Op::below);
        const std::string name = trimmed(text.substr(0, sign)),
                          number = trimmed(text.substr(sign + (equal ? 2 : 1)));
        const auto at = std::find(names.begin(), names.end(), name);
        if (at == names.end())
            return fail(fmt::format("--cut-off: these exports have no constituent `{}`", name),
                        nearest_hint(name, names, "constituents here"));
        one.constituent = means.constituents()[static_cast<std::size_t>(at - names.begin())];
        const auto [end, error] = std::from_chars(number.data(), number.data() + number.size(), one.value);
        if (error != std::errc{} || end != number.data() + number.size() || !std::isfinite(one.value))
            return fail(fmt::format("--cut-off: `{}` is no number", number), help);
        if (std::any_of(made.begin(), made.end(),
                        [&](const CutOff& c) { return c.constituent == one.constituent; }))
            return fail(fmt::format("--cut-off: {} has two cut-offs", name), "give one for each constituent");
        made.push_back(std::move(one));
    }
    return made;
}

std::string decision_words(const Decision& decision) {
    const auto word = [](std::optional<bool> in) { return !in ? "no number" : *in ? "in" : "out"; };
    if (!decision.with && !decision.without)
        return {};
    if (!decision.changes())
        return word(decision.with);
    return fmt::format("{}, {} without review", word(decision.with), word(decision.without));
}

struct Decisions::State {
    const SampleMeans& means;
    std::vector<CutOff> cut_offs;
    const TrialModels* models;
    std::optional<TrialModels> certain_models;
    LineGroups groups;
    std::vector<std::size_t> slots;                 // decided on
    std::vector<std::vector<double>> with, without; // by place in `slots`, group; NaN: no number
    std::map<std::pair<std::uint32_t, std::string_view>, std::size_t> group_of;

    const CutOff* cut_off(std::size_t slot) const {
        for (const CutOff& one : cut_offs)
            if (one.constituent == means.constituents()[slot])
                return &one;
        return nullptr;
    }
};

Decisions::Decisions(std::unique_ptr<State> state) : state_(std::move(state)) {}
Decisions::~Decisions() = default;
Decisions::Decisions(Decisions&&) noexcept = default;

namespace {

int best_of(const TrialModels* models) {
    return models == nullptr ? 0 : models->options().model.best;
}

// Whether the line is among the best `k` of its trial that are no checks; nothing for checks and without a
// prediction.
std::optional<bool> among_best(const TrialModels& models, std::size_t group, std::size_t slot, bool check,
                               int k, const std::vector<bool>& is_check) {
    const TrialModels::Place place = models.place(group, slot);
    if (place.trait == nullptr || check || !place.trait->rank[static_cast<std::size_t>(place.line)])
        return std::nullopt;
    const int rank = *place.trait->rank[static_cast<std::size_t>(place.line)];
    int better = 0;
    for (std::size_t line = 0; line < is_check.size(); ++line)
        better += !is_check[line] && place.trait->rank[line] && *place.trait->rank[line] < rank ? 1 : 0;
    return better < k;
}

double adjusted(const TrialModels& models, std::size_t group, std::size_t slot, double plain, bool ratio) {
    if (ratio)
        return plain;
    const TrialModels::Place place = models.place(group, slot);
    if (place.trait == nullptr)
        return kNothing;
    return place.trait->analysis->lines[static_cast<std::size_t>(place.line)].blue.value_or(kNothing);
}

} // namespace

Result<Decisions> Decisions::make(const SampleMeans& means, std::vector<CutOff> cut_offs,
                                  const TrialModels* models) {
    auto state = std::make_unique<State>(
        State{means, std::move(cut_offs), models, {}, group_lines(means.season(), {}), {}, {}, {}, {}});
    for (std::size_t slot = 0; slot < means.constituents().size(); ++slot)
        if (state->cut_off(slot) != nullptr ||
            (best_of(models) > 0 && !means.values().is_ratio(means.constituents()[slot])))
            state->slots.push_back(slot);
    if (models != nullptr && !state->slots.empty()) {
        TrialModelOptions options = models->options();
        options.certain = true;
        options.model.best = 0; // no chances are wanted
        options.only.clear();
        for (const std::size_t slot : state->slots)
            options.only.insert(means.constituents()[slot]);
        auto certain = TrialModels::fit(means, options);
        if (!certain)
            return tl::unexpected<Error>(certain.error());
        state->certain_models.emplace(std::move(*certain));
    }
    const std::size_t n = state->groups.groups.size();
    state->with.assign(state->slots.size(), std::vector<double>(n, kNothing));
    state->without = state->with;
    LineArithmetic arithmetic(means);
    for (std::size_t group = 0; group < n; ++group) {
        const LineGroup& about = state->groups.groups[group];
        for (std::uint32_t i = about.first; i < about.last; ++i)
            state->group_of[{state->groups.members[i].sample, about.material}] = group;
        for (const bool certain : {false, true}) {
            const LineNumbers& numbers = certain ? arithmetic.compute_certain(state->groups, about)
                                                 : arithmetic.compute(state->groups, about);
            for (std::size_t i = 0; i < state->slots.size(); ++i) {
                const std::size_t slot = state->slots[i];
                double value = numbers.provisional || numbers.n[slot] == 0 ? kNothing : numbers.mean[slot];
                if (models != nullptr)
                    value = adjusted(certain ? *state->certain_models : *models, group, slot, value,
                                     means.values().is_ratio(means.constituents()[slot]));
                (certain ? state->without : state->with)[i][group] = value;
            }
        }
    }
    return Decisions(std::move(state));
}

bool Decisions::about(ConstituentId id) const {
    return std::any_of(state_->slots.begin(), state_->slots.end(),
                       [&](std::size_t slot) { return state_->means.constituents()[slot] == id; });
}

Decision Decisions::decide(std::size_t group, std::size_t slot) const {
    Decision made;
    const auto at = std::find(state_->slots.begin(), state_->slots.end(), slot);
    if (at == state_->slots.end())
        return made;
    const auto i = static_cast<std::size_t>(at - state_->slots.begin());
    const double with = state_->with[i][group], without = state_->without[i][group];
    if (!std::isnan(with))
        made.value = with;
    if (!std::isnan(without))
        made.certain = without;
    if (const CutOff* cut_off = state_->cut_off(slot)) {
        made.rule = cut_off->text;
        if (made.value)
            made.with = cut_off->fulfilled(with);
        if (made.certain)
            made.without = cut_off->fulfilled(without);
        return made;
    }
    made.rule = fmt::format("best {}", best_of(state_->models));
    const TrialModels::Place place = state_->models->place(group, slot);
    if (place.trait == nullptr)
        return made;
    std::vector<bool> is_check(place.trait->lines.size());
    for (std::size_t other = 0; other < state_->groups.groups.size(); ++other)
        if (const auto there = state_->models->place(other, slot); there.trait == place.trait)
            is_check[static_cast<std::size_t>(there.line)] = state_->groups.groups[other].check;
    const bool check = state_->groups.groups[group].check;
    const int best = best_of(state_->models);
    made.with = among_best(*state_->models, group, slot, check, best, is_check);
    made.without = among_best(*state_->certain_models, group, slot, check, best, is_check);
    return made;
}

namespace {

// So many that the value as shown is on its own side of the cut-off.
int decimals_that_show(const CutOff& cut_off, std::optional<double> value, int decimals) {
    constexpr int kMost = 9;
    const auto shown = [&] {
        const std::string text = fmt::format("{:.{}f}", *value, decimals);
        double number = 0;
        std::from_chars(text.data(), text.data() + text.size(), number);
        return number;
    };
    while (value && decimals < kMost && cut_off.fulfilled(shown()) != cut_off.fulfilled(*value))
        ++decimals;
    return decimals;
}

} // namespace

std::vector<std::string> Decisions::decided_by(std::uint32_t sample, std::string_view material,
                                               ConstituentId constituent) const {
    const auto at = state_->group_of.find({sample, material});
    std::vector<std::string> texts;
    if (at == state_->group_of.end())
        return texts;
    for (const std::size_t slot : state_->slots) {
        const ConstituentId id = state_->means.constituents()[slot];
        const bool from_others = state_->means.values().is_derived(id) || state_->means.values().is_ratio(id);
        if (constituent != kNoConstituent && constituent != id && !from_others)
            continue;
        const Decision decision = decide(at->second, slot);
        if (!decision.changes())
            continue;
        int decimals = state_->means.season().rules.constituents[id].decimals;
        if (const CutOff* cut_off = state_->cut_off(slot))
            decimals = std::max(decimals_that_show(*cut_off, decision.value, decimals),
                                decimals_that_show(*cut_off, decision.certain, decimals));
        const auto number = [&](std::optional<double> value) {
            return value ? fmt::format("{:.{}f}", *value, decimals) : std::string("no number");
        };
        const std::string& name = state_->means.season().rules.constituents[id].name;
        texts.push_back(fmt::format("{}{}: {} with ({}), {} without ({})",
                                    decision.rule.starts_with("best") ? name + " " : "", decision.rule,
                                    number(decision.value),
                                    !decision.with   ? "-"
                                    : *decision.with ? "in"
                                                     : "out",
                                    number(decision.certain),
                                    !decision.without   ? "-"
                                    : *decision.without ? "in"
                                                        : "out"));
    }
    return texts;
}

} // namespace thresh::summary
