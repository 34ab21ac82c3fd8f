// Findings are many and mostly in order already, so what is in order is only looked at, or merged.
#include "rules/finding_order.hpp"

#include <algorithm>
#include <cassert>
#include <numeric>
#include <thresh/core/parallel.hpp>
#include <tuple>
#include <utility>

namespace thresh::rules {

namespace {

// The row of a finding about a reading or value, the subject of any other.
std::uint32_t place_of(const Finding& f) {
    return group_of(f) == FindingGroup::reading ? f.row : f.subject;
}

// Puts findings about the same place in order; rules meet a row's constituents in the order of its columns.
void sort_places(std::vector<Finding>& findings) {
    const auto place = [](const Finding& f) { return std::tuple(group_of(f), f.row, f.subject); };
    for (auto first = findings.begin(), last = first; first != findings.end(); first = last) {
        for (last = first + 1; last != findings.end() && place(*last) == place(*first);)
            ++last;
        if (last - first > 1 && !std::is_sorted(first, last, canonical_less))
            std::sort(first, last, canonical_less);
    }
}

} // namespace

FindingGroup group_of(const Finding& finding) {
    switch (finding.about) {
    case About::value:
    case About::reading:
        return FindingGroup::reading;
    case About::session:
        return FindingGroup::session;
    case About::sample:
        return FindingGroup::sample;
    case About::line:
        return FindingGroup::line;
    default:
        return FindingGroup::other;
    }
}

bool canonical_less(const Finding& a, const Finding& b) {
    // Group and place, constituent and code, row and detail: three numbers, because a season has hundreds of
    // thousands of findings.
    const auto place = [](const Finding& f) {
        return static_cast<std::uint64_t>(group_of(f)) << 32 | place_of(f);
    };
    if (const std::uint64_t at = place(a), other = place(b); at != other)
        return at < other;
    const auto what = [](const Finding& f) {
        // No constituent comes first: what is about the whole reading stands before its values.
        const std::uint32_t constituent = f.constituent == kNoConstituent ? 0U : f.constituent + 1U;
        return constituent << 16 | f.code;
    };
    const auto rest = [](const Finding& f) { return std::uint64_t{f.row} << 32 | f.detail; };
    return std::pair(what(a), rest(a)) < std::pair(what(b), rest(b));
}

// Each rule's findings come in order of rows, and often only one rule found anything: what is in order
// already is only merged.
void sort_findings(std::vector<Finding>& findings, unsigned threads) {
    constexpr std::size_t kManyRuns = 200;
    sort_places(findings);
    std::vector<std::vector<Finding>::iterator> runs = {findings.begin()};
    while (runs.back() != findings.end() && runs.size() < kManyRuns)
        runs.push_back(std::is_sorted_until(runs.back(), findings.end(), canonical_less));
    if (runs.back() != findings.end()) {
        parallel_sort(findings, threads, canonical_less);
        return;
    }
    for (; runs.size() > 2; std::erase(runs, std::vector<Finding>::iterator())) {
        parallel_for((runs.size() - 1) / 2, threads, [&](std::size_t pair) {
            std::inplace_merge(runs[2 * pair], runs[2 * pair + 1], runs[2 * pair + 2], canonical_less);
            runs[2 * pair + 1] = {}; // between the two no more
        });
    }
}

std::vector<Finding> by_rows(const std::vector<std::vector<Finding>>& found, std::size_t first,
                             std::size_t rows) {
    std::vector<std::uint32_t> next(rows + 1, 0); // counted, then where the next one of a row goes
    std::size_t count = 0;
    for (const std::vector<Finding>& some : found) {
        count += some.size();
        for (const Finding& f : some) {
            assert(group_of(f) == FindingGroup::reading && f.row >= first && f.row < first + rows);
            ++next[f.row - first + 1];
        }
    }
    if (count == 0)
        return {};
    std::partial_sum(next.begin(), next.end(), next.begin());
    std::vector<Finding> ordered(count);
    for (const std::vector<Finding>& some : found)
        for (const Finding& f : some)
            ordered[next[f.row - first]++] = f;
    // Rules meet a row's constituents in the order of its columns.
    for (auto from = ordered.begin(), to = from; from != ordered.end(); from = to) {
        for (to = from + 1; to != ordered.end() && to->row == from->row;)
            ++to;
        if (to - from > 1 && !std::is_sorted(from, to, canonical_less))
            std::sort(from, to, canonical_less);
    }
    return ordered;
}

void merge_findings(std::vector<Finding>& findings, std::size_t sorted) {
    const auto middle = findings.begin() + static_cast<std::ptrdiff_t>(sorted);
    assert(std::is_sorted(findings.begin(), middle, canonical_less));
    assert(std::is_sorted(middle, findings.end(), canonical_less));
    if (middle == findings.begin() || middle == findings.end())
        return;
    // Findings of a late phase are few and often stand behind all others, in a group of their own.
    std::inplace_merge(std::upper_bound(findings.begin(), middle, *middle, canonical_less), middle,
                       std::lower_bound(middle, findings.end(), *(middle - 1), canonical_less),
                       canonical_less);
}

std::span<const Finding> of_group(std::span<const Finding> findings, FindingGroup group) {
    const auto begin = std::ranges::partition_point(
        findings, [&](FindingGroup g) { return g < group; }, group_of);
    return {begin, std::ranges::partition_point(
                       begin, findings.end(), [&](FindingGroup g) { return g == group; }, group_of)};
}

std::vector<std::span<const Finding>> row_stretches(std::span<const Finding> findings, unsigned threads) {
    constexpr std::size_t kWorthIt = 50000; // findings
    std::span<const Finding> left = of_group(findings, FindingGroup::reading);
    std::vector<std::span<const Finding>> stretches;
    const std::size_t wanted = std::max<std::size_t>(left.size() / std::max(1U, threads), kWorthIt);
    while (!left.empty()) {
        std::size_t size = std::min(left.size(), wanted);
        while (size < left.size() && left[size].row == left[size - 1].row)
            ++size;
        stretches.push_back(left.first(size));
        left = left.subspan(size);
    }
    return stretches;
}

Judgement::Begins index_by(std::span<const Finding> findings, std::size_t count, FindingGroup group,
                           unsigned threads) {
    assert(std::is_sorted(findings.begin(), findings.end(), canonical_less));
    constexpr std::size_t kPlacesAPiece = 1 << 16;
    const std::span<const Finding> of_them = of_group(findings, group);
    Judgement::Begins begins(count + 1);
    parallel_for(count / kPlacesAPiece + 1, threads, [&](std::size_t piece) {
        std::size_t place = piece * kPlacesAPiece;
        const std::size_t last = std::min(count + 1, place + kPlacesAPiece);
        auto at = std::ranges::lower_bound(of_them, place, {}, [](const Finding& f) { return place_of(f); });
        for (; place < last; ++place) {
            while (at != of_them.end() && place_of(*at) < place)
                ++at;
            begins[place] =
                static_cast<std::uint32_t>(of_them.data() - findings.data() + (at - of_them.begin()));
        }
    });
    return begins;
}

} // namespace thresh::rules
