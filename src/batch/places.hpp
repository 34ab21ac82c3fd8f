// Where samples stand in the field: the first step of making lines.
#pragma once

#include "batch/id_pattern.hpp"

#include <thresh/batch/batch.hpp>

#include <vector>

namespace thresh::batch {

// A sample that has a place of its own in the field.
struct Placed {
    std::uint32_t sample = 0;
    std::uint32_t trial = 0, line = 0; // ranks of the texts, bytewise
};

// The place's texts, as views that live as long as the batch. `pattern`: of the rules, may be null; used
// without a list.
PlaceTexts place_of(const Batch& batch, const IdPattern* pattern, std::uint32_t sample);

// Every sample that has a place, by trial, then line, then sample. Needs samples and their rows.
std::vector<Placed> find_places(const Batch& batch, const IdPattern* pattern, unsigned threads);

} // namespace thresh::batch
