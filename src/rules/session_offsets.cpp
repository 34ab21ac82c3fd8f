// Offsets of sessions, each against the other sessions of its instrument, seen through samples read in
// several of them. Which sessions read which lines plays no part.
#include "rules/dry_values.hpp"
#include "rules/links.hpp"
#include "rules/repeatability_sd.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <thresh/core/parallel.hpp>
#include <tuple>

namespace thresh::rules {

namespace {

// Links of one instrument and material; their sessions numbered from 0.
struct Group {
    std::vector<std::uint32_t> links;    // indices
    std::vector<std::uint32_t> sessions; // by number
};

using Key = std::pair<TextId, std::uint8_t>; // instrument, material

std::map<Key, Group> groups_of(const std::vector<Link>& all) {
    std::map<Key, Group> groups;
    for (std::uint32_t i = 0; i < all.size(); ++i) {
        const Link& link = all[i];
        if (!link.stable_here)
            continue;
        Group& group = groups[{link.instrument, link.material}];
        group.links.push_back(i);
        if (group.sessions.empty() || group.sessions.back() != link.session)
            group.sessions.push_back(link.session);
    }
    for (auto& [key, group] : groups) {
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

constexpr std::size_t kRowsAPiece = 16384;

// Rows [first, last) of a session.
Counts values_in_rows(const Evidence& evidence, std::uint32_t session, std::size_t first, std::size_t last) {
    const batch::Batch& batch = evidence.batch;
    struct Watched {
        std::vector<ConstituentId> ids;
        std::optional<DryValues> dry;
        std::vector<double> values; // of the row looked at
        std::vector<std::size_t> counts;
    };
    std::map<std::uint8_t, Watched> watched;
    for (std::size_t i = first; i < last; ++i) {
        const RowId row = batch.sessions[session].rows[i];
        const std::uint8_t material = batch.material[row];
        if (batch.kind[row] != Kind::seed || evidence.so_far.verdict[row] > Verdict::review ||
            material == batch::kNoMaterial)
            continue;
        auto [at, fresh] = watched.try_emplace(material);
        Watched& of = at->second;
        if (fresh) {
            of.ids = drift_constituents(evidence, material);
            of.counts.resize(of.ids.size());
            of.values.resize(of.ids.size());
            of.dry.emplace(batch, evidence.so_far, of.ids);
        }
        of.dry->read(row, of.values.data());
        for (std::size_t k = 0; k < of.ids.size(); ++k)
            of.counts[k] += std::isnan(of.values[k]) ? 0U : 1U;
    }
    Counts counts;
    for (const auto& [material, of] : watched)
        for (std::size_t k = 0; k < of.ids.size(); ++k)
            if (of.counts[k] > 0)
                counts[{session, material, of.ids[k]}] = of.counts[k];
    return counts;
}

Counts values_in(const Evidence& evidence, const std::vector<bool>& wanted) {
    const batch::Batch& batch = evidence.batch;
    std::vector<std::pair<std::uint32_t, std::size_t>> pieces; // session, first
    for (std::uint32_t s = 0; s < batch.sessions.size(); ++s)
        for (std::size_t first = 0; wanted[s] && first < batch.sessions[s].rows.size(); first += kRowsAPiece)
            pieces.emplace_back(s, first);
    std::vector<Counts> found(pieces.size());
    parallel_for(pieces.size(), evidence.rules.batch.threads, [&](std::size_t p) {
        const auto [session, first] = pieces[p];
        found[p] = values_in_rows(evidence, session, first,
                                  std::min(first + kRowsAPiece, batch.sessions[session].rows.size()));
    });
    Counts counts;
    for (const Counts& of_piece : found)
        for (const auto& [place, count] : of_piece)
            counts[place] += count;
    return counts;
}

// One constituent of a group.
struct Task {
    Key key;
    const Group* group;
    std::size_t k; // of drift_constituents
    ConstituentId id;
};

std::vector<stats::ShiftedSession> shifted(const Evidence& evidence, const Links& links, const Task& task,
                                           double level) {
    std::vector<stats::LinkedReading> readings;
    readings.reserve(task.group->links.size());
    for (const std::uint32_t i : task.group->links) {
        const Link& link = links.all[i];
        if (const double read = links.value(link, task.k); !std::isnan(read))
            readings.push_back({number_of(*task.group, link.session), static_cast<int>(link.sample), read});
    }
    stats::ShiftOptions options;
    options.level = level;
    options.least = least_shift(evidence.so_far, task.key.second, task.id);
    return stats::shifted_sessions(readings, static_cast<int>(task.group->sessions.size()), options);
}

using Found = std::map<std::tuple<TextId, std::uint8_t, ConstituentId>, std::vector<stats::ShiftedSession>>;

// By session. Counting values takes longer than finding shifts, and most sessions have none.
std::vector<bool> wanted_sessions(const batch::Batch& batch, const std::map<Key, Group>& groups,
                                  const Found& found, OffsetsOf wanted) {
    std::vector<bool> of_session(batch.sessions.size(), wanted == OffsetsOf::all);
    for (const auto& [key, group] : groups)
        for (const std::uint32_t session : group.sessions)
            of_session[session] = wanted != OffsetsOf::shifted;
    for (const auto& [place, shifts] : found)
        for (std::size_t s = 0; s < shifts.size(); ++s)
            if (shifts[s].shifted)
                of_session[groups.at({std::get<TextId>(place), std::get<std::uint8_t>(place)}).sessions[s]] =
                    true;
    return of_session;
}

} // namespace

std::vector<SessionOffset> session_offsets(const Evidence& evidence, const Links& links, OffsetsOf wanted) {
    const batch::Batch& batch = evidence.batch;
    const std::map<Key, Group> groups = groups_of(links.all);
    std::size_t tests = 0;
    std::vector<Task> tasks;
    for (const auto& [key, group] : groups) {
        const std::vector<ConstituentId> ids = drift_constituents(evidence, key.second);
        tests += group.sessions.size() * ids.size();
        for (std::size_t k = 0; k < ids.size(); ++k)
            tasks.push_back({key, &group, k, ids[k]});
    }
    const double level = evidence.rules.tests.drift_percent / 100 / static_cast<double>(tests);
    std::vector<std::vector<stats::ShiftedSession>> of_task(tasks.size());
    parallel_for(tasks.size(), evidence.rules.batch.threads,
                 [&](std::size_t t) { of_task[t] = shifted(evidence, links, tasks[t], level); });
    Found found;
    for (std::size_t t = 0; t < tasks.size(); ++t)
        found[{tasks[t].key.first, tasks[t].key.second, tasks[t].id}] = std::move(of_task[t]);

    std::set<std::pair<std::uint32_t, std::uint8_t>> linked; // sessions with links, of whatever moisture
    for (const Link& link : links.all)
        linked.emplace(link.session, link.material);
    std::vector<SessionOffset> offsets;
    for (const auto& [place, count] : values_in(evidence, wanted_sessions(batch, groups, found, wanted))) {
        const auto [session, material, id] = place;
        const TextId instrument = batch.sessions[session].instrument;
        SessionOffset offset{session, material, id, count, {}};
        const auto at = found.find({instrument, material, id});
        const auto group = groups.find({instrument, material});
        const int number = group == groups.end() ? -1 : number_of(group->second, session);
        if (at != found.end() && number >= 0)
            offset.found = at->second[static_cast<std::size_t>(number)];
        else
            offset.found.reason = linked.contains({session, material})
                                      ? "shares no sample that kept its moisture with another session"
                                      : "shares no sample with another session";
        offsets.push_back(std::move(offset));
    }
    return offsets;
}

} // namespace thresh::rules
