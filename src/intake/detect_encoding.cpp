// Byte order marks say it; zero bytes at every other place say UTF-16; strict UTF-8 is next to impossible by
// chance in other text, so that whatever is not UTF-8 is Windows-1252, which contains Latin-1 and ASCII. What
// is partly UTF-8 is settled when all of it is decoded (decode.cpp).
#include "intake/encoding.hpp"

#include "intake/fold.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace thresh::intake {

namespace {

struct Zeros {
    std::size_t even = 0, odd = 0, control = 0;
};

Zeros count_zeros(std::string_view head) {
    Zeros zeros;
    // Most files have none of either; that is seen many bytes at a time.
    unsigned odd = 0;
    for (const char c : head)
        odd |= static_cast<unsigned>(static_cast<unsigned char>(c) < 0x20) &
               static_cast<unsigned>(c != '\n') & static_cast<unsigned>(c != '\r') &
               static_cast<unsigned>(c != '\t');
    if (odd == 0)
        return zeros;
    for (std::size_t i = 0; i < head.size(); ++i) {
        const auto c = static_cast<unsigned char>(head[i]);
        if (c == 0)
            ++(i % 2 == 0 ? zeros.even : zeros.odd);
        else if (c < 0x20 && c != '\t' && c != '\n' && c != '\r' && c != '\f' && c != 0x1a && c != 0x1b)
            ++zeros.control;
    }
    return zeros;
}

} // namespace

const char* encoding_name(Encoding encoding) {
    switch (encoding) {
    case Encoding::utf8:
        return "UTF-8";
    case Encoding::utf16le:
        return "UTF-16LE";
    case Encoding::utf16be:
        return "UTF-16BE";
    case Encoding::windows1252:
        break;
    }
    return "Windows-1252";
}

std::optional<Encoding> encoding_of(std::string_view name) {
    const std::string key = fold_key(name);
    if (key == "utf8" || key == "ascii" || key == "usascii")
        return Encoding::utf8;
    if (key == "utf16" || key == "utf16le" || key == "unicode")
        return Encoding::utf16le;
    if (key == "utf16be")
        return Encoding::utf16be;
    if (key == "windows1252" || key == "cp1252" || key == "ansi" || key == "latin1" || key == "iso88591" ||
        key == "iso885915")
        return Encoding::windows1252;
    return std::nullopt;
}

Result<EncodingFound> detect_encoding(std::string_view head, const std::optional<std::string>& given) {
    EncodingFound found;
    if (head.starts_with("\xEF\xBB\xBF"))
        found = {Encoding::utf8, 3, false, "byte order mark"};
    else if (head.starts_with(std::string_view("\xFF\xFE\0\0", 4)) ||
             head.starts_with(std::string_view("\0\0\xFE\xFF", 4)))
        return fail("the file is UTF-32 text, which is not read", "save it as UTF-8");
    else if (head.starts_with("\xFF\xFE"))
        found = {Encoding::utf16le, 2, false, "byte order mark"};
    else if (head.starts_with("\xFE\xFF"))
        found = {Encoding::utf16be, 2, false, "byte order mark"};
    if (given) {
        const auto encoding = encoding_of(*given);
        if (!encoding)
            return fail(fmt::format("`{}` is not an encoding that is read", *given),
                        "--encoding UTF-8, UTF-16LE, UTF-16BE or Windows-1252");
        const bool plain_utf16 = fold_key(*given) == "utf16" && found.mark == 2;
        const std::size_t mark = plain_utf16 || found.encoding == *encoding ? found.mark : 0;
        return EncodingFound{plain_utf16 ? found.encoding : *encoding, mark, true, "given"};
    }
    if (found.mark > 0)
        return found;
    const Zeros zeros = count_zeros(head);
    const std::size_t half = head.size() / 2;
    if (10 * zeros.odd > 3 * half && 20 * zeros.even < zeros.odd)
        return EncodingFound{Encoding::utf16le, 0, false, "zero bytes at odd places"};
    if (10 * zeros.even > 3 * half && 20 * zeros.odd < zeros.even)
        return EncodingFound{Encoding::utf16be, 0, false, "zero bytes at even places"};
    if (50 * (zeros.even + zeros.odd + zeros.control) > head.size())
        return fail("the file is not text", "export it as text or as .xlsx");
    return EncodingFound{Encoding::utf8, 0, false, "all bytes are UTF-8"};
}

} // namespace thresh::intake
