// queue-shifted: a run of readings under the IDs of their neighbours, because an entry was skipped or made
// twice. What a sample should read is told by the other samples of its line (checks above all), with its
// environment; a run is found when its values fit the next IDs of the session better than their own.
#include "rules/limits.hpp"
#include "rules/repeatability_sd.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <thresh/stats/queue.hpp>
#include <thresh/stats/summary.hpp>

namespace thresh::rules {

namespace {

constexpr std::size_t kFewestOthers = 2;     // samples of a line besides the one in question
constexpr std::size_t kFewestResiduals = 40; // before their spread is known well enough
constexpr double kChance = 0.01;             // of any false run in a season

constexpr Declaration kDeclared[] = {
    {"queue-shifted", Severity::review, About::reading, Phase::queue, Action::correct_id,
     "a run of readings fits the sample list better moved by one",
     "an entry was skipped or made twice: every reading of the run stands under its neighbour's ID",
     "compare packets and readings of the run; enter `rename` in the decisions file for each reading, or "
     "read "
     "the run again",
     "likelihood ratio against the other samples of each line (repeats of a sample count as one), all key "
     "constituents together, at least 4 samples; 1 % chance over all samples of the season",
     /*fault=*/false, /*together=*/true},
};

// A sample at its place in a session's queue: readings in a row under one ID.
struct Stay {
    std::uint32_t session, sample;
    std::uint8_t material;
    std::vector<RowId> rows;
    std::vector<double> values, predicted;       // of the material's constituents; empty: none
    std::uint32_t after = kNone, before = kNone; // samples
};

class QueueShifted final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }
    bool has_texts() const override { return true; }

    void check_batch(const Evidence& evidence, Sink& sink) const override {
        if (!evidence.batch.list.given())
            return; // without a list nothing else tells of the line
        std::map<std::uint8_t, std::vector<Stay>> by_material;
        gather(evidence, by_material);
        for (auto& [material, stays] : by_material)
            check_material(evidence, sink, material, stays);
    }

    FindingText describe(unsigned, const Finding& finding, const Evidence& evidence) const override {
        FindingText text;
        text.message = evidence.so_far.details[finding.detail];
        return text;
    }

  private:
    static void gather(const Evidence& evidence, std::map<std::uint8_t, std::vector<Stay>>& by_material) {
        const batch::Batch& batch = evidence.batch;
        for (std::uint32_t s = 0; s < batch.sessions.size(); ++s)
            for (const RowId row : batch.sessions[s].rows) {
                const std::uint8_t material = batch.material[row];
                if (batch.kind[row] != Kind::seed || batch.sample[row] == kNone ||
                    material == batch::kNoMaterial)
                    continue;
                std::vector<Stay>& stays = by_material[material];
                if (stays.empty() || stays.back().session != s || stays.back().sample != batch.sample[row])
                    stays.push_back({s, batch.sample[row], material, {}, {}, {}, kNone, kNone});
                stays.back().rows.push_back(row);
            }
    }

    static void fill_values(const Evidence& evidence, const std::vector<ConstituentId>& ids,
                            std::vector<Stay>& stays) {
        std::vector<ComparableValues> value;
        for (const ConstituentId id : ids)
            value.emplace_back(evidence, id);
        for (Stay& stay : stays) {
            for (ComparableValues& of : value) {
                double sum = 0;
                std::size_t n = 0;
                for (const RowId row : stay.rows)
                    if (evidence.so_far.verdict[row] <= Verdict::review)
                        if (const auto read = of(row)) {
                            sum += *read;
                            ++n;
                        }
                if (n > 0)
                    stay.values.push_back(sum / static_cast<double>(n));
            }
            if (stay.values.size() != ids.size())
                stay.values.clear();
        }
    }

