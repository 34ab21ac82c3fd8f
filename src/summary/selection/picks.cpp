// Candidates are gathered first, so that no fault of measurement can be picked for its distance. Distances
// are Euclidean on constituents standardised over the candidates of a material and oil type.
#include <thresh/summary/picks.hpp>

#include "summary/line_groups.hpp"
#include "summary/material_order.hpp"
#include "summary/workspace.hpp"

#include <thresh/rules/session_findings.hpp>
#include <thresh/stats/random.hpp>
#include <thresh/stats/selection.hpp>

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <map>

namespace thresh::summary {

namespace {

struct Candidate {
    std::uint32_t sample = kNone;
    std::vector<double> values; // of the constituents that the material is spanned by
    std::string flags;          // findings that force it, with their constituents
    bool outside_calibration = false, extreme = false;
};

// Samples that are picked among each other: of a material and an oil type (empty where the list names none).
using Pool = std::pair<std::uint8_t, std::string>;

class Candidates {
  public:
    Candidates(const SampleMeans& means, const PickOptions& options)
        : means_(means), season_(means.season()), workspace_(means.workspace()),
          calibration_(rules::code_index("outside-calibration")), below_(rules::code_index("below-expected")),
          above_(rules::code_index("above-expected")) {
        session_marked_.resize(season_.batch.kind.size());
        for (const rules::Judgement::SessionMark& marked : season_.judgement.session_marks)
            if (marked.mark.mark != Mark::use)
                session_marked_[marked.mark.row] = true;
        // A result of a blind duplicate is one of its original.
        std::size_t found = 0;
        for (std::uint32_t s = 0; s < season_.batch.samples.size(); ++s)
            if (options.analysed.contains(std::string(season_.batch.samples[s].id))) {
                ++found;
                std::uint32_t original = s;
                while (season_.batch.samples[original].original != kNone)
                    original = season_.batch.samples[original].original;
                analysed_.insert(original);
            }
        if (found < options.analysed.size())
            notes_.push_back(
                fmt::format("reference results of no sample here: {}; results under the codes of a "
                            "shipment need the samples' own IDs",
                            options.analysed.size() - found));
    }
    const std::vector<std::string>& notes() const { return notes_; }

    // In order of sample IDs.
    std::map<Pool, std::vector<Candidate>> gather() {
        std::map<Pool, std::vector<Candidate>> found;
        for (const SampleMeans::Group group : means_.list_groups()) {
            if (group.material == batch::kNoMaterial) {
                ++left_out_["of unknown material"];
                continue;
            }
            Candidate candidate;
            candidate.sample = group.sample;
            if (const char* why = reason_against(group, candidate)) {
                ++left_out_[why];
                continue;
            }
            candidate.values = numbers_.mean;
            const std::string_view oil_type = sample_attribute(season_.batch, group.sample, "oil_type");
            found[{group.material, std::string(oil_type)}].push_back(std::move(candidate));
        }
        return found;
    }
    const std::map<std::string, std::size_t>& left_out() const { return left_out_; }

  private:
    // Null when it can be picked.
    const char* reason_against(SampleMeans::Group group, Candidate& candidate) {
        const batch::Batch& batch = season_.batch;
        const batch::Sample& sample = batch.samples[group.sample];
        if (sample.original != kNone)
            return "duplicates of other samples";
        if (sample.line == kNone)
            return "not in the sample list";
        if (batch.list.keep_whole(sample.entry))
            return "irreplaceable (keep_whole)";
        if (batch.list.treated(sample.entry))
            return "treated";
        if (batch.list.text(sample.entry, batch::ListText::kind) == "single_plant")
            return "single plants";
        if (analysed_.contains(group.sample))
            return "analysed already";
        means_.compute(group, *workspace_, numbers_);
        if (numbers_.used == 0)
            return "without a usable reading";
        return flagged_otherwise(group, candidate) ? "with an open finding that must be settled first"
                                                   : nullptr;
    }

