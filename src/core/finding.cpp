#include <thresh/core/finding.hpp>

namespace thresh {

const char* to_text(Severity severity) {
    static constexpr const char* kNames[] = {"off", "note", "review", "exclude"};
    return kNames[static_cast<unsigned>(severity)];
}

const char* to_text(About about) {
    static constexpr const char* kNames[] = {"value",   "reading", "sample", "line",
                                             "session", "column",  "file",   "decision"};
    return kNames[static_cast<unsigned>(about)];
}

const char* to_text(Verdict verdict) {
    static constexpr const char* kNames[] = {"use", "review", "exclude", "superseded"};
    return kNames[static_cast<unsigned>(verdict)];
}

const char* to_text(Kind kind) {
    static constexpr const char* kNames[] = {"seed",     "standard", "control",
                                             "repeated", "ignored",  "outside_selection"};
    return kNames[static_cast<unsigned>(kind)];
}

} // namespace thresh
