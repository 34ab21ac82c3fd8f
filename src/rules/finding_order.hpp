// The order in which findings are told, and where those of one row, sample, session or line stand in it.
#pragma once

#include <thresh/rules/judge.hpp>

namespace thresh::rules {

// What findings are about comes first of all: readings and their values, then sessions, samples, lines, all
// else.
enum class FindingGroup : std::uint8_t { reading, session, sample, line, other };
FindingGroup group_of(const Finding& finding);

// Group, place (row or subject), constituent, code; what is about a whole reading stands before its values.
bool canonical_less(const Finding& a, const Finding& b);

void sort_findings(std::vector<Finding>& findings, unsigned threads);
// The same for findings about readings of [first, first + rows), which a row has few of.
std::vector<Finding> by_rows(const std::vector<std::vector<Finding>>& found, std::size_t first,
                             std::size_t rows);
// Puts findings in order whose first `sorted` are in order already and the others too.
void merge_findings(std::vector<Finding>& findings, std::size_t sorted);
// Of findings in order:
// those of a group, those that stand nowhere (kNone) last;
std::span<const Finding> of_group(std::span<const Finding> findings, FindingGroup group);
// those about readings and their values, cut between rows into as many stretches as are worth it;
std::vector<std::span<const Finding>> row_stretches(std::span<const Finding> findings, unsigned threads);
// where those about each of `count` rows, sessions, samples or lines (not `other`) begin.
Judgement::Begins index_by(std::span<const Finding> findings, std::size_t count, FindingGroup group,
                           unsigned threads);

} // namespace thresh::rules
