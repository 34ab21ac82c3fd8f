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
     "read the sample again, then drop the reading that stands apart in the decisions file, or keep all; "
     "ISO 5725-6 quotes the median when the readings still disagree",
     "critical range in the manner of ISO 5725-6, at the level of `repeats_percent` shared among the key "
     "constituents; at that standard's own 5 % one good sample in twenty would be read again"},
    {"repeats-confirm", Severity::note, About::sample, Phase::repeats, Action::nothing,
     "an out-of-range value that its re-reading confirms",
     "the sample is like that; reading it again tells nothing new",
     "nothing; enter `keep` in the decisions file to be asked no more", "critical range of ISO 5725-6"},
};

// f(n) at the level shared among a material's key constituents, for every n that its groups have. Each is a
// quadrature, so they are computed once, side by side.
class CriticalFactors {
  public:
    explicit CriticalFactors(const Evidence& evidence)
        : by_material_(evidence.rules.batch.material_names.size()) {
        const RepeatCounts& counts = evidence.repeats->counts;
        for (const auto& [m, n] : counts) // in order, so the last of a material is its largest
            by_material_[m].resize(n + 1);
        const std::vector<RepeatCounts::value_type> wanted(counts.begin(), counts.end());
        parallel_for(wanted.size(), evidence.rules.batch.threads, [&](std::size_t i) {
            const auto [m, n] = wanted[i];
            const std::size_t family = evidence.rules.material(m)->key.size();
            by_material_[m][n] =
                stats::critical_range_factor(static_cast<int>(n), 1 - evidence.rules.tests.repeats_percent /
                                                                          100 / static_cast<double>(family));
        });
    }
    double operator()(std::uint8_t material, std::size_t n) const { return by_material_[material][n]; }

  private:
    std::vector<std::vector<double>> by_material_; // [material][n]
};

class Repeats final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }
    bool has_texts() const override { return true; }

    void check_batch(const Evidence& evidence, Sink& sink) const override {
        const RepeatGroups& groups = evidence.repeats->groups;
        const auto& in_force = evidence.repeats->in_force;
        const std::vector<bool> flagged = rows_out_of_range(evidence);
        const CriticalFactors factor(evidence);
        // By material and key constituent; null where none is known.
        std::vector<std::vector<const RepeatabilitySd*>> sd_of(evidence.rules.batch.material_names.size());
        for (std::uint8_t m = 0; m < sd_of.size(); ++m) {
            const Material* material = evidence.rules.material(m);
            sd_of[m].resize(evidence.key_values->width());
            for (std::size_t k = 0; material != nullptr && k < material->key.size(); ++k)
                if (const auto sd = in_force.find({m, material->key[k]}); sd != in_force.end())
                    sd_of[m][k] = &sd->second;
        }
        // The few groups worth a look are sought side by side, and looked at in order.
        struct Striking {
            std::uint32_t group;
            std::size_t key;
        };
        std::vector<std::vector<Striking>> striking(groups.size());
        parallel_for(groups.size(), evidence.rules.batch.threads, [&](std::size_t p) {
            const RepeatPiece& piece = groups[p];
            for (std::uint32_t g = 0; g < piece.groups.size(); ++g) {
                const RepeatGroup& group = piece.groups[g];
                for (std::size_t k = 0; k < piece.width; ++k) {
                    const std::uint32_t n = piece.n(g, k);
                    const auto sd = n < 2 ? nullptr : sd_of[group.material][k];
                    if (sd != nullptr &&
                        (piece.range(g, k) > factor(group.material, n) * sd->sd || flagged[group.first]))
                        striking[p].push_back({g, k});
                }
            }
        });
        for (std::size_t p = 0; p < groups.size(); ++p)
            for (const auto& [g, k] : striking[p]) {
                const RepeatGroup& group = groups[p].groups[g];
                const std::uint32_t sample = groups[p].sample_of(group);
                compare(evidence, sink, sample, repeated_rows(evidence, sample, group),
                        evidence.rules.material(group.material)->key[k], *sd_of[group.material][k],
                        factor(group.material, groups[p].n(g, k)));
            }
    }

    FindingText describe(unsigned, const Finding& finding, const Evidence& evidence) const override {
        FindingText text;
        text.value = raw_of(evidence, finding.row, finding.constituent);
        text.message = evidence.so_far.details[finding.detail];
        return text;
    }

  private:
    void compare(const Evidence& evidence, Sink& sink, std::uint32_t sample, std::span<const RowId> of_group,
                 ConstituentId id, const RepeatabilitySd& sd, double factor) const {
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
        const double critical = factor * sd.sd;
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
                    info.name, on_dry_matter(evidence, id), critical, sd.sd, from(sd))));
            return;
        }
        const bool all_out =
            std::all_of(rows.begin(), rows.end(), [&](RowId row) { return out_of_range(evidence, row, id); });
        if (all_out)
            sink.subject(kConfirm, About::sample, sample, rows.front(), id, {},
                         sink.keep(fmt::format(
                             "{} readings of `{}` agree within {:.2f} in `{}`{}: the value outside its "
                             "expected range is confirmed",
                             values.size(), evidence.batch.samples[sample].id, critical, info.name,
                             on_dry_matter(evidence, id))));
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
