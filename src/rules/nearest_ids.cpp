// Deletion neighbourhoods: two strings are within one edit (insert, delete, replace, adjacent swap) only if
// they share a string made by leaving out at most one character of each. Candidates are then checked.
#include "rules/nearest_ids.hpp"

#include <algorithm>
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

template <typename Take>
void each_key(std::string_view id, const Take& take) {
    take(hash_bytes("=" + folded(id)));
    if (id.size() > kLongestId)
        return;
    take(hash_bytes(id));
    std::string shorter;
    for (std::size_t i = 0; i < id.size(); ++i) {
        shorter.assign(id.substr(0, i));
        shorter += id.substr(i + 1);
        take(hash_bytes(shorter));
    }
}

} // namespace

void NearestIds::add(std::string_view id) {
    const auto at = static_cast<std::uint32_t>(ids_.size());
    ids_.push_back(id);
    each_key(id, [&](std::uint64_t key) {
        auto& list = by_key_[key];
        if (list.empty() || list.back() != at)
            list.push_back(at);
    });
}

std::vector<std::string_view> NearestIds::near(std::string_view id, std::size_t most) const {
    std::vector<std::uint32_t> found;
    each_key(id, [&](std::uint64_t key) {
        const auto at = by_key_.find(key);
        if (at == by_key_.end())
            return;
        for (const std::uint32_t candidate : at->second)
            if (one_edit_apart(ids_[candidate], id) ||
                (ids_[candidate] != id && folded(ids_[candidate]) == folded(id)))
                found.push_back(candidate);
    });
    std::sort(found.begin(), found.end());
    found.erase(std::unique(found.begin(), found.end()), found.end());
    std::vector<std::string_view> ids;
    for (std::size_t i = 0; i < found.size() && i < most; ++i)
        ids.push_back(ids_[found[i]]);
    return ids;
}

} // namespace thresh::rules
