// Offsets between sessions (or instruments, or days) from samples that were read in several of them: the
// additive two-way layout value = sample + session + error. Only samples read in more than one session tell
// anything; no sample needs an assigned value.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <thresh/core/result.hpp>
#include <vector>

namespace thresh::stats {

// One reading of a sample in a session.
struct LinkedReading {
    int session = 0;
    int sample = 0;
    double value = 0.0;
};

struct SessionOffset {
    std::size_t readings = 0;
    std::size_t linking_samples = 0; // samples of this session that other sessions read too
    // Against the mean of all sessions of the same part (weighing sessions equally), or against the reference
    // session where one is named. Empty when the session shares no sample with the others; `reason` says so.
    std::optional<double> offset;
    std::optional<double> se;
    std::optional<double> low; // confidence interval
    std::optional<double> high;
    std::optional<double> p; // two-sided t test of no offset
    int part = 0;            // sessions in different parts cannot be compared
    std::string reason;
};

struct SessionOffsets {
    std::vector<SessionOffset> sessions; // by session code
    int parts = 0;
    double residual_sd = 0.0;
    double df = 0.0;
    std::optional<double> f; // joint test of all offsets: F statistic and p
    double f_df = 0.0;
    std::optional<double> p;
};

struct SessionOptions {
    std::optional<int> reference; // session that the others are measured against
    double alpha = 0.05;
    // Standard deviation of a reading, when it is known (repeatability): used in place of the residual.
    std::optional<double> known_sd;
};

// Codes run from 0 to `sessions` - 1 and `samples` - 1. Errors: no reading, a code out of range, a single
// session, no sample read in two sessions, no residual degree of freedom without `known_sd`.
Result<SessionOffsets> session_offsets(std::span<const LinkedReading> readings, int sessions, int samples,
                                       const SessionOptions& options = {});

} // namespace thresh::stats
