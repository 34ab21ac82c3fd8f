// Which of several conditions a reading fulfils first. Every pattern is tried once against each distinct text
// and source, never against each row.
#pragma once

#include <thresh/batch/settings.hpp>
#include <thresh/core/readings.hpp>

#include <algorithm>
#include <array>
#include <cstdint>
#include <span>
#include <vector>

namespace thresh::batch {

// The time that a condition admits.
struct TimeWindow {
    Time from, to;
    bool open() const { return from.missing() && to.missing(); }
    // Bounds inclusive; a bound admits all of its own second, minute or day. A missing time is inside an open
    // window only.
    bool admits(Time time) const;
};

// A reading's own texts, as ids of Readings::pools.
struct RowTexts {
    std::uint32_t file = 0;
    TextId sample = kNoText, instrument = kNoText, analysis = kNoText, calibration = kNoText,
           material = kNoText;
    Time time;
};

class CaseMatcher {
  public:
    // An empty condition is fulfilled by nothing. Keeps nothing of `readings`, but its text ids must not
    // change afterwards.
    CaseMatcher(std::span<const When> cases, const Readings& readings);

    // The first case that `row` fulfils, or `none()`.
    std::size_t first(const RowTexts& row) const;
    std::size_t none() const { return windows_.size(); }
    // Whether rows that differ only in sample and time fulfil the same case, as long as neither's sample
    // `stands_out`: then one answer serves many rows.
    bool untimed() const { return untimed_; }
    bool stands_out(TextId sample) const {
        return !singled_out_.empty() && singled_out_[std::min<std::size_t>(sample, singled_out_.size() - 1)];
    }

  private:
    static constexpr std::size_t kFields = 6; // source, sample, instrument, analysis, calibration, material
    // For a group of 64 cases: bit c of mask[f][id] says that text `id` suits case c; the last entry is for
    // blank. An empty vector: no case of the group looks at the field.
    struct Group {
        std::array<std::vector<std::uint64_t>, kFields> mask;
        std::uint64_t all = 0;   // cases that something can fulfil
        std::uint64_t timed = 0; // cases with a time window
    };
    void fill_mask(const When& when, std::size_t index, std::size_t field, const Readings& readings);

    std::vector<Group> groups_;
    std::vector<TimeWindow> windows_;
    bool untimed_ = true;
    std::vector<bool>
        singled_out_; // by sample, blank last: some sample pattern matches; empty: there is none
};

} // namespace thresh::batch
