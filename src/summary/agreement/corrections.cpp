// What an entry would reach is asked of the sets compared, not of samples that were not part of the
// comparison.
#include "summary/agreement/corrections.hpp"

#include <algorithm>

namespace thresh::summary {

namespace {

// Whether the advice is another without the outlying pairs: one mistaken sample can make a slope.
bool hangs_on_outlying(const AgreementSet& set) {
    if (set.result->outlying.empty())
        return false;
    std::vector<double> nir, reference;
    for (const AgreementPair& pair : set.pairs)
        if (!pair.outlying) {
            nir.push_back(pair.nir);
            reference.push_back(pair.reference);
        }
    const auto without = stats::agreement(nir, reference);
    return !without || without->advice != set.result->advice;
}

Basis basis_of(const AgreementSet& set) {
    return set.basis.empty() ? Basis::as_is() : parse_basis(set.basis).value_or(Basis::as_is());
}

Time day_of(Time time) {
    return time.missing() ? time : time_from_iso(to_text(time).substr(0, 10));
}

bool reaches(const rules::Adjustment& entry, const AgreementSet& set) {
    return (entry.oil_type.empty() || entry.oil_type == set.oil_type) &&
           (entry.instrument == "*" || set.instrument.empty() || entry.instrument == set.instrument);
}

} // namespace

std::vector<std::string> with_models(const rules::Ruleset& rules, const std::string& material) {
    std::vector<std::string> names{material};
    for (bool found = true; found;) {
        found = false;
        for (const rules::Material& one : rules.materials)
            if (one.name == names.back() && !one.like.empty()) {
                names.push_back(one.like);
                found = true;
                break;
            }
    }
    return names;
}

SetCorrection correction_of(const AgreementSet& set, Time from, Time to) {
    SetCorrection made;
    if (!set.result || set.computed)
        return made;
    rules::Adjustment entry;
    if (set.result->advice == stats::Advice::subtract_bias) {
        entry.intercept = -set.result->bias;
    } else if (set.result->advice == stats::Advice::slope_and_bias) {
        entry.intercept = set.result->line->intercept;
        entry.slope = set.result->line->slope;
    } else {
        return made;
    }
    entry.instrument = set.instrument.empty() ? "*" : set.instrument;
    entry.oil_type = set.oil_type;
    entry.basis = basis_of(set);
    entry.from = from.missing() ? day_of(set.first_reading) : from;
    entry.to = to;
    made.advised = std::move(entry);
    if (hangs_on_outlying(set))
        made.held_back = "without the outlying pairs (--pairs marks them) the advice is another. Settle\n"
                         "    // these samples and compare again";
    else if (set.states_basis)
        made.held_back =
            "this moisture tells on which basis the laboratory's as-is results are. Packets may\n"
            "    // have dried or drawn moisture before it was measured. Where they had not, give moisture\n"
            "    // in rows of its own";
    return made;
}

CorrectionEntries correction_entries(const rules::Ruleset& rules, const std::vector<AgreementSet>& sets,
                                     Time from, Time to) {
    CorrectionEntries typed, untyped;
    for (const AgreementSet& set : sets)
        if (const SetCorrection one = correction_of(set, from, to); one.in_force())
            (set.oil_type.empty() ? untyped : typed)[{set.material, set.constituent}].push_back(*one.advised);
    CorrectionEntries typed_neutral, untyped_neutral;
    for (const AgreementSet& set : sets) {
        if (set.computed || correction_of(set, from, to).in_force())
            continue;
        std::optional<rules::Adjustment> neutral;
        for (const std::string& material : with_models(rules, set.material))
            for (const CorrectionEntries* entries : {&typed, &untyped}) {
                const auto at = entries->find({material, set.constituent});
                if (at == entries->end())
                    continue;
                for (const rules::Adjustment& entry : at->second) {
                    if (!reaches(entry, set))
                        continue;
                    const bool fresh = !neutral;
                    if (fresh) {
                        neutral.emplace();
                        neutral->oil_type = set.oil_type;
                        neutral->basis = entry.basis;
                        neutral->to = entry.to;
                    }
                    // From the earliest of those that it keeps away.
                    if (fresh || entry.from.missing() ||
                        (!neutral->from.missing() && entry.from < neutral->from))
                        neutral->from = entry.from;
                }
            }
        if (neutral)
            (set.oil_type.empty() ? untyped_neutral : typed_neutral)[{set.material, set.constituent}]
                .push_back(*neutral);
    }
    CorrectionEntries made;
    for (const CorrectionEntries* entries : {&typed, &typed_neutral, &untyped, &untyped_neutral})
        for (const auto& [place, list] : *entries)
            made[place].insert(made[place].end(), list.begin(), list.end());
    return made;
}

} // namespace thresh::summary
