// Characters of UTF-8.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace thresh {

// One character of UTF-8 from the front of `text` (not empty), which is moved on. A byte that starts no
// character comes back as U+FFFD.
char32_t next_character(std::string_view& text);
void append_utf8(std::string& to, char32_t character);

// The first `most` bytes of `text`, or some less so that no character is cut.
std::string_view beginning(std::string_view text, std::size_t most);

// `text` with U+FFFD for every byte that is no UTF-8.
std::string valid_utf8(std::string_view text);

} // namespace thresh
