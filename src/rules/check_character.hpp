// Check characters at the end of sample IDs.
#pragma once

#include <optional>
#include <string_view>

namespace thresh::rules {

// The character that `text` must be followed by. `scheme`:
//   mod37_36  ISO 7064 hybrid system MOD 37,36: digits and letters
//   luhn      digits (ISO/IEC 7812-1)
//   damm      digits (H. M. Damm 2004, quasigroup of order 10)
//   verhoeff  digits (J. Verhoeff 1969, dihedral group of order 10)
// Letters count as capitals. What a scheme does not count (hyphens, blanks, letters for the last three) is
// passed over. Nothing when no character counts or the scheme is unknown.
std::optional<char> check_character(std::string_view scheme, std::string_view text);

// Whether the last character of `id` that counts is the check character of those before it.
bool check_character_fits(std::string_view scheme, std::string_view id);

} // namespace thresh::rules
