#include "summary/trials/trial_plots.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

namespace thresh::summary {

void add_read(const LineNumbers& numbers, TrialPlots& into) {
    const std::size_t slots = numbers.mean.size();
    into.read.resize(slots);
    for (std::size_t i = 0; i < numbers.plot_means.size(); ++i)
        if (!std::isnan(numbers.plot_means[i]))
            into.read[i % slots] = true;
}

LineGroup leave_out_plants(const batch::Batch& batch, LineGroups& groups, LineGroup group, TrialPlots& into) {
    const auto first = groups.members.begin() + group.first, last = groups.members.begin() + group.last;
    const auto end = std::stable_partition(first, last, [&](const LineMember& member) {
        const std::string_view kind = sample_attribute(batch, member.sample, "kind");
        into.single_plants += kind == "single_plant" ? 1U : 0U;
        into.remnants += kind == "remnant" ? 1U : 0U;
        return kind != "single_plant" && kind != "remnant";
    });
    group.last = static_cast<std::uint32_t>(end - groups.members.begin());
    return group;
}

void add_group(const batch::Batch& batch, const LineGroups& groups, const LineGroup& group,
               const LineNumbers& numbers, TrialPlots& into) {
    const int code = static_cast<int>(into.lines.size());
    into.lines.push_back(group.key.back());
    into.check.push_back(group.check);
    const std::size_t slots = numbers.mean.size();
    if (numbers.provisional)
        return;
    std::uint32_t plot_row = 0;
    for (std::uint32_t i = group.first; i < group.last; ++plot_row) {
        const LineMember member = groups.members[i];
        while (i < group.last && groups.members[i].plot == member.plot)
            ++i;
        into.line.push_back(code);
        const batch::Place& place = batch.place_of(batch.plots[member.plot]);
        into.environment.push_back(name_of(environment_of(place)));
        into.rep.emplace_back(place.rep);
        into.block.emplace_back(place.block);
        const auto from = numbers.plot_means.begin() + static_cast<std::ptrdiff_t>(plot_row * slots);
        into.values.insert(into.values.end(), from, from + static_cast<std::ptrdiff_t>(slots));
        const auto share = numbers.plot_shares.begin() + static_cast<std::ptrdiff_t>(plot_row * slots);
        into.shares.insert(into.shares.end(), share, share + static_cast<std::ptrdiff_t>(slots));
    }
}

void name_unread_checks(std::vector<TrialPlots>& trials, const TrialModelOptions& options) {
    std::map<std::string, std::set<std::string>> of_trial;
    for (const TrialPlots& plots : trials)
        for (std::size_t line = 0; line < plots.lines.size(); ++line)
            if (plots.check[line] || std::find(options.checks.begin(), options.checks.end(),
                                               plots.lines[line]) != options.checks.end())
                of_trial[plots.trial].insert(plots.lines[line]);
    for (TrialPlots& plots : trials)
        for (const std::string& check : of_trial[plots.trial])
            if (std::find(plots.lines.begin(), plots.lines.end(), check) == plots.lines.end())
                plots.unread_checks.push_back(check);
}

void leave_out_unknown_material(std::vector<TrialPlots>& trials) {
    for (TrialPlots& unknown : trials) {
        if (!unknown.material.empty())
            continue;
        const std::set<int> lines(unknown.line.begin(), unknown.line.end());
        bool known = false;
        for (TrialPlots& other : trials)
            if (other.trial == unknown.trial && !other.material.empty()) {
                other.lines_elsewhere = lines.size();
                known = true;
            }
        if (known)
            unknown.read.assign(unknown.read.size(), false);
    }
}

} // namespace thresh::summary