    // Environment medians taken off lines' medians, twice over; then each sample is predicted by its line's
    // other samples and its environment.
    static void predict(const Evidence& evidence, std::size_t variables, std::vector<Stay>& stays) {
        const batch::Batch& batch = evidence.batch;
        std::map<std::uint32_t, std::vector<Stay*>> lines;
        std::map<std::pair<std::string_view, std::string_view>, std::vector<Stay*>> environments;
        for (Stay& stay : stays) {
            const batch::Sample& sample = batch.samples[stay.sample];
            if (stay.values.empty() || sample.line == kNone)
                continue;
            lines[sample.line].push_back(&stay);
            const batch::Plot& plot = batch.plots[sample.plot];
            environments[{plot.trial, plot.environment}].push_back(&stay);
        }
        for (std::size_t v = 0; v < variables; ++v) {
            std::vector<double> residual(stays.size(), 0.0), environment(stays.size(), 0.0); // by stay
            const auto at = [&](const Stay* stay) { return static_cast<std::size_t>(stay - stays.data()); };
            for (const auto& [line, members] : lines)
                for (const Stay* stay : members)
                    residual[at(stay)] = stay->values[v];
            const auto sweep = [&](const auto& groups, bool keep) {
                for (const auto& [key, members] : groups) {
                    std::vector<double> values;
                    for (const Stay* stay : members)
                        values.push_back(residual[at(stay)]);
                    const double middle = *stats::median(values);
                    for (const Stay* stay : members) {
                        residual[at(stay)] -= middle;
                        if (keep)
                            environment[at(stay)] += middle;
                    }
                }
            };
            for (int round = 0; round < 2; ++round) {
                sweep(lines, false);
                sweep(environments, true);
            }
            for (const auto& [line, members] : lines)
                for (Stay* stay : members) {
                    std::vector<double> others;
                    for (const Stay* other : members)
                        if (other->sample != stay->sample)
                            others.push_back(other->values[v] - environment[at(other)]);
                    if (others.size() >= kFewestOthers && stay->predicted.size() == v)
                        stay->predicted.push_back(*stats::median(others) + environment[at(stay)]);
                }
        }
        for (Stay& stay : stays)
            if (stay.predicted.size() != variables)
                stay.predicted.clear();
    }

    static void check_material(const Evidence& evidence, Sink& sink, std::uint8_t material,
                               std::vector<Stay>& stays) {
        const Material* about = evidence.rules.material(material);
        if (about == nullptr)
            return;
        std::vector<ConstituentId> ids;
        for (const ConstituentId id : about->key)
            if (id != constituent::moisture && std::any_of(stays.begin(), stays.end(), [&](const Stay& stay) {
                    return raw_of(evidence, stay.rows.front(), id).has_value();
                }))
                ids.push_back(id);
        if (ids.empty())
            return;
        fill_values(evidence, ids, stays);
        predict(evidence, ids.size(), stays);
        std::vector<std::vector<double>> residuals;
        for (const Stay& stay : stays)
            if (!stay.predicted.empty()) {
                residuals.emplace_back();
                for (std::size_t v = 0; v < ids.size(); ++v)
                    residuals.back().push_back(stay.values[v] - stay.predicted[v]);
            }
        if (residuals.size() < kFewestResiduals)
            return;
        const auto shape = stats::ResidualShape::of(residuals);
        if (!shape)
            return;
        stats::ShiftOfQueue options;
        options.chance = kChance;
        options.places = stays.size();
        std::map<std::uint32_t, const std::vector<double>*> predicted; // by sample
        for (const Stay& stay : stays)
            if (!stay.predicted.empty())
                predicted.emplace(stay.sample, &stay.predicted);
        // A neighbour of the same line should read the same: it says nothing of a move.
        const auto prediction = [&](std::uint32_t sample, std::uint32_t beside) {
            const auto& samples = evidence.batch.samples;
            const auto at = predicted.find(sample);
            return at == predicted.end() || samples[sample].line == samples[beside].line
                       ? std::vector<double>()
                       : *at->second;
        };
        const std::vector<std::uint32_t> sample_at = samples_in_list_order(evidence.batch);
        for (std::size_t first = 0, last = 0; first < stays.size(); first = last) {
            while (last < stays.size() && stays[last].session == stays[first].session)
                ++last;
            std::vector<stats::QueuePlace> queue;
            for (std::size_t k = first; k < last; ++k) {
                stays[k].after = neighbour(evidence.batch, sample_at, stays, first, last, k, 1);
                stays[k].before = neighbour(evidence.batch, sample_at, stays, first, last, k, -1);
                queue.push_back({stays[k].values, stays[k].predicted,
                                 prediction(stays[k].after, stays[k].sample),
                                 prediction(stays[k].before, stays[k].sample)});
            }
            for (const stats::ShiftedRun& run : stats::shifted_runs(queue, *shape, options))
                tell(evidence, sink, stays, first, run);
        }
    }

