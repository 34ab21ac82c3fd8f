// What the batch has to know of the rules to put readings in order.
#pragma once

#include <thresh/core/finding.hpp>
#include <thresh/core/time.hpp>

#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace thresh::batch {

// A condition on what a reading says about itself. Every given field must match; several patterns of one
// field are alternatives. Patterns: `*`, `?`, whole cell, case ignored.
struct When {
    std::vector<std::string> analysis, sample, source, instrument, calibration, material;
    Time from, to; // inclusive; a `to` of day precision means the whole day
    bool empty() const;
};

// `pattern` against the whole of `text`: `*` any run, `?` any character, ASCII case ignored.
bool matches(std::string_view pattern, std::string_view text);
// Equal when ASCII case is ignored: words of lists and rules, such as oil types.
bool same_word(std::string_view a, std::string_view b);

struct MaterialCase {
    std::string name; // "soybean-whole"
    When when;
};

struct Settings {
    std::vector<MaterialCase> materials;     // tried in order, first match wins
    std::vector<std::string> material_names; // every material that has rules, in order; indices below
    std::optional<std::string> assume_material;
    std::optional<std::string> sample_id; // pattern such as {trial}-{line}-{rep}
    When standard;                        // what is a reading of the wavelength standard
    std::vector<std::string> controls;    // sample IDs (patterns) of controls
    When ignore;                          // any field matching makes a row ignored
    double session_gap_hours = 4;
    // Selection by option: rows outside are outside_selection.
    Time from, to;
    std::optional<std::string> only_material;
    unsigned threads = 1;
};

} // namespace thresh::batch