    // Whether all readings of the session are under review. What is about one constituent marks values and
    // lies on some readings only: `session_marked_` tells of those.
    bool session_flagged(std::uint32_t session) const {
        if (session == kNone)
            return false;
        const auto findings = season_.judgement.of_session(session);
        return std::any_of(findings.begin(), findings.end(), [&](const Finding& finding) {
            return rules::about_whole_session(finding, Severity::review, season_.rules);
        });
    }

    // Whether something but its extreme or uncalibrated values is under review. The verdict would not tell:
    // a scan outside the calibration sets it too.
    bool flagged_otherwise(SampleMeans::Group group, Candidate& candidate) {
        std::set<std::string> flags;
        bool otherwise = false;
        const auto look_at = [&](std::span<const Finding> findings) {
            for (const Finding& finding : findings) {
                if (finding.settled || finding.severity < Severity::review)
                    continue;
                const bool calibration = finding.code == calibration_;
                const bool extreme = finding.code == below_ || finding.code == above_;
                candidate.outside_calibration = candidate.outside_calibration || calibration;
                candidate.extreme = candidate.extreme || extreme;
                otherwise = otherwise || (!calibration && !extreme);
                std::string flag(rules::catalogue()[finding.code].code);
                if (finding.constituent != kNoConstituent)
                    flag += " in " + season_.rules.constituents[finding.constituent].name;
                flags.insert(std::move(flag));
            }
        };
        for (const RowId row : season_.batch.rows_of(group.sample)) {
            if (season_.batch.material[row] != group.material ||
                season_.judgement.verdict[row] > Verdict::review)
                continue;
            look_at(season_.judgement.of_row(row));
            otherwise = otherwise || session_marked_[row] || session_flagged(season_.batch.session[row]);
        }
        look_at(season_.judgement.of_sample(group.sample));
        candidate.flags = fmt::format("{}", fmt::join(flags, ", "));
        return otherwise;
    }

    const SampleMeans& means_;
    Season season_;
    std::unique_ptr<Workspace, void (*)(Workspace*)> workspace_;
    SampleNumbers numbers_;
    std::optional<std::uint16_t> calibration_, below_, above_;
    std::vector<bool> session_marked_; // by row: some value is under review for its session
    std::set<std::uint32_t> analysed_; // samples
    std::vector<std::string> notes_;
    std::map<std::string, std::size_t> left_out_;
};

// Even shares of `count`, none larger than there is room for; a remainder goes to the first.
std::vector<std::size_t> even_shares(const std::vector<std::size_t>& room, std::size_t count) {
    std::vector<std::size_t> share(room.size());
    for (bool grew = true; grew && count > 0;) {
        grew = false;
        for (std::size_t i = 0; i < room.size(); ++i)
            if (count > 0 && share[i] < room[i]) {
                ++share[i];
                --count;
                grew = true;
            }
    }
    return share;
}

// The share of each pool, of which those of a material are neighbours: first over materials, then within.
std::vector<std::size_t> shares(const std::vector<Pool>& pools, const std::vector<std::size_t>& room,
                                std::size_t count) {
    std::vector<std::size_t> of_material, first;
    for (std::size_t i = 0; i < pools.size(); ++i) {
        if (i == 0 || pools[i].first != pools[i - 1].first) {
            of_material.push_back(0);
            first.push_back(i);
        }
        of_material.back() += room[i];
    }
    first.push_back(pools.size());
    std::vector<std::size_t> made;
    const std::vector<std::size_t> material_share = even_shares(of_material, count);
    for (std::size_t m = 0; m < material_share.size(); ++m) {
        const auto from = room.begin() + static_cast<std::ptrdiff_t>(first[m]),
                   to = room.begin() + static_cast<std::ptrdiff_t>(first[m + 1]);
        for (const std::size_t one : even_shares({from, to}, material_share[m]))
            made.push_back(one);
    }
    return made;
}

// Picks within one material and oil type.
class Picker {
  public:
    // `stream` tells the random draws of one pool of a material from those of the next.
    Picker(const SampleMeans& means, std::uint8_t material, std::uint64_t stream,
           std::vector<Candidate>& candidates, const PickOptions& options)
        : means_(means), material_(material), stream_(stream), candidates_(candidates), options_(options) {
        choose_constituents();
        drop_incomplete();
        stats::Table raw;
        raw.rows = candidates_.size();
        raw.columns = slots_.size();
        for (const Candidate& candidate : candidates_)
            for (const std::size_t slot : slots_)
                raw.values.push_back(candidate.values[slot]);
        z_ = stats::standardized(raw);
    }
    std::size_t incomplete() const { return incomplete_; }
    const std::vector<std::size_t>& slots() const { return slots_; }

