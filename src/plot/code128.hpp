// The symbol characters of Code 128 and their bars.
#pragma once

#include <span>
#include <string_view>

namespace thresh::plot {

// Of a start character (103 start A, 104 B, 105 C) and the data behind it: the start counts once, the n-th
// data character n times, modulo 103.
int check_symbol(std::span<const int> symbols);

// Widths in modules, bars and spaces in turn, bar first, of a symbol character 0 to 106.
std::string_view bar_widths(int symbol);

} // namespace thresh::plot
