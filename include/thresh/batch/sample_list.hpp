// The sample list and the decisions file as the batch sees them.
#pragma once

#include <thresh/core/result.hpp>
#include <thresh/core/time.hpp>

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace thresh::batch {

// One row of the sample list. Empty text = not stated.
struct ListEntry {
    std::uint32_t row_line = 0; // physical line in the list
    std::string sheet;
    std::string sample, line, trial, environment, year, rep, block, plot, check, material, kind, generation,
        oil_type, seed_coat, location, due, duplicate_of;
    std::optional<double> mass_g;
    bool keep_whole = false, treated = false;
    bool is_check = false; // `check` holds a yes word or a check's name
};

struct SampleList {
    std::string source;             // empty: no list was given
    std::vector<ListEntry> entries; // in file order
    bool has_trial = false, has_plot = false, has_rep = false, has_environment = false;
    bool given() const { return !source.empty(); }
};

// One row of the decisions file.
struct Decision {
    enum class Action : std::uint8_t { keep, drop, rename };
    std::uint32_t row_line = 0;
    std::string sample, source, constituent, code, to, reason, initials, date;
    std::optional<std::uint32_t> row;
    Time time;
    Action action = Action::keep;
};

} // namespace thresh::batch
