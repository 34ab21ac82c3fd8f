// The program's threads: made when first needed and kept, for a step is often shorter than making a thread
// takes.
#pragma once

#include <cstddef>
#include <functional>

namespace thresh {

// Calls run(0) on this thread and, side by side, run(1), run(2) ... on up to `others` threads of the crew;
// returns when all that began have returned. Threads that are busy or wake up late may never begin, so run(0)
// alone must be able to do all the work. May be called by several threads at once and from within `run`. What
// `run` throws on this thread is thrown on; on the others it ends the program.
void share_work(std::size_t others, const std::function<void(std::size_t)>& run);
// The same for work that takes long, such as writing a table: a thread that only waits for the end of its own
// work does not join, because it could not go on before all of this is done.
void share_long_work(std::size_t others, const std::function<void(std::size_t)>& run);

} // namespace thresh
