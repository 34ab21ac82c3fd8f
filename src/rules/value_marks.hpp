// Marks of values: what findings, drifting sessions and decisions say about them, strongest first.
#pragma once

#include <thresh/rules/judge.hpp>

namespace thresh::rules {

// Makes the marks and their index anew, for `rows` readings, from findings in order, session marks and what
// was dropped. Of several marks of a value the strongest stays. The result does not depend on `threads`.
void make_marks(Judgement& made, std::size_t rows, unsigned threads);

} // namespace thresh::rules