    Result<std::vector<PickedSample>> pick(std::size_t count) {
        count = std::min(count, candidates_.size());
        const auto at_random =
            static_cast<std::size_t>(std::lround(static_cast<double>(count) * options_.random_percent / 100));
        force(std::min((count + 1) / 2, count - std::min(count, at_random)));
        const auto spread = stats::kennard_stone(z_, count - at_random - taken_.size(), taken_);
        if (!spread)
            return tl::unexpected<Error>(spread.error());
        const bool first_two = taken_.empty();
        for (std::size_t i = 0; i < spread->size(); ++i)
            add_spread((*spread)[i], first_two && i < 2);
        add_random(at_random);
        return std::move(picked_);
    }

  private:
    void choose_constituents() {
        const Season& season = means_.season();
        std::vector<ConstituentId> wanted = options_.on;
        if (wanted.empty())
            if (const rules::Material* material = season.rules.material(material_))
                wanted = material->key;
        for (std::size_t slot = 0; slot < means_.constituents().size(); ++slot) {
            const ConstituentId id = means_.constituents()[slot];
            const bool asked = wanted.empty() ? season.rules.constituents[id].group == Group::proximate
                                              : std::find(wanted.begin(), wanted.end(), id) != wanted.end();
            const auto have = std::count_if(candidates_.begin(), candidates_.end(), [&](const Candidate& c) {
                return std::isfinite(c.values[slot]);
            });
            if (asked && 2 * static_cast<std::size_t>(have) > candidates_.size())
                slots_.push_back(slot);
        }
    }
    void drop_incomplete() {
        incomplete_ = std::erase_if(candidates_, [&](const Candidate& c) {
            return slots_.empty() || std::any_of(slots_.begin(), slots_.end(), [&](std::size_t slot) {
                       return !std::isfinite(c.values[slot]);
                   });
        });
    }

    // Its most extreme constituent: `protein 41.2, +2.3 SD`.
    std::string most_extreme(std::size_t row) const {
        std::size_t most = 0;
        for (std::size_t c = 1; c < slots_.size(); ++c)
            if (std::fabs(z_.at(row, c)) > std::fabs(z_.at(row, most)))
                most = c;
        const ConstituentInfo& about =
            means_.season().rules.constituents[means_.constituents()[slots_[most]]];
        return fmt::format("{} {:.{}f}, {:+.1f} SD", about.name, candidates_[row].values[slots_[most]],
                           static_cast<int>(about.decimals), z_.at(row, most));
    }
    double size(std::size_t row) const {
        double most = 0;
        for (std::size_t c = 0; c < slots_.size(); ++c)
            most = std::max(most, std::fabs(z_.at(row, c)));
        return most;
    }
    std::string id(std::size_t row) const {
        return std::string(means_.season().batch.samples[candidates_[row].sample].id);
    }
    void add(std::size_t row, PickedFor why, std::string reason, double distance = 0) {
        picked_.push_back({candidates_[row].sample, material_, why, distance, std::move(reason)});
        taken_.push_back(row);
    }

