// A finding: one thing that one rule says. A small record; its words are made when it is shown.
#pragma once

#include <thresh/core/constituent.hpp>

#include <cstdint>
#include <limits>
#include <string_view>

namespace thresh {

enum class Severity : std::uint8_t { off, note, review, exclude };
enum class About : std::uint8_t { value, reading, sample, line, session, column, file, decision };

// Strongest finding about a single value.
enum class Mark : std::uint8_t { use, review, exclude };
// Strongest finding about a reading, its sample and its session.
enum class Verdict : std::uint8_t { use, review, exclude, superseded };
// What a row of an export is. Only seed gets a verdict.
enum class Kind : std::uint8_t { seed, standard, control, repeated, ignored, outside_selection };

using RowId = std::uint32_t; // number of a reading in the whole batch, canonical order
inline constexpr std::uint32_t kNone = std::numeric_limits<std::uint32_t>::max();

struct Finding {
    std::uint16_t code = 0; // index into the catalogue of rules
    Severity severity = Severity::note;
    About about = About::value;
    ConstituentId constituent = kNoConstituent;
    bool settled = false;          // by a later reading or a decision: shown, but nothing left to do
    RowId row = kNone;             // the reading it stands at, when it stands at one
    std::uint32_t subject = kNone; // index of the sample, line, session, file, note or decision it is about
    std::uint32_t detail = kNone;  // for the rule that made it
};

std::string_view to_text(Severity severity); // off note review exclude
std::string_view to_text(About about);
std::string_view to_text(Verdict verdict);
std::string_view to_text(Kind kind);

} // namespace thresh
