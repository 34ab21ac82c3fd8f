// What each sample of a session's queue reads, and what the other samples of its line say it should.
#pragma once

#include "rules/rule.hpp"

#include <cstdint>
#include <memory>
#include <span>
#include <vector>

namespace thresh::rules {

// A sample at its place in a session's queue: readings in a row under one ID.
struct Stay {
    std::uint32_t session, sample;
    std::uint32_t first_row, rows; // into Queues::rows
};

// The queues of all sessions, readings of one material, in order of session and place.
struct Queues {
    std::vector<Stay> stays;
    std::vector<RowId> rows;
    std::size_t variables = 0;

    std::span<const RowId> rows_of(const Stay& stay) const {
        return std::span(rows).subspan(stay.first_row, stay.rows);
    }
    // Mean of the usable readings, of the constituents asked for; empty when one is missing.
    std::span<const double> observed(std::size_t stay) const { return row(observed_.get(), stay); }
    // From the line's other samples and the environment; empty when nothing tells, or nothing was observed in
    // any of the sample's stays.
    std::span<const double> predicted(std::uint32_t sample) const { return row(predicted_.data(), sample); }

    // Fills in both. `ids` in the order of the variables.
    void read(const Evidence& evidence, const std::vector<ConstituentId>& ids);

  private:
    std::span<const double> row(const double* values, std::size_t which) const;
    void predict(const Evidence& evidence);

    // By variable within stay or sample; NaN first: nothing. A million stays are written side by side, so
    // their memory is not filled before.
    std::unique_ptr<double[]> observed_;
    std::vector<double> predicted_;
};

// By material; materials without a reading have no stays.
std::vector<Queues> queues_of(const Evidence& evidence);

} // namespace thresh::rules
