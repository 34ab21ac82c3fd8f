// repeats-disagree, repeats-confirm: readings of one sample in one session against the critical range of
// ISO 5725-6, on key constituents. The chance of a false alarm holds for all key constituents together.
#include "rules/limits.hpp"
#include "rules/repeatability_sd.hpp"

#include <algorithm>
#include <cmath>
#include <thresh/core/parallel.hpp>
#include <thresh/stats/repeatability.hpp>
#include <thresh/stats/summary.hpp>

namespace thresh::rules {

namespace {

constexpr unsigned kDisagree = 0, kConfirm = 1;

constexpr Declaration kDeclared[] = {
    {"repeats-disagree", Severity::review, About::sample, Phase::repeats, Action::read_again,
     "readings of one sample lie farther apart than repeatability allows",
     "one of the packs was not this sample, or was packed or read badly; the mean hides it",
     "read the sample again; ISO 5725-6 quotes the median when the readings still disagree",
     "critical range in the manner of ISO 5725-6, at the level of `repeats_percent` shared among the key "
     "constituents; at that standard's own 5 % one good sample in twenty would be read again"},
    {"repeats-confirm", Severity::note, About::sample, Phase::repeats, Action::nothing,
     "an out-of-range value that its re-reading confirms",
     "the sample is like that; reading it again tells nothing new",
     "nothing; enter `keep` in the decisions file to be asked no more", "critical range of ISO 5725-6"},
};

// f(n) at the level shared among a family of constituents; each computed once, by quadrature.
class CriticalFactors {
  public:
    explicit CriticalFactors(double percent) : percent_(percent) {}
    double operator()(std::size_t n, std::size_t family) {
        auto [at, fresh] = known_.try_emplace({n, family}, 0);
        if (fresh)
            at->second = stats::critical_range_factor(static_cast<int>(n),
                                                      1 - percent_ / 100 / static_cast<double>(family));
        return at->second;
    }

  private:
    double percent_;
    std::map<std::pair<std::size_t, std::size_t>, double> known_;
};

class Repeats final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }
    bool has_texts() const override { return true; }

    void check_batch(const Evidence& evidence, Sink& sink) const override {
        const RepeatGroups groups = repeat_groups(evidence);
        const auto in_force = repeatability_in_force(evidence, groups);
        const std::vector<bool> flagged = rows_out_of_range(evidence);
        // The few groups worth a look are sought side by side, and looked at in order.
        std::vector<std::vector<std::size_t>> striking(groups.size());
        parallel_for(groups.size(), evidence.rules.batch.threads, [&](std::size_t p) {
            CriticalFactors factor(evidence.rules.tests.repeats_percent);
            for (std::size_t s = 0; s < groups[p].spreads.size(); ++s) {
                const RepeatSpread& spread = groups[p].spreads[s];
                const RepeatGroup& group = groups[p].groups[spread.group];
                const auto sd = in_force.find({group.material, spread.constituent});
                if (sd != in_force.end() &&
                    (spread.range > factor(spread.n, family_of(evidence, group)) * sd->second.sd ||
                     flagged[groups[p].rows_of(group).front()]))
                    striking[p].push_back(s);
            }
        });
        CriticalFactors factor(evidence.rules.tests.repeats_percent);
        for (std::size_t p = 0; p < groups.size(); ++p)
            for (const std::size_t s : striking[p]) {
                const RepeatSpread& spread = groups[p].spreads[s];
                const RepeatGroup& group = groups[p].groups[spread.group];
                compare(evidence, sink, group.sample, groups[p].rows_of(group), spread.constituent,
                        in_force.at({group.material, spread.constituent}), factor,
                        family_of(evidence, group));
            }
    }

    FindingText describe(unsigned, const Finding& finding, const Evidence& evidence) const override {
        FindingText text;
        text.value = raw_of(evidence, finding.row, finding.constituent);
        text.message = evidence.so_far.details[finding.detail];
        return text;
    }

  private:
    static std::size_t family_of(const Evidence& evidence, const RepeatGroup& group) {
        return evidence.rules.material(group.material)->key.size();
    }

    void compare(const Evidence& evidence, Sink& sink, std::uint32_t sample, std::span<const RowId> of_group,
                 ConstituentId id, const RepeatabilitySd& sd, CriticalFactors& factor,
                 std::size_t family) const {
        ComparableValues comparable(evidence, id);
        std::vector<double> values;
        std::vector<RowId> rows;
        for (const RowId row : of_group) {
            const auto value = comparable(row);
            if (!value)
                continue;
            values.push_back(*value);
            rows.push_back(row);
        }
        if (values.size() < 2)
            return;
        const auto [low, high] = std::minmax_element(values.begin(), values.end());
        const double range = *high - *low;
        const double critical = factor(values.size(), family) * sd.sd;
        const auto& info = evidence.rules.constituents[id];
        if (range > critical) {
            const double middle = *stats::median(values);
            std::size_t farthest = values.size() - 1; // of two equally far the later one
            for (std::size_t i = values.size(); i-- > 0;)
                if (std::abs(values[i] - middle) > std::abs(values[farthest] - middle) * (1 + 1e-12))
                    farthest = i;
            sink.subject(
                kDisagree, About::sample, sample, rows[farthest], id, {},
                sink.keep(fmt::format(
                    "{} readings of `{}` differ by {} in `{}`{}, the critical range is {:.2f} "
                    "(repeatability SD {:.3f} {})",
                    values.size(), evidence.batch.samples[sample].id, shown(range, critical, info.decimals),
                    info.name, dry(id), critical, sd.sd, from(sd))));
            return;
        }
        const bool all_out =
            std::all_of(rows.begin(), rows.end(), [&](RowId row) { return out_of_range(evidence, row, id); });
        if (all_out)
            sink.subject(
                kConfirm, About::sample, sample, rows.front(), id, {},
                sink.keep(fmt::format(
                    "{} readings of `{}` agree within {:.2f} in `{}`{}: the value outside its "
                    "expected range is confirmed",
                    values.size(), evidence.batch.samples[sample].id, critical, info.name, dry(id))));
    }

    // Rows with any value outside its expected range: the few that can be confirmed.
    static std::vector<bool> rows_out_of_range(const Evidence& evidence) {
        const auto below = code_index("below-expected"), above = code_index("above-expected");
        std::vector<bool> rows(evidence.batch.kind.size(), false);
        for (const Finding& f : evidence.so_far.findings)
            if (f.about == About::value && (f.code == *below || f.code == *above))
                rows[f.row] = true;
        return rows;
    }

    static bool out_of_range(const Evidence& evidence, RowId row, ConstituentId id) {
        const auto& findings = evidence.so_far.findings;
        // Findings are sorted by row first.
        auto at = std::partition_point(findings.begin(), findings.end(), [&](const Finding& f) {
            return (f.about == About::value || f.about == About::reading) && f.row < row;
        });
        for (; at != findings.end() && at->row == row; ++at) {
            const auto code = catalogue()[at->code].code;
            if (at->constituent == id && (code == "below-expected" || code == "above-expected"))
                return true;
        }
        return false;
    }

    static const char* dry(ConstituentId id) { return id == constituent::moisture ? "" : " of dry matter"; }
    static std::string from(const RepeatabilitySd& sd) {
        return sd.samples == 0 ? "of the rules"
                               : fmt::format("of this season, from {} re-read samples", sd.samples);
    }
};

} // namespace

const Rule& rule_repeats() {
    static const Repeats rule;
    return rule;
}

} // namespace thresh::rules
