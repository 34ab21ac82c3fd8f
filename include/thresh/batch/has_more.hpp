// Whether a row that was exported again has what the row that stands for its reading lacks.
#pragma once

#include <thresh/batch/batch.hpp>

namespace thresh::batch {

// Whether `row` has a number, or a result below a limit, of a constituent of which `than` has neither.
bool has_more(const Batch& batch, RowId row, RowId than);

} // namespace thresh::batch
