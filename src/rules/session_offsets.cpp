// Offsets of sessions, each against the other sessions of its instrument, seen through samples read in
// several of them. Which sessions read which lines plays no part.
#include "rules/links.hpp"
#include "rules/repeatability_sd.hpp"

#include <algorithm>
#include <map>
#include <tuple>

namespace thresh::rules {

namespace {

// Links of one instrument and material; their sessions numbered from 0.
struct Group {
    std::vector<const Link*> links;
    std::vector<std::uint32_t> sessions; // by number
};

using Key = std::pair<TextId, std::uint8_t>; // instrument, material

std::map<Key, Group> groups_of(const std::vector<Link>& all) {
    std::map<Key, Group> groups;
    for (const Link& link : all)
        if (link.stable)
            groups[{link.instrument, link.material}].links.push_back(&link);
    for (auto& [key, group] : groups) {
        for (const Link* link : group.links)
            group.sessions.push_back(link->session);
        std::sort(group.sessions.begin(), group.sessions.end());
        group.sessions.erase(std::unique(group.sessions.begin(), group.sessions.end()), group.sessions.end());
    }
    return groups;
}

int number_of(const Group& group, std::uint32_t session) {
    const auto at = std::lower_bound(group.sessions.begin(), group.sessions.end(), session);
    return at != group.sessions.end() && *at == session ? static_cast<int>(at - group.sessions.begin()) : -1;
}

// Usable values of each session, material and constituent.
using Counts = std::map<std::tuple<std::uint32_t, std::uint8_t, ConstituentId>, std::size_t>;

Counts values_in(const Evidence& evidence, const std::map<Key, Group>& groups, bool all_sessions) {
    Counts counts;
    const batch::Batch& batch = evidence.batch;
    std::vector<bool> linked(batch.sessions.size(), all_sessions);
    for (const auto& [key, group] : groups)
        for (const std::uint32_t session : group.sessions)
            linked[session] = true;
    std::map<std::uint8_t, std::vector<std::pair<ConstituentId, ComparableValues>>> watched;
    for (std::uint32_t s = 0; s < batch.sessions.size(); ++s) {
        if (!linked[s])
            continue;
        for (const RowId row : batch.sessions[s].rows) {
            const std::uint8_t material = batch.material[row];
            if (batch.kind[row] != Kind::seed || evidence.so_far.verdict[row] > Verdict::review ||
                material == batch::kNoMaterial)
                continue;
            auto [at, fresh] = watched.try_emplace(material);
            if (fresh)
                for (const ConstituentId id : drift_constituents(evidence, material))
                    at->second.emplace_back(id, ComparableValues(evidence, id));
            for (auto& [id, value] : at->second)
                if (value(row))
                    ++counts[{s, material, id}];
        }
    }
    return counts;
}

} // namespace

std::vector<SessionOffset> session_offsets(const Evidence& evidence, const std::vector<Link>& all,
                                           LeastShift& least, bool all_sessions) {
    const batch::Batch& batch = evidence.batch;
    const Ruleset& rules = evidence.rules;
    const std::map<Key, Group> groups = groups_of(all);
    const Disagreeing left_out = disagreeing(evidence.so_far);
    std::size_t tests = 0;
    for (const auto& [key, group] : groups)
        tests += group.sessions.size() * drift_constituents(evidence, key.second).size();

    std::map<std::tuple<TextId, std::uint8_t, ConstituentId>, std::vector<stats::ShiftedSession>> found;
    for (const auto& [key, group] : groups)
        for (const ConstituentId id : drift_constituents(evidence, key.second)) {
            ComparableValues value(evidence, id);
            std::vector<stats::LinkedReading> readings;
            for (const Link* link : group.links)
                if (const auto read = left_out.contains({link->sample, id}) ? std::nullopt : value(link->row))
                    readings.push_back(
                        {number_of(group, link->session), static_cast<int>(link->sample), *read});
            stats::ShiftOptions options;
            options.level = rules.tests.drift_percent / 100 / static_cast<double>(tests);
            options.least = least(key.second, id);
            found[{key.first, key.second, id}] =
                stats::shifted_sessions(readings, static_cast<int>(group.sessions.size()), options);
        }

    std::vector<SessionOffset> offsets;
    for (const auto& [place, count] : values_in(evidence, groups, all_sessions)) {
        const auto [session, material, id] = place;
        const TextId instrument = batch.sessions[session].instrument;
        SessionOffset offset{session, material, id, count, {}};
        const auto at = found.find({instrument, material, id});
        const auto group = groups.find({instrument, material});
        const int number = group == groups.end() ? -1 : number_of(group->second, session);
        if (at != found.end() && number >= 0)
            offset.found = at->second[static_cast<std::size_t>(number)];
        else
            offset.found.reason = "shares no sample with another session";
        offsets.push_back(std::move(offset));
    }
    return offsets;
}

} // namespace thresh::rules
