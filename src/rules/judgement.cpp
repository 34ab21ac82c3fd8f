// What a judgement answers about rows, samples, sessions and lines.
#include "rules/finding_order.hpp"

#include <algorithm>
#include <bit>
#include <numeric>
#include <thresh/core/parallel.hpp>

namespace thresh::rules {

namespace {

constexpr std::size_t kRowsAPiece = 1 << 16; // a multiple of 64

// Those of `items`, in order of rows, that are about rows of [first, last).
template <typename Item>
std::span<const Item> in_rows(std::span<const Item> items, std::size_t first, std::size_t last) {
    const auto begin = std::ranges::lower_bound(items, first, {}, &Item::row);
    return {begin, std::ranges::lower_bound(begin, items.end(), last, {}, &Item::row)};
}

} // namespace

void Judgement::index_marks(std::size_t rows, unsigned threads) {
    row_flags.resize(rows);
    marked_rows.resize(rows / 64 + 1);
    const std::span<const ValueMark> all_marks = marks;
    const std::span about_rows = of_group(findings, FindingGroup::reading);
    // Each piece by itself, how many of its rows have marks included; then all of them one behind the other.
    const std::size_t pieces = rows / kRowsAPiece + 1;
    const auto words_of = [&](std::size_t piece) { // of marked_rows
        const std::span from = std::span(marked_rows).subspan(piece * (kRowsAPiece / 64));
        return from.first(std::min(from.size(), kRowsAPiece / 64));
    };
    std::vector<std::uint32_t> marked(pieces);
    parallel_for(pieces, threads, [&](std::size_t piece) {
        const std::size_t first = piece * kRowsAPiece, last = std::min(rows, first + kRowsAPiece);
        std::fill(row_flags.data() + first, row_flags.data() + last, std::uint8_t{0});
        std::ranges::fill(words_of(piece), MarkedRows{});
        for (const ValueMark& mark : in_rows(all_marks, first, last)) {
            marked[piece] += (row_flags[mark.row] & kMarked) == 0 ? 1U : 0U;
            row_flags[mark.row] |= mark.mark == Mark::exclude ? kHasExclude : kHasReview;
            marked_rows[mark.row / 64].rows |= std::uint64_t{1} << mark.row % 64;
        }
        for (const Finding& f : in_rows(about_rows, first, last))
            row_flags[f.row] |= kHasFinding;
    });
    const std::uint32_t all_marked = std::reduce(marked.begin(), marked.end());
    std::exclusive_scan(marked.begin(), marked.end(), marked.begin(), std::uint32_t{0});
    first_mark.resize(all_marked + 1);
    first_mark[all_marked] = static_cast<std::uint32_t>(marks.size());
    parallel_for(pieces, threads, [&](std::size_t piece) {
        const std::size_t first = piece * kRowsAPiece, last = std::min(rows, first + kRowsAPiece);
        std::uint32_t before = marked[piece];
        for (MarkedRows& near : words_of(piece)) {
            near.before = before;
            before += static_cast<std::uint32_t>(std::popcount(near.rows));
        }
        std::uint32_t* next = first_mark.data() + marked[piece];
        const std::span<const ValueMark> of_piece = in_rows(all_marks, first, last);
        for (std::size_t i = 0; i < of_piece.size(); ++i)
            if (i == 0 || of_piece[i].row != of_piece[i - 1].row)
                *next++ = static_cast<std::uint32_t>(&of_piece[i] - marks.data());
    });
}

std::span<const Judgement::SessionMark> Judgement::session_marks_of(RowId row) const {
    const auto row_of = [](const SessionMark& of_session) { return of_session.mark.row; };
    const auto first = std::ranges::lower_bound(session_marks, row, {}, row_of);
    const auto last = std::ranges::upper_bound(session_marks, row, {}, row_of);
    return {first, last};
}

std::span<const Judgement::ValueMark> Judgement::marks_of(RowId row) const {
    const MarkedRows& near = marked_rows[row / 64];
    const std::uint64_t its_bit = std::uint64_t{1} << row % 64;
    if ((near.rows & its_bit) == 0)
        return {};
    const std::uint32_t* first = first_mark.data() + near.before + std::popcount(near.rows & (its_bit - 1));
    return std::span(marks).subspan(first[0], first[1] - first[0]);
}

Mark Judgement::mark(RowId row, ConstituentId constituent) const {
    for (const ValueMark& m : marks_of(row))
        if (m.constituent == constituent)
            return m.mark;
    return Mark::use;
}

} // namespace thresh::rules
