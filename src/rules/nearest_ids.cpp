// Deletion neighbourhoods: two strings are within one edit (insert, delete, replace, adjacent swap) only if
// they share a string made by leaving out at most one character of each. Candidates are then checked.
#include "rules/nearest_ids.hpp"

#include <algorithm>
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

// Calls take(key, what) for the folded ID, the ID and all its parts with one character left out.
template <typename Take>
void each_key(std::string_view id, const Take& take) {
    take(hash_bytes("=" + folded(id)), KeyOf::folded);
    if (id.size() > kLongestId)
        return;
    take(hash_bytes(id), KeyOf::part);
    if (id.empty())
        return;
    std::string shorter(id.substr(1));
    for (std::size_t i = 0;; ++i) {
        take(hash_bytes(shorter), KeyOf::part);
        if (i + 1 == id.size())
            return;
        shorter[i] = id[i];
    }
}

} // namespace

NearestIds::NearestIds(std::vector<std::string_view> mistyped) : mistyped_(std::move(mistyped)) {
    for (std::uint32_t i = 0; i < mistyped_.size(); ++i)
        each_key(mistyped_[i], [&](std::uint64_t key, KeyOf) { by_key_.emplace_back(key, i); });
    std::sort(by_key_.begin(), by_key_.end());
    by_key_.erase(std::unique(by_key_.begin(), by_key_.end()), by_key_.end());
    filter_.assign(std::bit_ceil(by_key_.size() / 4 + 1), 0); // 16 bits a key, or more
    while (shift_ > 32 && (by_key_.size() >> (63 - shift_)) > 2)
        --shift_;
    begin_.assign((std::size_t{1} << (64 - shift_)) + 1, 0);
    for (const auto& [key, index] : by_key_) {
        filter_[(key >> 6) & (filter_.size() - 1)] |= std::uint64_t{1} << (key & 63);
        ++begin_[(key >> shift_) + 1];
    }
    std::partial_sum(begin_.begin(), begin_.end(), begin_.begin());
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
