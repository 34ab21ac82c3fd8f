// Deletion neighbourhoods: two strings are within one edit (insert, delete, replace, adjacent swap) only if
// they share a string made by leaving out at most one character of each. Candidates are then checked. A
// season has millions of such strings: their hashes are made from those of the ID's beginnings and ends, so
// that none is written out. Edits are edits of characters, not of bytes; folding makes a typographic
// dash, a Cyrillic letter or a blank that nobody sees what it looks like.
#include "rules/nearest_ids.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <cstdlib>
#include <fmt/format.h>
#include <numeric>
#include <string>
#include <thresh/core/parallel.hpp>
#include <thresh/core/text_pool.hpp>
#include <utf8proc.h>

namespace thresh::rules {

namespace {

constexpr std::size_t kLongestId = 64; // longer ones are no packet labels; they are compared folded only

// Letters of other scripts with the face of a Latin one (common practice; the confusables of Unicode's UTS
// #39, from memory).
constexpr std::u32string_view kForeign =
    U"\u0410\u0412\u0421\u0415\u041d\u0406\u0408\u041a\u041c\u041e\u0420\u0405\u0422\u0425\u0423"
    U"\u0430\u0441\u0435\u0456\u0458\u043e\u0440\u0455\u0445\u0443"
    U"\u0391\u0392\u0395\u0397\u0399\u039a\u039c\u039d\u039f\u03a1\u03a4\u03a5\u03a7\u0396";
constexpr std::string_view kLatin = "ABCEHIJKMOPSTXY"
                                    "aceijopsxy"
                                    "ABEHIKMNOPTYXZ";

// Characters that people and label printers confuse (common practice): 0 O Q D, 1 I L 7, 2 Z, 5 S, 6 G, 8 B,
// U V; case, blanks and separators do not count; leading zeros of digit groups are dropped.
std::string folded(std::string_view id) {
    std::string text;
    for (char c : id) {
        if (c >= 'a' && c <= 'z')
            c = static_cast<char>(c - 'a' + 'A');
        switch (c) {
        case 'O':
        case 'Q':
        case 'D':
            c = '0';
            break;
        case 'I':
        case 'L':
        case '7':
            c = '1';
            break;
        case 'Z':
            c = '2';
            break;
        case 'S':
            c = '5';
            break;
        case 'G':
            c = '6';
            break;
        case 'B':
            c = '8';
            break;
        case 'V':
            c = 'U';
            break;
        case ' ':
        case '-':
        case '_':
        case '.':
        case '/':
            c = '-';
            break;
        default:
            break;
        }
        if (!text.empty() && text.back() == '0' && c >= '0' && c <= '9' &&
            (text.size() == 1 || text[text.size() - 2] < '0' || text[text.size() - 2] > '9'))
            text.pop_back(); // a leading zero
        if (c == '-' && (text.empty() || text.back() == '-'))
            continue;
        text += c;
    }
    return text;
}

template <typename Text>
bool one_edit_apart(Text a, Text b) {
    if (a.size() > b.size())
        std::swap(a, b);
    if (b.size() - a.size() > 1 || a == b)
        return false;
    const auto differ = std::mismatch(a.begin(), a.end(), b.begin(), b.end());
    const auto i = static_cast<std::size_t>(differ.first - a.begin());
    if (a.size() < b.size())
        return a.substr(i) == b.substr(i + 1);
    if (a.substr(i + 1) == b.substr(i + 1))
        return true;
    return i + 1 < a.size() && a[i] == b[i + 1] && a[i + 1] == b[i] && a.substr(i + 2) == b.substr(i + 2);
}

using Character = utf8proc_int32_t;

bool is_ascii(std::string_view text) {
    return std::ranges::all_of(text, [](char c) { return static_cast<unsigned char>(c) < 0x80; });
}

// Calls take(code point, its bytes) for each character; a byte that is none is its own.
template <typename Take>
void each_character(std::string_view text, const Take& take) {
    while (!text.empty()) {
        Character character = 0;
        const auto length = utf8proc_iterate(reinterpret_cast<const utf8proc_uint8_t*>(text.data()),
                                             static_cast<utf8proc_ssize_t>(text.size()), &character);
        const std::size_t bytes = length > 0 ? static_cast<std::size_t>(length) : 1;
        take(length > 0 ? character : 0xFFFD, text.substr(0, bytes));
        text.remove_prefix(bytes);
    }
}

char latin_face(Character character) {
    const std::size_t at = kForeign.find(static_cast<char32_t>(character));
    return at == std::u32string_view::npos ? '\0' : kLatin[at];
}

// The text as it looks: typographic dashes, blanks and wide letters made plain, letters without their marks,
// what is invisible left out, letters of other scripts by their faces.
std::string plain(std::string_view text) {
    if (is_ascii(text))
        return std::string(text);
    utf8proc_uint8_t* mapped = nullptr;
    const auto size =
        utf8proc_map(reinterpret_cast<const utf8proc_uint8_t*>(text.data()),
                     static_cast<utf8proc_ssize_t>(text.size()), &mapped,
                     static_cast<utf8proc_option_t>(UTF8PROC_COMPAT | UTF8PROC_DECOMPOSE | UTF8PROC_IGNORE |
                                                    UTF8PROC_STRIPMARK | UTF8PROC_LUMP | UTF8PROC_STABLE));
    if (size < 0)
        return std::string(text); // no valid text
    std::string made;
    each_character({reinterpret_cast<const char*>(mapped), static_cast<std::size_t>(size)},
                   [&](Character character, std::string_view bytes) {
                       if (const char face = latin_face(character); face != '\0')
                           made += face;
                       else
                           made += bytes;
                   });
    std::free(mapped);
    return made;
}

std::u32string characters(std::string_view text) {
    std::u32string made;
    each_character(text,
                   [&](Character character, std::string_view) { made += static_cast<char32_t>(character); });
    return made;
}

enum class KeyOf { folded, part };

// All bits of a polynomial's value in all others (the finish of MurmurHash3, from memory).
std::uint64_t spread(std::uint64_t value) {
    value = (value ^ (value >> 33)) * 0xff51afd7ed558ccdU;
    value = (value ^ (value >> 33)) * 0xc4ceb9fe1a85ec53U;
    return value ^ (value >> 33);
}

// Calls take(key) for a text and all its parts with one character left out. `Text`: of bytes where all are
// ASCII, else of code points.
template <typename Text, typename Take>
void each_part(Text id, const Take& take) {
    if (id.size() > kLongestId)
        return;
    // The value of a text is that of its characters as digits of a number to a large odd base.
    constexpr std::uint64_t kBase = 0x9e3779b97f4a7c15U;
    const auto digit = [&](std::size_t i) { return static_cast<std::uint64_t>(id[i]) + 1; };
    std::array<std::uint64_t, kLongestId + 1> beginning; // of the first i characters
    beginning[0] = 0;
    for (std::size_t i = 0; i < id.size(); ++i)
        beginning[i + 1] = beginning[i] * kBase + digit(i);
    take(spread(beginning[id.size()]));
    std::uint64_t end = 0, power = 1; // of the characters after i
    for (std::size_t i = id.size(); i-- > 0; power *= kBase) {
        if (i == 0 || id[i] != id[i - 1]) // of equal neighbours any may be left out
            take(spread(beginning[i] * power + end));
        end += digit(i) * power;
    }
}

// Calls take(key, what) for the folded ID and for its parts.
template <typename Take>
void each_key(std::string_view id, const Take& take) {
    const auto take_part = [&](std::uint64_t key) { take(key, KeyOf::part); };
    if (is_ascii(id)) {
        take(~hash_bytes(folded(id)), KeyOf::folded);
        each_part(id, take_part);
        return;
    }
    take(~hash_bytes(folded(plain(id))), KeyOf::folded);
    each_part(std::u32string_view(characters(id)), take_part);
}

bool is_near(std::string_view listed, std::string_view id, KeyOf what) {
    if (what == KeyOf::folded)
        return listed != id && folded(plain(listed)) == folded(plain(id));
    if (is_ascii(listed) && is_ascii(id))
        return one_edit_apart(listed, id);
    const std::u32string a = characters(listed), b = characters(id);
    return one_edit_apart(std::u32string_view(a), std::u32string_view(b));
}

} // namespace

NearestIds::NearestIds(std::vector<std::string_view> mistyped) : mistyped_(std::move(mistyped)) {
    std::vector<std::pair<std::uint64_t, std::uint32_t>> keys;
    for (std::uint32_t i = 0; i < mistyped_.size(); ++i)
        each_key(mistyped_[i], [&](std::uint64_t key, KeyOf) { keys.emplace_back(key, i); });
    filter_.assign(std::bit_ceil(keys.size() / 4 + 1), 0); // 16 bits a key, or more
    while (shift_ > 32 && (keys.size() >> (63 - shift_)) > 2)
        --shift_;
    begin_.assign((std::size_t{1} << (64 - shift_)) + 1, 0);
    for (const auto& [key, index] : keys) {
        filter_[(key >> 6) & (filter_.size() - 1)] |= std::uint64_t{1} << (key & 63);
        ++begin_[(key >> shift_) + 1];
    }
    std::partial_sum(begin_.begin(), begin_.end(), begin_.begin());
    std::vector<std::uint32_t> at(begin_.begin(), begin_.end() - 1);
    by_key_.resize(keys.size());
    for (const auto& of_id : keys)
        by_key_[at[of_id.first >> shift_]++] = of_id;
}

std::vector<std::vector<std::string_view>> NearestIds::among(const std::vector<std::string_view>& listed,
                                                             std::size_t most, unsigned threads) const {
    using Match = std::pair<std::uint32_t, std::uint32_t>; // mistyped, listed
    constexpr std::size_t kIdsAPiece = 8192;
    std::vector<std::vector<Match>> pieces((listed.size() + kIdsAPiece - 1) / kIdsAPiece);
    parallel_for(pieces.size(), threads, [&](std::size_t p) {
        const std::size_t end = std::min(listed.size(), (p + 1) * kIdsAPiece);
        for (std::size_t l = p * kIdsAPiece; l < end; ++l)
            each_key(listed[l], [&](std::uint64_t key, KeyOf what) {
                if (!may_hold(key))
                    return;
                for (std::uint32_t k = begin_[key >> shift_]; k < begin_[(key >> shift_) + 1]; ++k) {
                    if (by_key_[k].first != key)
                        continue;
                    const std::uint32_t mistyped = by_key_[k].second;
                    if (is_near(listed[l], mistyped_[mistyped], what))
                        pieces[p].emplace_back(mistyped, static_cast<std::uint32_t>(l));
                }
            });
        std::sort(pieces[p].begin(), pieces[p].end());
        pieces[p].erase(std::unique(pieces[p].begin(), pieces[p].end()), pieces[p].end());
    });
    std::vector<std::vector<std::string_view>> found(mistyped_.size());
    for (const auto& piece : pieces)
        for (const auto& [mistyped, at] : piece)
            if (found[mistyped].size() < most)
                found[mistyped].push_back(listed[at]);
    return found;
}

std::string unseen_difference(std::string_view id, std::string_view near) {
    std::string told;
    each_character(id, [&](Character character, std::string_view bytes) {
        if (!told.empty() || character < 0x80 || character == 0xFFFD ||
            near.find(bytes) != std::string_view::npos)
            return;
        const std::string looks = plain(bytes);
        const std::string number = fmt::format("U+{:04X}", character);
        const auto category = utf8proc_category(character);
        if (looks.empty() && category != UTF8PROC_CATEGORY_MN && category != UTF8PROC_CATEGORY_ME)
            told = number + ", which cannot be seen";
        else if (looks == "-")
            told = number + ", another dash than `-`";
        else if (looks == " ")
            told = number + ", another blank than the usual one";
        else if (latin_face(character) != '\0')
            told = fmt::format("{}, which looks like `{}`", number, looks);
    });
    return told;
}

} // namespace thresh::rules
