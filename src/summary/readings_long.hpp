#pragma once

#include <thresh/summary/tables.hpp>

#include <memory>

namespace thresh::summary {

// `readings --long`: one row a value.
std::unique_ptr<Table> readings_long_table(const Season& season);

} // namespace thresh::summary
