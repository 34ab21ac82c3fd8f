// Whole files into UTF-8. Runs of ASCII, the most of any export, are copied eight bytes at a time.
#include "intake/encoding.hpp"

#include "intake/fold.hpp"

#include <algorithm>
#include <bit>
#include <cstring>

namespace thresh::intake {

namespace {

// Bytes 0x80 to 0x9F of Windows-1252; 0 = not assigned.
constexpr char32_t kWindows1252[32] = {0x20ac, 0,      0x201a, 0x0192, 0x201e, 0x2026, 0x2020, 0x2021,
                                       0x02c6, 0x2030, 0x0160, 0x2039, 0x0152, 0,      0x017d, 0,
                                       0,      0x2018, 0x2019, 0x201c, 0x201d, 0x2022, 0x2013, 0x2014,
                                       0x02dc, 0x2122, 0x0161, 0x203a, 0x0153, 0,      0x017e, 0x0178};

constexpr std::uint64_t kHighBits = 0x8080808080808080ULL;

// Length of the ASCII run at the front.
std::size_t ascii_run(std::string_view text) {
    std::size_t i = 0;
    for (; i + 8 <= text.size(); i += 8) {
        std::uint64_t word = 0;
        std::memcpy(&word, text.data() + i, 8);
        if ((word & kHighBits) != 0)
            break;
    }
    while (i < text.size() && static_cast<unsigned char>(text[i]) < 0x80)
        ++i;
    return i;
}

char32_t from_windows1252(char byte) {
    const auto c = static_cast<unsigned char>(byte);
    if (c < 0x80 || c >= 0xa0)
        return c;
    return kWindows1252[c - 0x80] == 0 ? U'\xfffd' : kWindows1252[c - 0x80];
}

std::uint32_t line_of(std::string_view text) {
    std::uint32_t line = 1;
    for (std::size_t i = 0; i < text.size(); ++i)
        line += text[i] == '\n' || (text[i] == '\r' && (i + 1 == text.size() || text[i + 1] != '\n'));
    return line;
}

void remember(Decoded& decoded, char32_t became) {
    if (decoded.repaired++ > 0)
        return;
    decoded.first_line = line_of(decoded.text);
    const std::size_t line_start = decoded.text.find_last_of("\r\n") + 1;
    std::size_t from = std::max(line_start, decoded.text.size() > 20 ? decoded.text.size() - 20 : 0);
    while (from < decoded.text.size() && (static_cast<unsigned char>(decoded.text[from]) & 0xc0) == 0x80)
        ++from;
    decoded.first = decoded.text.substr(from);
    append_utf8(decoded.first, became);
}

// A proper character of more than one byte at the front: its length; 0 when there is none.
std::size_t proper_character(std::string_view text) {
    std::string_view rest = text;
    next_character(rest);
    const std::size_t length = text.size() - rest.size();
    return length > 1 ? length : 0;
}

void decode_windows1252(std::string_view bytes, Decoded& decoded) {
    decoded.encoding = Encoding::windows1252;
    decoded.text.reserve(bytes.size() + bytes.size() / 16);
    while (!bytes.empty()) {
        const std::size_t run = ascii_run(bytes);
        decoded.text.append(bytes.substr(0, run));
        bytes.remove_prefix(run);
        if (bytes.empty())
            break;
        const char32_t c = from_windows1252(bytes[0]);
        if (c == U'\xfffd')
            remember(decoded, c);
        append_utf8(decoded.text, c);
        bytes.remove_prefix(1);
    }
}

void decode_utf8(std::string_view bytes, bool given, Decoded& decoded) {
    std::size_t proper = 0, stray = 0;
    for (std::string_view rest = bytes; !rest.empty();) {
        rest.remove_prefix(ascii_run(rest));
        if (rest.empty())
            break;
        const std::size_t length = proper_character(rest);
        ++(length > 0 ? proper : stray);
        rest.remove_prefix(std::max<std::size_t>(1, length));
    }
    if (!given && proper < stray) {
        decoded.mixed = proper;
        if (10 * proper < stray) {
            decode_windows1252(bytes, decoded);
            return;
        }
    }
    decoded.text.reserve(bytes.size() + 2 * stray);
    while (!bytes.empty()) {
        const std::size_t run = ascii_run(bytes);
        decoded.text.append(bytes.substr(0, run));
        bytes.remove_prefix(run);
        if (bytes.empty())
            break;
        const std::size_t length = proper_character(bytes);
        if (length > 0) {
            decoded.text.append(bytes.substr(0, length));
        } else {
            remember(decoded, from_windows1252(bytes[0]));
            append_utf8(decoded.text, from_windows1252(bytes[0]));
        }
        bytes.remove_prefix(std::max<std::size_t>(1, length));
    }
}

// ASCII units at the front, four at a time, as characters; at most `room` of them.
std::size_t ascii_units(std::string_view bytes, bool big, char* to, std::size_t room) {
    constexpr std::size_t kUnits = 4, kBytes = 2 * kUnits;
    std::size_t n = 0;
    if constexpr (std::endian::native == std::endian::little)
        for (; n + kUnits <= room && 2 * n + kBytes <= bytes.size(); n += kUnits) {
            std::uint64_t word = 0;
            std::memcpy(&word, bytes.data() + 2 * n, kBytes);
            if ((word & (big ? 0x80ff80ff80ff80ffULL : 0xff80ff80ff80ff80ULL)) != 0)
                break;
            word >>= big ? 8 : 0;
            word = (word | word >> 8) & 0x0000ffff0000ffffULL;
            const auto four = static_cast<std::uint32_t>(word | word >> 16);
            std::memcpy(to + n, &four, kUnits);
        }
    return n;
}

} // namespace

std::size_t decode_utf16(std::string_view bytes, bool big, bool last, Decoded& decoded) {
    decoded.encoding = big ? Encoding::utf16be : Encoding::utf16le;
    const auto unit = [&](std::size_t i) {
        const unsigned a = static_cast<unsigned char>(bytes[i]), b = static_cast<unsigned char>(bytes[i + 1]);
        return static_cast<char32_t>(big ? a << 8 | b : b << 8 | a);
    };
    std::size_t i = 0;
    char run[256];
    while (i + 1 < bytes.size()) {
        // A run of ASCII at a time: the hot loop of these files.
        std::size_t n = ascii_units(bytes.substr(i), big, run, sizeof run);
        i += 2 * n;
        while (n < sizeof run && i + 1 < bytes.size() && unit(i) < 0x80) {
            run[n++] = static_cast<char>(unit(i));
            i += 2;
        }
        decoded.text.append(run, n);
        if (n == sizeof run || i + 1 >= bytes.size())
            continue;
        char32_t c = unit(i);
        const bool first_of_two = c >= 0xd800 && c < 0xdc00;
        if (first_of_two && !last && i + 3 >= bytes.size())
            return i;
        i += 2;
        if (first_of_two && i + 1 < bytes.size() && unit(i) >= 0xdc00 && unit(i) < 0xe000) {
            c = 0x10000 + ((c - 0xd800) << 10) + (unit(i) - 0xdc00);
            i += 2;
        } else if (c >= 0xd800 && c < 0xe000) {
            c = U'\xfffd';
            remember(decoded, c);
        }
        append_utf8(decoded.text, c);
    }
    if (last && i < bytes.size())
        remember(decoded, U'\xfffd');
    return i;
}

std::size_t find_invalid_utf8(std::string_view text, bool last, std::size_t& cut) {
    cut = 0;
    std::size_t at = 0;
    while (at < text.size()) {
        at += ascii_run(text.substr(at));
        if (at == text.size())
            break;
        const std::size_t length = proper_character(text.substr(at));
        if (length == 0) {
            // Perhaps only cut off: at most three bytes, all but the first continuing.
            const std::string_view rest = text.substr(at);
            const bool continues = std::all_of(rest.begin() + 1, rest.end(), [](char c) {
                return (static_cast<unsigned char>(c) & 0xc0) == 0x80;
            });
            if (!last && rest.size() < 4 && continues && static_cast<unsigned char>(rest[0]) >= 0xc2) {
                cut = rest.size();
                return std::string_view::npos;
            }
            return at;
        }
        at += length;
    }
    return std::string_view::npos;
}

Decoded decode(std::string_view bytes, const EncodingFound& found) {
    Decoded decoded;
    bytes.remove_prefix(std::min(found.mark, bytes.size()));
    switch (found.encoding) {
    case Encoding::utf8:
        decode_utf8(bytes, found.given || found.mark > 0, decoded);
        break;
    case Encoding::utf16le:
    case Encoding::utf16be:
        decoded.text.reserve(bytes.size() / 2 + bytes.size() / 16);
        decode_utf16(bytes, found.encoding == Encoding::utf16be, true, decoded);
        break;
    case Encoding::windows1252:
        decode_windows1252(bytes, decoded);
        break;
    }
    return decoded;
}

} // namespace thresh::intake
