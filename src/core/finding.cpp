#include <thresh/core/finding.hpp>

namespace thresh {

std::string_view to_text(Severity severity) {
    static constexpr std::string_view kNames[] = {"off", "note", "review", "exclude"};
    return kNames[static_cast<unsigned>(severity)];
}

std::string_view to_text(About about) {
    static constexpr std::string_view kNames[] = {"value",   "reading", "sample", "line",
                                                  "session", "column",  "file",   "decision"};
    return kNames[static_cast<unsigned>(about)];
}

std::string_view to_text(Verdict verdict) {
    static constexpr std::string_view kNames[] = {"use", "review", "exclude", "superseded"};
    return kNames[static_cast<unsigned>(verdict)];
}

std::string_view to_text(Kind kind) {
    static constexpr std::string_view kNames[] = {"seed",     "standard", "control",
                                                  "repeated", "ignored",  "outside_selection"};
    return kNames[static_cast<unsigned>(kind)];
}

} // namespace thresh
