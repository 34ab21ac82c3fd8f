// UTF-8 for terminals and JSON, by utf8proc.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string_view>

namespace thresh::report {

// Bytes of the character at the front of `text`; 0 when it is no UTF-8. Precondition: not empty.
std::size_t utf8_length(std::string_view text);

} // namespace thresh::report
