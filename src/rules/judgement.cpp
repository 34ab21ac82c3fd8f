// What a judgement answers about rows, samples, sessions and lines.
#include <thresh/rules/judge.hpp>

#include <bit>

namespace thresh::rules {

void Judgement::index_marks(std::size_t rows) {
    row_flags.assign(rows, 0);
    marked_rows.assign(rows / 64 + 1, {});
    first_mark.clear();
    for (std::size_t i = 0; i < marks.size(); ++i) {
        const RowId row = marks[i].row;
        row_flags[row] |= marks[i].mark == Mark::exclude ? kHasExclude : kHasReview;
        if (i > 0 && marks[i - 1].row == row)
            continue;
        marked_rows[row / 64].rows |= std::uint64_t{1} << row % 64;
        first_mark.push_back(static_cast<std::uint32_t>(i));
    }
    first_mark.push_back(static_cast<std::uint32_t>(marks.size()));
    std::uint32_t before = 0;
    for (MarkedRows& near : marked_rows) {
        near.before = before;
        before += static_cast<std::uint32_t>(std::popcount(near.rows));
    }
    for (const Finding& f : findings)
        if ((f.about == About::value || f.about == About::reading) && f.row != kNone)
            row_flags[f.row] |= kHasFinding;
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
