// cup-unchanged: two readings in a row under different IDs that agree in everything as repeats do. The seed
// in the cup was not changed, or one packet was read twice; copies to the last digit are stuck-reading's.
#include "rules/limits.hpp"
#include "rules/row_place.hpp"
#include <thresh/rules/read_later.hpp>

#include <algorithm>
#include <cmath>
#include <map>
#include <thresh/core/parallel.hpp>
#include <thresh/stats/queue.hpp>

namespace thresh::rules {

namespace {

constexpr std::size_t kAhead = 16; // rows for which memory is asked for before
constexpr std::size_t kFewestConstituents = 3, kMostPairs = 1000, kRowsAPiece = 16384;
constexpr double kChance = 0.01; // of any false finding in a season

constexpr Declaration kDeclared[] = {
    {"cup-unchanged", Severity::review, About::reading, Phase::reading, Action::read_again,
     "two readings in a row under different IDs agree in everything, as repeats of one sample do",
     "the cup was not changed, or one packet was read under two IDs: one of the samples has the other's "
     "values",
     "read both samples again",
     "likelihood ratio of the difference between repeats and between neighbours of the season, over all "
     "constituents together; 1 % chance over all neighbours",
     true},
};

// Readings of one material with the same constituents.
using Alike = std::pair<std::uint8_t, std::vector<ConstituentId>>;

struct Pair {
    RowId before, row;
};
struct Pairs {
    std::vector<Pair> repeats, neighbours;
};
// Of one kind of readings, in pieces of the sessions.
using Pieces = std::vector<Pairs>;

class CupUnchanged final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }

    // Detail: the reading that it is like.
    void check_batch(const Evidence& evidence, Sink& sink) const override {
        if (!any_model(evidence.batch))
            return;
        for (const auto& [kind, pieces] : pairs_of(evidence)) {
            const std::size_t variables = kind.second.size();
            const auto model = stats::SameCup::of(differences(evidence, kind, pieces, &Pairs::repeats),
                                                  differences(evidence, kind, pieces, &Pairs::neighbours));
            if (!model)
                continue;
            const double all = static_cast<double>(count(pieces, &Pairs::neighbours));
            const double threshold = std::log(all / kChance);
            std::vector<std::vector<Pair>> found(pieces.size());
            const auto look = [&, &kind = kind, &pieces = pieces](std::size_t piece) {
                Difference difference_of(evidence, kind.second);
                std::vector<double> difference(variables);
                for (const Pair& pair : pieces[piece].neighbours)
                    if (difference_of(pair, difference, &*model) &&
                        model->log_ratio(difference) > threshold &&
                        std::any_of(difference.begin(), difference.end(), [](double d) { return d != 0; }))
                        found[piece].push_back(pair);
            };
            parallel_for(pieces.size(), evidence.rules.batch.threads, look);
            for (const std::vector<Pair>& of_piece : found)
                for (const Pair& pair : of_piece) {
                    sink.reading(0, pair.before, {}, pair.row);
                    sink.reading(0, pair.row, {}, pair.before);
                }
        }
    }

    FindingText describe(unsigned, const Finding& finding, const Evidence& evidence) const override {
        const batch::Batch& batch = evidence.batch;
        FindingText text;
        text.message = fmt::format("all values are within the noise of a repeat of `{}` ({}), read {} it",
                                   batch.samples[batch.sample[finding.detail]].id,
                                   place_beside(evidence, finding.row, finding.detail),
                                   read_later(batch, finding.row, finding.detail) ? "before" : "after");
        return text;
    }

  private:
    // Whether so many samples were read twice in a row that repeats can be described: most seasons in which
    // every sample is read once need no further look.
    static bool any_model(const batch::Batch& batch) {
        std::size_t repeats = 0;
        for (const batch::Session& session : batch.sessions) {
            std::uint32_t before = kNone;
            for (const RowId row : session.rows) {
                const std::uint32_t sample = batch.kind[row] == Kind::seed ? batch.sample[row] : kNone;
                if (sample != kNone && sample == before && ++repeats == stats::SameCup::kFewestRepeats)
                    return true;
                before = sample;
            }
        }
        return false;
    }

    static std::vector<ConstituentId> constituents_of(const TableColumns& table) {
        std::vector<ConstituentId> ids;
        for (const Column& column : table.numbers)
            if (column.part_of != PartOf::none)
                ids.push_back(column.constituent);
        std::sort(ids.begin(), ids.end());
        return ids;
    }

    // Samples that are alike by right.
    static bool related(const batch::Batch& batch, std::uint32_t a, std::uint32_t b) {
        const batch::Sample &x = batch.samples[a], &y = batch.samples[b];
        // An ID that is not listed is a mistyped one, often the neighbour's.
        if (batch.list.given() && (x.entry == kNone || y.entry == kNone))
            return true;
        return x.original == b || y.original == a || (x.original != kNone && x.original == y.original) ||
               (x.line != kNone && x.line == y.line);
    }

