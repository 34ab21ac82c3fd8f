// Where samples stand in the field: the first step of making lines.
#pragma once

#include "batch/id_pattern.hpp"

#include <thresh/batch/batch.hpp>

#include <optional>
#include <vector>

namespace thresh::batch {

// A sample that has a place of its own in the field.
struct Placed {
    std::uint32_t sample = 0;
    std::uint32_t trial = 0, line = 0; // ranks of the texts, bytewise
};

// Tells the places of samples, quickest in the order of the samples.
class PlaceFinder {
  public:
    // `pattern`: of the rules, may be null; used without a list.
    PlaceFinder(const Batch& batch, const IdPattern* pattern) : batch_(batch) {
        if (pattern)
            matcher_.emplace(*pattern);
    }
    // Views that live as long as the batch; the array until the next call.
    const PlaceTexts& place(std::uint32_t sample);

  private:
    const Batch& batch_;
    std::optional<IdMatcher> matcher_;
    PlaceTexts texts_;
};

// Every sample that has a place, by trial, then line, then sample. Needs samples and their rows.
std::vector<Placed> find_places(const Batch& batch, const IdPattern* pattern, unsigned threads);

} // namespace thresh::batch