    static std::vector<std::uint32_t> samples_in_list_order(const batch::Batch& batch) {
        std::vector<std::uint32_t> sample_at(batch.list.entries.size(), kNone);
        for (std::uint32_t s = 0; s < batch.samples.size(); ++s)
            if (batch.samples[s].entry != kNone)
                sample_at[batch.samples[s].entry] = s;
        return sample_at;
    }

    // The sample that belongs after (step 1) or before (-1) the one at place k: the list's own neighbour
    // where the session follows the list on either side, because a packet that was passed over is missing
    // from the session; else the session's neighbour.
    static std::uint32_t neighbour(const batch::Batch& batch, const std::vector<std::uint32_t>& sample_at,
                                   const std::vector<Stay>& stays, std::size_t first, std::size_t last,
                                   std::size_t k, int step) {
        const auto entry = [&](std::size_t place) { return batch.samples[stays[place].sample].entry; };
        const std::uint32_t here = entry(k);
        const bool follows =
            here != kNone && ((k > first && entry(k - 1) != kNone && entry(k - 1) + 1 == here) ||
                              (k + 1 < last && entry(k + 1) == here + 1));
        if (follows) {
            const std::int64_t next = static_cast<std::int64_t>(here) + step;
            return next >= 0 && next < static_cast<std::int64_t>(sample_at.size())
                       ? sample_at[static_cast<std::size_t>(next)]
                       : kNone;
        }
        if (step > 0)
            return k + 1 < last ? stays[k + 1].sample : kNone;
        return k > first ? stays[k - 1].sample : kNone;
    }

    static void tell(const Evidence& evidence, Sink& sink, const std::vector<Stay>& stays, std::size_t offset,
                     const stats::ShiftedRun& run) {
        const batch::Batch& batch = evidence.batch;
        const auto id = [&](std::size_t place) { return batch.samples[stays[offset + place].sample].id; };
        const auto line = [&](RowId row) { return batch.block_of(row).line[batch.in_block(row)]; };
        const auto moved = [&](std::size_t place) {
            const Stay& stay = stays[offset + place];
            return batch.samples[run.shift > 0 ? stay.after : stay.before].id;
        };
        const std::uint32_t words = sink.keep(fmt::format(
            "the readings from `{}` (line {}) to `{}` (line {}) fit the list better moved by one: `{}` reads "
            "like `{}`, and so on to `{}` like `{}` ({} samples, log likelihood ratio {:.0f})",
            id(run.first), line(stays[offset + run.first].rows.front()), id(run.last),
            line(stays[offset + run.last].rows.back()), id(run.first), moved(run.first), id(run.last),
            moved(run.last), run.witnesses, run.score));
        for (std::size_t place = run.first; place <= run.last; ++place)
            for (const RowId row : stays[offset + place].rows)
                sink.reading(0, row, {}, words);
    }
};

} // namespace

const Rule& rule_queue_shifted() {
    static const QueueShifted rule;
    return rule;
}

} // namespace thresh::rules
