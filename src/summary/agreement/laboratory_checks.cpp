// Checks that travel with a shipment: their results stand beside no reading.
#include "summary/agreement/laboratory_checks.hpp"

#include <thresh/basis/convert.hpp>
#include <thresh/stats/summary.hpp>

#include <fmt/format.h>
#include <map>
#include <optional>

namespace thresh::summary {

void note_laboratory_checks(const Season& season, const batch::ReferenceResults& reference,
                            std::vector<std::string>& notes) {
    struct Found {
        std::vector<double> values;
        const rules::ControlTarget* target = nullptr;
    };
    std::map<std::pair<std::string, ConstituentId>, Found> found;
    for (const batch::ReferenceResult& result : reference.results) {
        if (result.role != "check")
            continue;
        for (const batch::RefusedCell& cell : result.refused)
            notes.push_back(fmt::format("laboratory check {} {}: {}", result.sample,
                                        season.rules.constituents[cell.constituent].name, cell.why));
        for (const batch::ReferenceValue& value : result.values) {
            Found& into = found[{result.sample, value.constituent}];
            // The first that matches and has a target: in the laboratory nothing is read on an instrument.
            for (const rules::Control& control : season.rules.controls)
                if (const auto at = control.targets.find(value.constituent);
                    into.target == nullptr && at != control.targets.end() &&
                    batch::matches(control.sample, result.sample))
                    into.target = &at->second;
            const bool converts =
                value.part_of == PartOf::sample && value.constituent != constituent::moisture;
            const auto restated =
                !converts || into.target == nullptr
                    ? std::optional(value.value)
                    : basis::restate(value.value, value.basis, into.target->basis, result.moisture);
            if (restated)
                into.values.push_back(*restated);
        }
    }
    for (const auto& [key, one] : found) {
        if (one.values.empty())
            continue;
        const double mean = *stats::mean(one.values);
        std::string text = fmt::format("laboratory check {} {}: {} result{}, mean {:.3f}", key.first,
                                       season.rules.constituents[key.second].name, one.values.size(),
                                       one.values.size() == 1 ? "" : "s", mean);
        if (const auto sd = stats::standard_deviation(one.values))
            text += fmt::format(", SD {:.3f}", *sd);
        if (one.target != nullptr)
            text += fmt::format(", target {:.3f} on {}", one.target->target, to_text(one.target->basis));
        notes.push_back(std::move(text));
    }
}

} // namespace thresh::summary