    void force(std::size_t most) {
        for (const PickedFor why : {PickedFor::calibration, PickedFor::extreme}) {
            std::vector<std::size_t> rows;
            for (std::size_t row = 0; row < candidates_.size(); ++row)
                if (why == PickedFor::calibration
                        ? candidates_[row].outside_calibration
                        : candidates_[row].extreme && !candidates_[row].outside_calibration)
                    rows.push_back(row);
            std::stable_sort(rows.begin(), rows.end(),
                             [&](std::size_t a, std::size_t b) { return size(a) > size(b); });
            for (const std::size_t row : rows)
                if (taken_.size() < most)
                    add(row, why, fmt::format("{}; {}", candidates_[row].flags, most_extreme(row)));
        }
    }
    void add_spread(const stats::Pick& pick, bool of_first_two) {
        if (pick.nearest == pick.row) {
            add(pick.row, PickedFor::spread, "the only sample to choose from");
            return;
        }
        add(pick.row, PickedFor::spread,
            of_first_two
                ? fmt::format("one of the two farthest apart, {:.2f} SD from {}; {}", pick.distance,
                              id(pick.nearest), most_extreme(pick.row))
                : fmt::format("farthest from those picked before: {:.2f} SD from {}, the nearest; {}",
                              pick.distance, id(pick.nearest), most_extreme(pick.row)),
            pick.distance);
    }
    void add_random(std::size_t count) {
        std::vector<bool> taken(candidates_.size());
        for (const std::size_t row : taken_)
            taken[row] = true;
        std::size_t drawn = 0;
        for (const std::size_t row :
             stats::random_order(candidates_.size(), options_.seed, (stream_ << 8) + material_))
            if (!taken[row] && drawn < count) {
                ++drawn;
                add(row, PickedFor::random, fmt::format("drawn at random, seed {}", options_.seed));
            }
    }

    const SampleMeans& means_;
    std::uint8_t material_;
    std::uint64_t stream_;
    std::vector<Candidate>& candidates_;
    const PickOptions& options_;
    std::vector<std::size_t> slots_;
    std::size_t incomplete_ = 0;
    stats::Table z_;
    std::vector<std::size_t> taken_;
    std::vector<PickedSample> picked_;
};

} // namespace

Result<Picks> pick_samples(const SampleMeans& means, const PickOptions& options) {
    if (options.count == 0)
        return fail("nothing to pick", "say how many samples with --count N");
    Candidates gathering(means, options);
    auto candidates = gathering.gather();
    Picks picks;
    std::set<ConstituentId> on;
    std::vector<Pool> pools;
    for (const auto& [pool, list] : candidates)
        pools.push_back(pool);
    std::sort(pools.begin(), pools.end(), [&](const Pool& a, const Pool& b) {
        const batch::Batch& batch = means.season().batch;
        return std::pair(material_name(batch, a.first), std::string_view(a.second)) <
               std::pair(material_name(batch, b.first), std::string_view(b.second));
    });
    std::vector<Picker> pickers;
    std::vector<std::size_t> room;
    std::size_t incomplete = 0, all = 0;
    std::uint64_t of_material = 0;
    for (std::size_t i = 0; i < pools.size(); ++i) {
        std::vector<Candidate>& list = candidates.at(pools[i]);
        of_material = i > 0 && pools[i].first == pools[i - 1].first ? of_material + 1 : 0;
        const Picker& picker = pickers.emplace_back(means, pools[i].first, of_material, list, options);
        incomplete += picker.incomplete();
        all += list.size();
        room.push_back(list.size());
        for (const std::size_t slot : picker.slots())
            on.insert(means.constituents()[slot]);
    }
    picks.notes = gathering.notes();
    for (const auto& [why, n] : gathering.left_out())
        picks.notes.push_back(fmt::format("left out, {}: {}", why, n));
    if (incomplete > 0)
        picks.notes.push_back(
            fmt::format("left out, without a value of a constituent that is spanned: {}", incomplete));
    if (all == 0)
        return fail("no sample can be picked" +
                        (picks.notes.empty() ? "" : ": " + fmt::format("{}", fmt::join(picks.notes, "; "))),
                    "settle the findings, or span other constituents with --on");
    const std::vector<std::size_t> share = shares(pools, room, options.count);
    for (std::size_t i = 0; i < pools.size(); ++i) {
        auto picked = pickers[i].pick(share[i]);
        if (!picked)
            return tl::unexpected<Error>(picked.error());
        picks.samples.insert(picks.samples.end(), picked->begin(), picked->end());
    }
    if (picks.samples.size() < options.count)
        picks.notes.push_back(
            fmt::format("{} wanted, but only {} can be picked", options.count, picks.samples.size()));
    picks.on.assign(on.begin(), on.end());
    return picks;
}

} // namespace thresh::summary