    // Pairs whose later reading is one of [first, last) of a session.
    static std::map<Alike, Pairs> pairs_of(const Evidence& evidence, const batch::Session& session,
                                           std::size_t first, std::size_t last) {
        const batch::Batch& batch = evidence.batch;
        std::map<Alike, Pairs> found;
        const TableColumns* table = nullptr;
        std::uint8_t material = batch::kNoMaterial;
        Pairs* pairs = nullptr;
        for (std::size_t i = std::max<std::size_t>(first, 1); i < last; ++i) {
            // Neighbours in a queue lie far apart among the samples.
            if (i + kAhead < last && batch.sample[session.rows[i + kAhead]] != kNone)
                __builtin_prefetch(&batch.samples[batch.sample[session.rows[i + kAhead]]]);
            const RowId row = session.rows[i], before = session.rows[i - 1];
            if (batch.kind[row] != Kind::seed || batch.kind[before] != Kind::seed ||
                batch.material[row] != batch.material[before] || batch.material[row] == batch::kNoMaterial ||
                batch.sample[row] == kNone || batch.sample[before] == kNone)
                continue;
            const Block& block = batch.block_of(row);
            if (block.table != batch.block_of(before).table)
                continue;
            if (pairs == nullptr || block.table.get() != table || batch.material[row] != material) {
                table = block.table.get();
                material = batch.material[row];
                const auto ids = constituents_of(*table);
                pairs = ids.size() < kFewestConstituents ? nullptr : &found[{material, ids}];
            }
            if (pairs == nullptr)
                continue;
            if (batch.sample[row] == batch.sample[before])
                pairs->repeats.push_back({before, row});
            else if (!related(batch, batch.sample[row], batch.sample[before]))
                pairs->neighbours.push_back({before, row});
        }
        return found;
    }

    static std::map<Alike, Pieces> pairs_of(const Evidence& evidence) {
        const auto& sessions = evidence.batch.sessions;
        std::vector<std::pair<std::size_t, std::size_t>> pieces; // session, first
        for (std::size_t s = 0; s < sessions.size(); ++s)
            for (std::size_t first = 0; first < sessions[s].rows.size(); first += kRowsAPiece)
                pieces.emplace_back(s, first);
        std::vector<std::map<Alike, Pairs>> of_piece(pieces.size());
        parallel_for(pieces.size(), evidence.rules.batch.threads, [&](std::size_t piece) {
            const auto [s, first] = pieces[piece];
            of_piece[piece] = pairs_of(evidence, sessions[s], first,
                                       std::min(sessions[s].rows.size(), first + kRowsAPiece));
        });
        std::map<Alike, Pieces> found;
        for (std::map<Alike, Pairs>& piece : of_piece)
            for (auto& [kind, pairs] : piece)
                found[kind].push_back(std::move(pairs));
        return found;
    }

    static std::size_t count(const Pieces& pieces, std::vector<Pair> Pairs::*which) {
        std::size_t all = 0;
        for (const Pairs& pairs : pieces)
            all += (pairs.*which).size();
        return all;
    }

    // Values as exported: they are of the same seed at the same time, so nothing needs converting. Columns
    // are looked up once a table.
    class Difference {
      public:
        Difference(const Evidence& evidence, const std::vector<ConstituentId>& ids)
            : evidence_(evidence), ids_(ids), columns_(ids.size()) {}

        // Puts the difference of a pair into `into`; false when a value is missing, or the difference of a
        // constituent beyond what `model` can take for one cup: nearly all pairs end there.
        bool operator()(const Pair& pair, std::vector<double>& into, const stats::SameCup* model = nullptr) {
            const Block& block = evidence_.batch.block_of(pair.row);
            const Block& other = evidence_.batch.block_of(pair.before);
            if (block.table.get() != table_) {
                table_ = block.table.get();
                for (std::size_t i = 0; i < ids_.size(); ++i)
                    columns_[i] = *table_->find(ids_[i]);
            }
            for (std::size_t i = 0; i < ids_.size(); ++i) {
                const auto x = basis::raw_value(block, pair.row - block.first, columns_[i]);
                const auto y = basis::raw_value(other, pair.before - other.first, columns_[i]);
                if (!x || !y || (model != nullptr && std::abs(*x - *y) > model->largest(i)))
                    return false;
                into[i] = *x - *y;
            }
            return true;
        }

      private:
        const Evidence& evidence_;
        const std::vector<ConstituentId>& ids_;
        std::vector<std::size_t> columns_;
        const TableColumns* table_ = nullptr;
    };

    // At most kMostPairs of them, spread evenly.
    static std::vector<std::vector<double>> differences(const Evidence& evidence, const Alike& kind,
                                                        const Pieces& pieces,
                                                        std::vector<Pair> Pairs::*which) {
        Difference difference_of(evidence, kind.second);
        std::vector<std::vector<double>> rows;
        std::vector<double> difference(kind.second.size());
        const std::size_t step = count(pieces, which) / kMostPairs + 1;
        std::size_t next = 0; // counted from the beginning of the piece
        for (const Pairs& pairs : pieces) {
            for (; next < (pairs.*which).size(); next += step)
                if (difference_of((pairs.*which)[next], difference))
                    rows.push_back(difference);
            next -= (pairs.*which).size();
        }
        return rows;
    }
};

} // namespace

const Rule& rule_cup_unchanged() {
    static const CupUnchanged rule;
    return rule;
}

} // namespace thresh::rules
