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

// The same layout, for saying which sessions are off. Of the sessions that share samples,
// most are taken to read alike; a session is compared with all others together, in the model value = sample
// + (this session's offset) + error, on the mean of each sample in each session. The session with the largest
// t goes first; when it is an offset its readings are taken out, and the rest is looked at again.
struct ShiftedSession {
    std::size_t links = 0; // samples of the session that other sessions read too
    // Against the other sessions that are not off themselves. Empty without links, or when the error cannot
    // be told from them; then `known` is false and `reason` says why.
    bool known = false;
    double offset = 0.0, se = 0.0, low = 0.0, high = 0.0; // with confidence interval, 1 - alpha
    double p = 1.0;                                       // two-sided t test of no offset
    bool shifted = false;
    std::size_t left_out = 0; // samples of the session that were left out as wrong ones
    bool either = false;      // only two sessions share samples: which of the two is off cannot be told
    std::string reason;
};

struct ShiftOptions {
    double alpha = 0.05; // of the intervals
    // A session is called shifted when its p is below `level`: the chance of a false call among all sessions,
    // divided by the number of tests that share it.
    double level = 0.05;
    double least = 0.0;     // and its offset is at least so large
    std::size_t fewest = 3; // and so many samples link it
    double wrong_sample =
        8; // robust SDs beyond which a sample is taken for another one and left out; 0: none
};

// Codes as above; any number of readings, none included. The result has one entry a session code. Cost grows
// with the readings, times the sessions that are found to be off.
std::vector<ShiftedSession> shifted_sessions(std::span<const LinkedReading> readings, int sessions,
                                             const ShiftOptions& options = {});

} // namespace thresh::stats
