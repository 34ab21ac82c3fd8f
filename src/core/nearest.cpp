// Optimal string alignment distance in its textbook table form (three rows kept). A name counts as near when
// at most a third of the longer text has to be edited, and two edits always (common practice).
#include <thresh/core/nearest.hpp>

#include <algorithm>
#include <fmt/format.h>

namespace thresh {

namespace {

char lower(char c) {
    return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

} // namespace

unsigned edit_distance(std::string_view a, std::string_view b) {
    std::vector<unsigned> before(b.size() + 1), above(b.size() + 1), row(b.size() + 1);
    for (std::size_t j = 0; j <= b.size(); ++j)
        above[j] = static_cast<unsigned>(j);
    for (std::size_t i = 1; i <= a.size(); ++i) {
        row[0] = static_cast<unsigned>(i);
        for (std::size_t j = 1; j <= b.size(); ++j) {
            const unsigned change = lower(a[i - 1]) == lower(b[j - 1]) ? 0 : 1;
            row[j] = std::min({above[j] + 1, row[j - 1] + 1, above[j - 1] + change});
            const bool swapped =
                i > 1 && j > 1 && lower(a[i - 1]) == lower(b[j - 2]) && lower(a[i - 2]) == lower(b[j - 1]);
            if (swapped)
                row[j] = std::min(row[j], before[j - 2] + 1);
        }
        before.swap(above);
        above.swap(row);
    }
    return above[b.size()];
}

std::string nearest_hint(std::string_view word, const std::vector<std::string>& names,
                         std::string_view what) {
    const std::string_view tried = word.substr(0, 200); // nobody's name is longer; keeps the table small
    const std::string* best = nullptr;
    unsigned best_distance = 0;
    for (const std::string& name : names) {
        const unsigned distance = edit_distance(tried, name);
        if (!best || distance < best_distance) {
            best = &name;
            best_distance = distance;
        }
    }
    if (!best)
        return fmt::format("{}: none", what);
    if (best_distance <= std::max<std::size_t>(2, std::max(tried.size(), best->size()) / 3))
        return fmt::format("did you mean `{}`?", *best);
    // A season has hundreds of lines: a screenful of them helps nobody.
    constexpr std::size_t kMostNames = 40;
    if (names.size() > kMostNames)
        return fmt::format("{}: {} and {} more", what,
                           fmt::join(names.begin(), names.begin() + kMostNames / 4, ", "),
                           names.size() - kMostNames / 4);
    return fmt::format("{}: {}", what, fmt::join(names, ", "));
}

} // namespace thresh
