// Declarations that columns.cpp takes over.
#pragma once

#include <thresh/summary/columns.hpp>

#include <vector>

namespace thresh::summary {

std::vector<TableDeclaration> breeding_tables();

} // namespace thresh::summary
