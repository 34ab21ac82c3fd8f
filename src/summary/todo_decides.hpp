// What hangs on an item of the to-do list: the decisions about lines that its findings under review can
// change.
#pragma once

#include <thresh/summary/decisions.hpp>
#include <thresh/summary/todo.hpp>

#include <span>
#include <string>

namespace thresh::summary {

// Joined by `; `, empty where nothing hangs on it. About a packet: of its line. About a session or a run of
// readings: each decision with the name of its line in front. Findings about files, columns and lines put no
// value under review, so that nothing hangs on them.
std::string decides_text(const TodoItem& item, const Season& season, const Decisions& decisions);

} // namespace thresh::summary
