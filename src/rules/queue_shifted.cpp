// queue-shifted: a run of readings under the IDs of their neighbours, because an entry was skipped or made
// twice. What a sample should read is told by the other samples of its line (checks above all), with its
// environment; a run is found when its values fit the next IDs of the session better than their own.
#include "rules/limits.hpp"
#include "rules/queues.hpp"

#include <algorithm>
#include <thresh/core/parallel.hpp>
#include <thresh/stats/queue.hpp>

namespace thresh::rules {

namespace {

constexpr std::size_t kFewestResiduals = 40; // before their spread is known well enough
constexpr std::size_t kMostResiduals = 20000;
constexpr double kChance = 0.01; // of any false run in a season

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

// Samples that belong after and before a place; kNone: none.
struct Neighbours {
    std::uint32_t after, before;
};

// A session's places [first, last) among the stays, and the runs found there.
struct OfSession {
    std::size_t first, last;
    std::vector<Neighbours> neighbours; // of each place
    std::vector<stats::ShiftedRun> runs;
};

class QueueShifted final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }
    bool has_texts() const override { return true; }

    void check_batch(const Evidence& evidence, Sink& sink) const override {
        if (!evidence.batch.list.given())
            return; // without a list nothing else tells of the line
        std::vector<Queues> queues = queues_of(evidence);
        for (std::size_t material = 0; material < queues.size(); ++material)
            check_material(evidence, sink, static_cast<std::uint8_t>(material), queues[material]);
    }

    FindingText describe(unsigned, const Finding& finding, const Evidence& evidence) const override {
        FindingText text;
        text.message = evidence.so_far.details[finding.detail];
        return text;
    }

  private:
    static void check_material(const Evidence& evidence, Sink& sink, std::uint8_t material, Queues& queues) {
        const Material* about = evidence.rules.material(material);
        const std::vector<Stay>& stays = queues.stays;
        if (about == nullptr || stays.empty())
            return;
        std::vector<ConstituentId> ids;
        for (const ConstituentId id : about->key)
            if (id != constituent::moisture && std::any_of(stays.begin(), stays.end(), [&](const Stay& stay) {
                    return raw_of(evidence, queues.rows[stay.first_row], id).has_value();
                }))
                ids.push_back(id);
        if (ids.empty())
            return;
        queues.read(evidence, ids);
        const auto shape = shape_of(queues);
        if (!shape)
            return;
        stats::ShiftOfQueue options;
        options.chance = kChance;
        options.places = stays.size();
        std::vector<std::uint32_t> stay_of(evidence.batch.samples.size(), kNone); // with a prediction
        for (std::uint32_t i = 0; i < stays.size(); ++i)
            if (stay_of[stays[i].sample] == kNone && !queues.predicted(i).empty())
                stay_of[stays[i].sample] = i;
        // A neighbour of the same line should read the same: it says nothing of a move.
        const auto prediction = [&](std::uint32_t sample, std::uint32_t beside) {
            const auto& samples = evidence.batch.samples;
            return sample == kNone || stay_of[sample] == kNone || samples[sample].line == samples[beside].line
                       ? std::span<const double>()
                       : queues.predicted(stay_of[sample]);
        };
        const std::vector<std::uint32_t> sample_at = samples_in_list_order(evidence.batch);
        std::vector<OfSession> sessions;
        for (std::size_t k = 0; k < stays.size(); ++k) {
            if (k == 0 || stays[k].session != stays[k - 1].session)
                sessions.push_back({k, k, {}, {}});
            ++sessions.back().last;
        }
        parallel_for(sessions.size(), evidence.rules.batch.threads, [&](std::size_t s) {
            OfSession& of = sessions[s];
            std::vector<stats::QueuePlace> queue;
            queue.reserve(of.last - of.first);
            of.neighbours.reserve(of.last - of.first);
            for (std::size_t k = of.first; k < of.last; ++k) {
                const auto [after, before] = of.neighbours.emplace_back(
                    Neighbours{neighbour(evidence.batch, sample_at, stays, of.first, of.last, k, 1),
                               neighbour(evidence.batch, sample_at, stays, of.first, of.last, k, -1)});
                queue.push_back({queues.observed(k), queues.predicted(k), prediction(after, stays[k].sample),
                                 prediction(before, stays[k].sample)});
            }
            of.runs = stats::shifted_runs(queue, *shape, options);
        });
        for (const OfSession& of : sessions)
            for (const stats::ShiftedRun& run : of.runs)
                tell(evidence, sink, queues, of.first, of.neighbours, run);
    }

    // Of at most kMostResiduals, spread evenly: thousands tell the shape.
    static std::optional<stats::ResidualShape> shape_of(const Queues& queues) {
        std::vector<std::size_t> known;
        for (std::size_t i = 0; i < queues.stays.size(); ++i)
            if (!queues.predicted(i).empty())
                known.push_back(i);
        if (known.size() < kFewestResiduals)
            return std::nullopt;
        std::vector<std::vector<double>> residuals;
        const std::size_t step = known.size() / kMostResiduals + 1;
        for (std::size_t k = 0; k < known.size(); k += step) {
            residuals.emplace_back();
            for (std::size_t v = 0; v < queues.variables; ++v)
                residuals.back().push_back(queues.observed(known[k])[v] - queues.predicted(known[k])[v]);
        }
        return stats::ResidualShape::of(residuals);
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

    static void tell(const Evidence& evidence, Sink& sink, const Queues& queues, std::size_t offset,
                     const std::vector<Neighbours>& neighbours, const stats::ShiftedRun& run) {
        const batch::Batch& batch = evidence.batch;
        const std::vector<Stay>& stays = queues.stays;
        const auto id = [&](std::size_t place) { return batch.samples[stays[offset + place].sample].id; };
        const auto line = [&](RowId row) { return batch.block_of(row).line[batch.in_block(row)]; };
        const auto moved = [&](std::size_t place) {
            const Neighbours& beside = neighbours[place];
            return batch.samples[run.shift > 0 ? beside.after : beside.before].id;
        };
        const std::uint32_t words = sink.keep(fmt::format(
            "the readings from `{}` (line {}) to `{}` (line {}) fit the list better moved by one: `{}` reads "
            "like `{}`, and so on to `{}` like `{}` ({} samples, log likelihood ratio {:.0f})",
            id(run.first), line(queues.rows_of(stays[offset + run.first]).front()), id(run.last),
            line(queues.rows_of(stays[offset + run.last]).back()), id(run.first), moved(run.first),
            id(run.last), moved(run.last), run.witnesses, run.score));
        for (std::size_t place = run.first; place <= run.last; ++place)
            for (const RowId row : queues.rows_of(stays[offset + place]))
                sink.reading(0, row, {}, words);
    }
};

} // namespace

const Rule& rule_queue_shifted() {
    static const QueueShifted rule;
    return rule;
}

} // namespace thresh::rules
