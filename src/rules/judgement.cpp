// What a judgement answers about rows, samples, sessions and lines.
#include <thresh/rules/judge.hpp>

#include <algorithm>
#include <numeric>

namespace thresh::rules {

void Judgement::index_marks(std::size_t rows) {
    row_flags.assign(rows, 0);
    mark_hint.assign(rows / kHintRows + 1, 0);
    for (const ValueMark& m : marks) {
        row_flags[m.row] |= m.mark == Mark::exclude ? kHasExclude : kHasReview;
        ++mark_hint[m.row / kHintRows];
    }
    for (const Finding& f : findings)
        if ((f.about == About::value || f.about == About::reading) && f.row != kNone)
            row_flags[f.row] |= kHasFinding;
    std::exclusive_scan(mark_hint.begin(), mark_hint.end(), mark_hint.begin(), 0U);
}

std::span<const Judgement::ValueMark> Judgement::marks_of(RowId row) const {
    if (!has_marks(row))
        return {};
    const auto at = [&](std::size_t hint) {
        return marks.begin() +
               (hint < mark_hint.size() ? mark_hint[hint] : static_cast<std::ptrdiff_t>(marks.size()));
    };
    const auto first = std::partition_point(at(row / kHintRows), at(row / kHintRows + 1),
                                            [&](const ValueMark& m) { return m.row < row; });
    auto last = first;
    while (last != marks.end() && last->row == row)
        ++last;
    return {first, last};
}

Mark Judgement::mark(RowId row, ConstituentId constituent) const {
    for (const ValueMark& m : marks_of(row))
        if (m.constituent == constituent)
            return m.mark;
    return Mark::use;
}

namespace {

std::span<const std::uint32_t> slice(const Judgement::Index& index, std::uint32_t place) {
    return std::span(index.items).subspan(index.begin[place], index.begin[place + 1] - index.begin[place]);
}

} // namespace

std::span<const std::uint32_t> Judgement::of_row(RowId row) const {
    return slice(by_row, row);
}
std::span<const std::uint32_t> Judgement::of_sample(std::uint32_t sample) const {
    return slice(by_sample, sample);
}
std::span<const std::uint32_t> Judgement::of_session(std::uint32_t session) const {
    return slice(by_session, session);
}
std::span<const std::uint32_t> Judgement::of_line(std::uint32_t line) const {
    return slice(by_line, line);
}

} // namespace thresh::rules
