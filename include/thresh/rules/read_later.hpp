// Which of two readings was read first: exports may be written newest first.
#pragma once

#include <thresh/batch/batch.hpp>

namespace thresh::rules {

// By time where both have one, else as exported.
inline bool read_later(const batch::Batch& batch, RowId a, RowId b) {
    const auto time_of = [&](RowId row) { return batch.block_of(row).time_of(batch.in_block(row)); };
    const Time first = time_of(a), second = time_of(b);
    if (first.missing() || second.missing() || first == second)
        return a > b;
    return first > second;
}

} // namespace thresh::rules
