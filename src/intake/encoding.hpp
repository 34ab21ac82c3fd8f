// Bytes to UTF-8.
#pragma once

#include <thresh/core/result.hpp>

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace thresh::intake {

enum class Encoding : std::uint8_t { utf8, utf16le, utf16be, windows1252 };

struct EncodingFound {
    Encoding encoding = Encoding::utf8;
    std::size_t mark = 0; // bytes of the byte order mark
    bool given = false;
    std::string why; // "byte order mark", "zero bytes", "valid UTF-8", ...
};

// From the first bytes of a file. Without a mark and without zero bytes the answer is UTF-8, to be held
// against every byte (find_invalid_utf8) and given up for Windows-1252 when it fails. Error when the bytes
// are no text, or `given` names an encoding that is not known.
Result<EncodingFound> detect_encoding(std::string_view head, const std::optional<std::string>& given);

// "UTF-8", "UTF-16LE", "UTF-16BE", "Windows-1252".
const char* encoding_name(Encoding encoding);
std::optional<Encoding> encoding_of(std::string_view name);

// Offset of the first byte that is not UTF-8; npos when all are. A character cut off by the end of `text` is
// left for the next piece (`cut` = how many of its bytes stand here) when `last` is false.
std::size_t find_invalid_utf8(std::string_view text, bool last, std::size_t& cut);

struct Decoded {
    std::string text; // UTF-8
    Encoding encoding = Encoding::utf8;
    std::size_t repaired = 0;     // bytes or units that were not of the encoding
    std::uint32_t first_line = 0; // physical line of the first
    std::string first;            // what it became, with a little around it
    // Characters that are proper UTF-8 in a text where bytes that are not are more: neither encoding fits.
    std::size_t mixed = 0;
};

// The whole of a file without its byte order mark. Bytes that are not UTF-8 are read as Windows-1252, one by
// one, as long as the proper characters of several bytes are at least a tenth as many (or UTF-8 was given);
// otherwise the whole text is Windows-1252. Two bytes of Windows-1252 that look like a proper character are a
// capital letter before a sign ("É»"), rare in text, so that one of them already speaks for UTF-8; where the
// stray bytes are more than the proper characters, `mixed` leaves it to a person.
Decoded decode(std::string_view bytes, const EncodingFound& found);
// The same for UTF-16 piece by piece: adds what `bytes` holds to `decoded` and returns how many of them it
// took. Unless they are the last, it leaves what may be half a character.
std::size_t decode_utf16(std::string_view bytes, bool big, bool last, Decoded& decoded);

} // namespace thresh::intake
