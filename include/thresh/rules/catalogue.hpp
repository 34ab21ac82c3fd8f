// What every rule says about itself: the one source of `explain`, the documentation, the rules-file schema,
// the data package and the to-do list.
#pragma once

#include <thresh/core/finding.hpp>

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace thresh::rules {

// `queue` sees what is wrong with readings, and goes before the rules that compare samples; `drift` sees what
// sessions, standards and controls say, and which readings were superseded.
enum class Phase : std::uint8_t { intake, reading, queue, repeats, session, drift, line, decisions };

// What the laboratory has to do about a finding, in the order of the to-do list.
enum class Action : std::uint8_t {
    nothing,
    settle,
    correct_export,
    correct_id,
    map_material,
    find_sample,
    check_instrument,
    condition_and_read,
    grind_and_read,
    read_again,
    wet_chemistry,
    look
};
std::string_view to_text(Action action); // "condition the seed and read again"

struct Declaration {
    std::string_view code; // "moisture-low"
    Severity severity;     // default
    About about;
    Phase phase;
    Action action;
    std::string_view title; // one line: what was found
    std::string_view why;   // why it matters
    std::string_view what_to_do;
    std::string_view limit; // where the limit comes from: source or "common practice"
    bool fault = false;     // of the measurement: a later clean reading supersedes the reading
    bool together = false;  // findings with the same detail are one thing to do: a run of readings
};

const std::vector<Declaration>& catalogue(); // index = Finding::code
std::optional<std::uint16_t> code_index(std::string_view code);

// The whole catalogue as a page (docs/findings.md).
std::string findings_reference();

} // namespace thresh::rules
