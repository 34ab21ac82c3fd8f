// Faults of a queue of samples, seen from the values: a run of readings under the IDs of their neighbours,
// and two readings of one cup under two IDs. Both are likelihood ratios of multivariate normals: a value of t
// is passed by chance with probability below exp(-t) for each place where a fault could begin.
#pragma once

#include <memory>
#include <optional>
#include <span>
#include <vector>

namespace thresh::stats {

// Shape of residuals: robust scale of each variable (1.4826 MAD) and correlations of the scaled residuals
// clipped at 2.5. Distances in it are squared Mahalanobis distances.
class ResidualShape {
  public:
    // One residual vector of equal length a row, no NaN. Empty for fewer than 3 rows a variable (and 12), or
    // when a variable has no spread.
    static std::optional<ResidualShape> of(const std::vector<std::vector<double>>& residuals);
    double distance(std::span<const double> difference) const;

  private:
    std::size_t n_ = 0;
    std::vector<double> inverse_; // row-major
};

// One place of a queue: what was read, what the sample named there should read, and what the samples after
// and before it in the queue should; empty: not known. What they point to must outlive it.
struct QueuePlace {
    std::span<const double> observed, predicted, after, before;
};

struct ShiftedRun {
    std::size_t first = 0, last = 0; // places, inclusive
    int shift = 0;                   // 1: each place holds the sample after it; -1: before it
    double score = 0.0;              // log likelihood ratio
    std::size_t witnesses = 0;       // places of the run with both predictions
};

struct ShiftOfQueue {
    double chance = 0.01;   // of any run in a queue without fault, when `places` may begin one
    std::size_t places = 1; // over all queues that share the chance
    std::size_t fewest = 4; // witnesses of a run
    double cap = 4.0;       // of what one place adds to the score: no single odd sample makes a run
    // Taken off each place's gain: where samples hardly differ, a shape that is a little too narrow would
    // otherwise add up to a run over thousands of places.
    double least = 0.1;
};

// Finds the runs of a queue. Takes one place after the other and keeps two numbers of each, because a
// season's queue is long.
class ShiftSearch {
  public:
    // `shape` must outlive it.
    ShiftSearch(const ResidualShape& shape, const ShiftOfQueue& options) : shape_(shape), options_(options) {}
    void reserve(std::size_t places) { gains_.reserve(places); }
    void add(const QueuePlace& place);
    // The runs that fit better moved by one, best first, not overlapping.
    std::vector<ShiftedRun> runs() const;

  private:
    // What a place adds to the score of a run moved either way; NaN: nothing is known.
    struct Gains {
        double after, before;
    };
    double distance(std::span<const double> seen, std::span<const double> predicted);

    const ResidualShape& shape_;
    ShiftOfQueue options_;
    std::vector<Gains> gains_;
    std::vector<double> difference_;
};

// Whether two readings are of one filling of the cup: differences of repeats against differences of
// neighbours with different IDs.
class SameCup {
  public:
    static constexpr std::size_t kFewestRepeats = 30;
    // Rows of equal length, no NaN. Of the neighbours' differences only the smaller half (in the repeats'
    // metric) counts, so that a season of very different kinds of seed does not make any two alike ones look
    // like one. Empty with too few rows: kFewestRepeats and three a variable of repeats, twice that of
    // neighbours.
    static std::optional<SameCup> of(const std::vector<std::vector<double>>& repeats,
                                     const std::vector<std::vector<double>>& neighbours);
    double log_ratio(std::span<const double> difference) const;
    // Differences beyond it cannot be of one cup: saves the full computation for nearly all pairs.
    double largest(std::size_t variable) const { return largest_[variable]; }

  private:
    std::size_t n_ = 0;
    double constant_ = 0.0;
    std::vector<double> form_, largest_; // form: row-major, repeats' inverse less neighbours' inverse
};

} // namespace thresh::stats
