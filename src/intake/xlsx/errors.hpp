// The refusals of the workbook reader. They name the part of the book, never the file: the caller adds that.
#pragma once

#include <string>
#include <string_view>
#include <thresh/core/result.hpp>

namespace thresh::intake::xlsx {

// The book contradicts itself or was cut: what is wrong, in which part.
Error damaged(std::string_view part, std::string_view what);

// A limit of limits.hpp was passed.
Error too_large(std::string_view part, std::string_view what);

// The file is something else than a readable .xlsx book.
Error not_a_book(std::string message, std::string help);

} // namespace thresh::intake::xlsx
