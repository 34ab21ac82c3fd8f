// What a technician wants to know after a session, as facts: the summary on standard error and the first part
// of the report are made from it.
#pragma once

#include <thresh/summary/tables.hpp>

#include <optional>
#include <string>
#include <vector>

namespace thresh::summary {

// Moisture of a material's seed readings, whatever their verdict.
struct MoistureHistogram {
    std::string material;
    std::optional<double> low, high;                // the window, inclusive
    double first = 0, step = 0;                     // bin i covers [first + i * step, first + (i + 1) * step)
    std::vector<std::size_t> counts;                // at most 16 bins
    std::size_t readings = 0, below = 0, above = 0; // with a moisture; of them outside the window
};

struct Overview {
    Accounting accounting;
    std::size_t lines = 0;                   // rows of `lines`
    std::vector<std::string> without_number; // of them, those without a usable reading, in their order
    std::vector<std::string> without_value;  // titles of constituents read of which no value can be used
    // What to do, most urgent first; `items` of one action, the first few of them by name.
    struct Task {
        std::string action;
        std::size_t items = 0;
        std::vector<std::string> first; // samples or places, at most five
        std::string due;                // earliest; empty when none has one
    };
    std::vector<Task> tasks;
    // How far each trial of the list has come, in bytewise order; none without a list.
    struct Trial {
        std::string name; // empty when the list has no trials
        std::size_t listed = 0, read = 0,
                    again = 0; // samples; again: with an open item that ends in a reading
    };
    std::vector<Trial> trials;
    // What had to be assumed about columns and files, each said once with the number of files.
    struct Assumption {
        std::string code, message, help, first_place;
        std::size_t places = 0;
    };
    std::vector<Assumption> assumptions;
    std::vector<std::string> refused;        // `file: reason`
    std::vector<MoistureHistogram> moisture; // by material, those with most readings first
};
// `for_people`: tasks and moisture too, which take a look at every reading and finding.
Overview overview(const Season& season, bool for_people = true);

} // namespace thresh::summary
