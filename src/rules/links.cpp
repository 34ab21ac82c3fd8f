// What the chosen readings say, decoded once for all that is asked of them.
#include "rules/links.hpp"

#include "rules/chosen_links.hpp"
#include "rules/finding_order.hpp"
#include "rules/key_values.hpp"
#include "rules/limits.hpp"
#include "rules/repeatability_sd.hpp"

#include <algorithm>
#include <cmath>
#include <set>
#include <thresh/core/nothing.hpp>
#include <thresh/core/parallel.hpp>
#include <thresh/stats/summary.hpp>
#include <tuple>

namespace thresh::rules {

namespace {

constexpr std::size_t kNoPlace = static_cast<std::size_t>(-1);

// The constituents that a material's links tell about, each with the way to its values.
struct Watched {
    std::uint8_t material = batch::kNoMaterial;
    std::vector<std::pair<ConstituentId, ComparableValues>> values;
    std::vector<std::size_t> keys;   // of these, places in the material's key constituents
    std::size_t moisture = kNoPlace; // the same of moisture

    void set(const Evidence& evidence, std::uint8_t wanted) {
        if (wanted == material)
            return;
        material = wanted;
        values.clear();
        keys.clear();
        moisture = kNoPlace;
        const Material* about = evidence.rules.material(wanted);
        if (about == nullptr)
            return;
        const auto place = [&](ConstituentId id) {
            return static_cast<std::size_t>(std::find(about->key.begin(), about->key.end(), id) -
                                            about->key.begin());
        };
        for (const ConstituentId id : drift_constituents(evidence, wanted)) {
            values.emplace_back(id, ComparableValues(evidence, id));
            keys.push_back(place(id));
        }
        if (place(constituent::moisture) < about->key.size())
            moisture = place(constituent::moisture);
    }
};

// Whether the moistures of the links of one sample and material are that of their median, and of the median
// on their instrument.
void set_stable(std::span<Link> links, std::vector<double>& moistures) {
    const auto set = [&](bool Link::*stable, const auto& among) {
        moistures.clear();
        for (const Link& link : links)
            if (among(link) && !std::isnan(link.moisture))
                moistures.push_back(link.moisture);
        const auto middle = stats::median(moistures);
        for (Link& link : links)
            if (among(link))
                link.*stable =
                    std::isnan(link.moisture) || std::abs(link.moisture - *middle) <= kMoistureChange;
    };
    set(&Link::stable, [](const Link&) { return true; });
    for (std::size_t i = 0; i < links.size(); ++i) {
        const auto on_it = [&, instrument = links[i].instrument](const Link& l) {
            return l.instrument == instrument;
        };
        if (std::none_of(links.begin(), links.begin() + static_cast<std::ptrdiff_t>(i), on_it))
            set(&Link::stable_here, on_it);
    }
}

// Fills `into`, one link for each of `chosen`; `first`: index of the first in all.
void fill(const Evidence& evidence, const Disagreeing& left_out, std::span<const ChosenLink> chosen,
          std::size_t first, std::size_t width, Links& into) {
    const batch::Batch& batch = evidence.batch;
    Watched watched;
    std::vector<double> moistures;
    std::size_t group = 0;  // first link of the sample and material
    bool disagrees = false; // the sample, in some constituent
    const std::span<Link> links = std::span(into.all).subspan(first, chosen.size());
    for (std::size_t i = 0; i < chosen.size(); ++i) {
        const auto [sample, row, place, session, material] = chosen[i];
        watched.set(evidence, material);
        if (i == 0 || sample != chosen[i - 1].sample) {
            const auto at = left_out.lower_bound({sample, ConstituentId{}});
            disagrees = at != left_out.end() && at->first == sample;
        }
        // What was decoded for the repeats is still right unless a value has been excluded since.
        const bool decoded = evidence.key_values != nullptr && place != kNone &&
                             evidence.key_values->material(place) == material &&
                             (evidence.so_far.row_flags[row] & Judgement::kHasExclude) == 0;
        const std::span<const double> known =
            decoded ? evidence.key_values->of(place) : std::span<const double>();
        links[i] = {material,
                    batch.sessions[session].instrument,
                    sample,
                    session,
                    row,
                    true,
                    true,
                    decoded && watched.moisture != kNoPlace ? known[watched.moisture]
                                                            : moisture_of(evidence, row).value_or(kNothing),
                    static_cast<std::uint32_t>((first + i) * width)};
        double* to = into.values.data() + links[i].values;
        for (std::size_t k = 0; k < watched.values.size(); ++k) {
            auto& [id, value] = watched.values[k];
            const bool out = disagrees && left_out.contains({sample, id});
            to[k] = out ? kNothing : decoded ? known[watched.keys[k]] : value(row).value_or(kNothing);
        }
        if (links[i].sample != links[group].sample || links[i].material != links[group].material) {
            set_stable(links.subspan(group, i - group), moistures);
            group = i;
        }
    }
    set_stable(links.subspan(group), moistures);
}

} // namespace

std::set<std::uint32_t> reused_samples(const Judgement& judgement) {
    std::set<std::uint32_t> reused;
    const auto code = code_index("id-reused");
    for (const Finding& finding : of_group(judgement.findings, FindingGroup::sample))
        if (finding.code == *code && !finding.settled)
            reused.insert(finding.subject);
    return reused;
}

Links links(const Evidence& evidence) {
    const batch::Batch& batch = evidence.batch;
    const std::set<std::uint32_t> reused = reused_samples(evidence.so_far);
    // First which readings link, then what they say.
    const std::vector<std::vector<ChosenLink>> pieces = choose_links(evidence, reused);
    std::vector<std::size_t> begin = {0};
    for (const auto& piece : pieces)
        begin.push_back(begin.back() + piece.size());
    std::size_t width = 0;
    for (std::uint8_t m = 0; m < batch.material_names.size(); ++m)
        width = std::max(width, drift_constituents(evidence, m).size());
    Links found;
    found.all.resize(begin.back());
    found.values.resize(begin.back() * width);
    const Disagreeing left_out = disagreeing(evidence.so_far);
    parallel_for(pieces.size(), evidence.rules.batch.threads, [&](std::size_t p) {
        if (!pieces[p].empty())
            fill(evidence, left_out, pieces[p], begin[p], width, found);
    });
    const auto before = [](const Link& a, const Link& b) {
        return std::tuple(a.material, a.sample, a.session, a.row) <
               std::tuple(b.material, b.sample, b.session, b.row);
    };
    if (!std::is_sorted(found.all.begin(), found.all.end(), before))
        std::sort(found.all.begin(), found.all.end(), before);
    return found;
}

Disagreeing disagreeing(const Judgement& judgement) {
    Disagreeing found;
    const auto code = code_index("repeats-disagree");
    for (const Finding& finding : of_group(judgement.findings, FindingGroup::sample))
        if (finding.code == *code)
            found.emplace(finding.subject, finding.constituent);
    return found;
}

std::vector<ConstituentId> drift_constituents(const Evidence& evidence, std::uint8_t material) {
    std::vector<ConstituentId> wanted;
    if (const Material* about = evidence.rules.material(material))
        std::copy_if(about->key.begin(), about->key.end(), std::back_inserter(wanted),
                     [](ConstituentId id) { return id != constituent::moisture; });
    std::sort(wanted.begin(), wanted.end());
    return wanted;
}

double least_shift(const Judgement& judgement, std::uint8_t material, ConstituentId constituent) {
    const auto at = judgement.repeatability_sd.find({material, constituent});
    return at == judgement.repeatability_sd.end() ? 0 : at->second.sd;
}

} // namespace thresh::rules
