#include "rules/value_marks.hpp"

#include "rules/finding_order.hpp"

#include <algorithm>
#include <cassert>
#include <span>
#include <thresh/core/parallel.hpp>
#include <tuple>

namespace thresh::rules {

namespace {

using ValueMark = Judgement::ValueMark;

bool same_value(const ValueMark& a, const ValueMark& b) {
    return a.row == b.row && a.constituent == b.constituent;
}

bool stronger_first(const ValueMark& a, const ValueMark& b) {
    return std::tuple(a.row, a.constituent, b.mark) < std::tuple(b.row, b.constituent, a.mark);
}

bool marks_its_value(const Finding& f) {
    return f.about == About::value && !f.settled && f.severity >= Severity::review;
}

// Of findings in order, which stand value by value.
std::vector<ValueMark> marks_of(std::span<const Finding> found) {
    std::vector<ValueMark> marks;
    marks.reserve(static_cast<std::size_t>(std::ranges::count_if(found, marks_its_value)));
    for (const Finding& f : found) {
        if (!marks_its_value(f))
            continue;
        const ValueMark mark{f.row, f.constituent,
                             f.severity == Severity::exclude ? Mark::exclude : Mark::review};
        if (!marks.empty() && same_value(marks.back(), mark))
            marks.back().mark = std::max(marks.back().mark, mark.mark);
        else
            marks.push_back(mark);
    }
    return marks;
}

// Of sessions and decisions, in any order.
std::vector<ValueMark> other_marks(const Judgement& made) {
    std::vector<ValueMark> marks;
    for (const Judgement::SessionMark& of_session : made.session_marks)
        marks.push_back(of_session.mark);
    for (const Judgement::Drop& drop : made.dropped)
        if (drop.constituent != kNoConstituent)
            marks.push_back({drop.row, drop.constituent, Mark::exclude});
    return marks;
}

} // namespace

void make_marks(Judgement& made, std::size_t rows, unsigned threads) {
    const auto stretches = row_stretches(made.findings, threads);
    std::vector<std::vector<ValueMark>> of_stretch(stretches.size());
    parallel_for(stretches.size(), threads, [&](std::size_t s) { of_stretch[s] = marks_of(stretches[s]); });
    const std::vector<ValueMark> others = other_marks(made);
    std::size_t all = others.size();
    for (const std::vector<ValueMark>& some : of_stretch)
        all += some.size();
    made.marks.clear();
    made.marks.reserve(all);
    for (const std::vector<ValueMark>& some : of_stretch)
        made.marks.insert(made.marks.end(), some.begin(), some.end());
    if (!others.empty()) {
        const auto middle = made.marks.insert(made.marks.end(), others.begin(), others.end());
        std::sort(middle, made.marks.end(), stronger_first);
        std::inplace_merge(made.marks.begin(), middle, made.marks.end(), stronger_first);
        made.marks.erase(std::unique(made.marks.begin(), made.marks.end(), same_value), made.marks.end());
    }
    assert(std::ranges::is_sorted(made.marks, stronger_first));
    made.index_marks(rows, threads);
}

} // namespace thresh::rules
