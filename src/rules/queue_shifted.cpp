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

// Where samples stand in the list, close together in memory.
struct ListPlaces {
    explicit ListPlaces(const batch::Batch& batch) : sample(batch.list.size(), kNone) {
        for (std::uint32_t s = 0; s < batch.samples.size(); ++s) {
            line.push_back(batch.samples[s].line);
            entry.push_back(batch.samples[s].entry);
            if (entry.back() != kNone)
                sample[entry.back()] = s;
        }
    }
    std::vector<std::uint32_t> sample;      // by entry
    std::vector<std::uint32_t> line, entry; // by sample
};

// A session's places [first, last) among the stays, and the runs found there.
struct OfSession {
    std::size_t first, last;
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
        const auto shape = shape_of(queues, evidence.rules.batch.threads);
        if (!shape)
            return;
        stats::ShiftOfQueue options;
        options.chance = kChance;
        options.places = stays.size();
        const ListPlaces list(evidence.batch);
        // A neighbour of the same line should read the same: it says nothing of a move.
        const auto prediction = [&](std::uint32_t sample, std::uint32_t beside) {
            return sample == kNone || list.line[sample] == list.line[beside] ? std::span<const double>()
                                                                             : queues.predicted(sample);
        };
        std::vector<OfSession> sessions;
        for (std::size_t k = 0; k < stays.size(); ++k) {
            if (k == 0 || stays[k].session != stays[k - 1].session)
                sessions.push_back({k, k, {}});
            ++sessions.back().last;
        }
        parallel_for(sessions.size(), evidence.rules.batch.threads, [&](std::size_t s) {
            OfSession& of = sessions[s];
            stats::ShiftSearch search(*shape, options);
            search.reserve(of.last - of.first);
            for (std::size_t k = of.first; k < of.last; ++k) {
                const std::uint32_t sample = stays[k].sample;
                const auto [after, before] = neighbours(list, stays, of.first, of.last, k);
                search.add({queues.observed(k), queues.predicted(sample), prediction(after, sample),
                            prediction(before, sample)});
            }
            of.runs = search.runs();
        });
        for (const OfSession& of : sessions)
            for (const stats::ShiftedRun& run : of.runs)
                tell(evidence, sink, queues, list, of, run);
    }

    // The stays that were predicted and observed, in order.
    static std::vector<std::uint32_t> known_stays(const Queues& queues, unsigned threads) {
        constexpr std::size_t kStaysAPiece = 65536;
        std::vector<std::vector<std::uint32_t>> pieces((queues.stays.size() + kStaysAPiece - 1) /
                                                       kStaysAPiece);
        parallel_for(pieces.size(), threads, [&](std::size_t p) {
            const std::size_t end = std::min(queues.stays.size(), (p + 1) * kStaysAPiece);
            for (std::size_t i = p * kStaysAPiece; i < end; ++i)
                if (!queues.observed(i).empty() && !queues.predicted(queues.stays[i].sample).empty())
                    pieces[p].push_back(static_cast<std::uint32_t>(i));
        });
        std::vector<std::uint32_t> known;
        for (const auto& piece : pieces)
            known.insert(known.end(), piece.begin(), piece.end());
        return known;
    }

    // Of at most kMostResiduals, spread evenly: thousands tell the shape.
    static std::optional<stats::ResidualShape> shape_of(const Queues& queues, unsigned threads) {
        const std::vector<std::uint32_t> known = known_stays(queues, threads);
        if (known.size() < kFewestResiduals)
            return std::nullopt;
        std::vector<std::vector<double>> residuals;
        const std::size_t step = known.size() / kMostResiduals + 1;
        for (std::size_t k = 0; k < known.size(); k += step) {
            residuals.emplace_back();
            for (std::size_t v = 0; v < queues.variables; ++v)
                residuals.back().push_back(queues.observed(known[k])[v] -
                                           queues.predicted(queues.stays[known[k]].sample)[v]);
        }
        return stats::ResidualShape::of(residuals);
    }

    // The samples that belong after and before the one at place k: the list's own neighbours where the
    // session follows the list on either side, because a packet that was passed over is missing from the
    // session; else the session's neighbours.
    static Neighbours neighbours(const ListPlaces& list, const std::vector<Stay>& stays, std::size_t first,
                                 std::size_t last, std::size_t k) {
        const std::uint32_t next = k + 1 < last ? stays[k + 1].sample : kNone;
        const std::uint32_t previous = k > first ? stays[k - 1].sample : kNone;
        const auto entry = [&](std::uint32_t sample) { return sample == kNone ? kNone : list.entry[sample]; };
        const std::uint32_t here = entry(stays[k].sample), before = entry(previous);
        if (here == kNone || !((before != kNone && before + 1 == here) || entry(next) == here + 1))
            return {next, previous};
        return {here + 1 < list.sample.size() ? list.sample[here + 1] : kNone,
                here > 0 ? list.sample[here - 1] : kNone};
    }

    static void tell(const Evidence& evidence, Sink& sink, const Queues& queues, const ListPlaces& list,
                     const OfSession& of, const stats::ShiftedRun& run) {
        const batch::Batch& batch = evidence.batch;
        const std::vector<Stay>& stays = queues.stays;
        const auto id = [&](std::size_t place) { return batch.samples[stays[of.first + place].sample].id; };
        const auto line = [&](RowId row) { return batch.block_of(row).line[batch.in_block(row)]; };
        const auto moved = [&](std::size_t place) {
            const Neighbours beside = neighbours(list, stays, of.first, of.last, of.first + place);
            return batch.samples[run.shift > 0 ? beside.after : beside.before].id;
        };
        const std::uint32_t words = sink.keep(fmt::format(
            "the readings from `{}` (line {}) to `{}` (line {}) fit the list better moved by one: `{}` reads "
            "like `{}`, and so on to `{}` like `{}` ({} samples, log likelihood ratio {:.0f})",
            id(run.first), line(queues.rows_of(stays[of.first + run.first]).front()), id(run.last),
            line(queues.rows_of(stays[of.first + run.last]).back()), id(run.first), moved(run.first),
            id(run.last), moved(run.last), run.witnesses, run.score));
        for (std::size_t place = run.first; place <= run.last; ++place)
            for (const RowId row : queues.rows_of(stays[of.first + place]))
                sink.reading(0, row, {}, words);
    }
};

} // namespace

const Rule& rule_queue_shifted() {
    static const QueueShifted rule;
    return rule;
}

} // namespace thresh::rules
