// Deletion neighbourhoods: two strings are within one edit (insert, delete, replace, adjacent swap) only if
// they share a string made by leaving out at most one character of each. Candidates are then checked. A
// season has millions of such strings: their hashes are made from those of the ID's beginnings and ends, so
// that none is written out.
#include "rules/nearest_ids.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <numeric>
#include <string>
#include <thresh/core/parallel.hpp>
#include <thresh/core/text_pool.hpp>

namespace thresh::rules {

namespace {

constexpr std::size_t kLongestId = 64; // longer ones are no packet labels; they are compared folded only

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

bool one_edit_apart(std::string_view a, std::string_view b) {
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

enum class KeyOf { folded, part };

// All bits of a polynomial's value in all others (the finish of MurmurHash3, from memory).
std::uint64_t spread(std::uint64_t value) {
    value = (value ^ (value >> 33)) * 0xff51afd7ed558ccdU;
    value = (value ^ (value >> 33)) * 0xc4ceb9fe1a85ec53U;
    return value ^ (value >> 33);
}

// Calls take(key, what) for the folded ID, the ID and all its parts with one character left out.
template <typename Take>
void each_key(std::string_view id, const Take& take) {
    take(~hash_bytes(folded(id)), KeyOf::folded);
    if (id.size() > kLongestId)
        return;
    // The value of a text is that of its characters as digits of a number to a large odd base.
    constexpr std::uint64_t kBase = 0x9e3779b97f4a7c15U;
    const auto digit = [&](std::size_t i) { return std::uint64_t{static_cast<unsigned char>(id[i])} + 1; };
    std::array<std::uint64_t, kLongestId + 1> beginning; // of the first i characters
    beginning[0] = 0;
    for (std::size_t i = 0; i < id.size(); ++i)
        beginning[i + 1] = beginning[i] * kBase + digit(i);
    take(spread(beginning[id.size()]), KeyOf::part);
    std::uint64_t end = 0, power = 1; // of the characters after i
    for (std::size_t i = id.size(); i-- > 0; power *= kBase) {
        if (i == 0 || id[i] != id[i - 1]) // of equal neighbours any may be left out
            take(spread(beginning[i] * power + end), KeyOf::part);
        end += digit(i) * power;
    }
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
                    const std::string_view id = mistyped_[mistyped];
                    if (what == KeyOf::folded ? listed[l] != id && folded(listed[l]) == folded(id)
                                              : one_edit_apart(listed[l], id))
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

} // namespace thresh::rules
