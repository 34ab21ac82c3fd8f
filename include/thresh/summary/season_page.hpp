// What the season's page shows, as plain numbers and text: everything is computed here, and the report only
// lays it out. Tables of any length are held whole, so that the page decides what it has room for.
#pragma once

#include <thresh/core/nothing.hpp>
#include <thresh/summary/agreement.hpp>
#include <thresh/summary/overview.hpp>
#include <thresh/summary/table.hpp>

#include <array>
#include <optional>
#include <string>
#include <vector>

namespace thresh::summary {

class TrialModels;

namespace page {

// A constituent in a material, as people see it.
struct Quantity {
    std::string name, title, unit; // "protein", "Protein", "%"
    std::string basis;             // "13", "dry", "as-is"; empty for parts of oil and protein
    std::string part_of;           // "sample", "oil", "protein"; empty for what is no share
    std::uint8_t decimals = 2;
};

// How far something can be trusted or needs a person.
enum class State : std::uint8_t { good, look, bad, unknown };

// One of the questions that the page answers first.
struct Answer {
    std::string question, answer;
    State state = State::unknown;
    std::string section; // of the page that says more: trust, todo, lines, charts, changes
};

struct Trouble { // a finding in words
    std::string code, message;
    State state = State::look;
};

// Readings of one instrument without a long gap; the latest first, those without times last.
struct Session {
    std::string label, instrument;
    Time start, end;
    std::size_t readings = 0, use = 0, review = 0, exclude = 0, superseded = 0; // of seed
    std::size_t standards = 0, controls = 0;                                    // readings of them
    std::optional<double> standard_off; // of the standard's readings, the largest distance to the target
    std::vector<Trouble> troubles;      // about the session, the gravest first
    State state = State::good;          // unknown: it has no reading of seed
    bool last_of_instrument = false;
};

// A packet, or a place where there is none, with what to do.
struct TaskItem {
    std::string sample, place, material, location, due, line, trial, reason, detail;
    std::optional<double> mass_g, stop_at_g; // when conditioning: of today, and when to stop
    std::optional<double> stop_at_percent;   // of today's mass
};
struct Task {
    std::string action, due;       // due: the earliest
    std::vector<TaskItem> packets; // by location, sample
    std::vector<TaskItem> others;  // files, sessions, lines
};

// A number of a line.
struct Cell {
    double mean, se; // NaN where there is none
    std::uint32_t n = 0;
    Shown shown = Shown::plain;
};
struct Line {
    std::string name, status; // complete, partial, none
    bool check = false, provisional = false;
    std::uint32_t plots = 0, samples = 0, readings = 0, used = 0, review = 0, flagged = 0;
    std::size_t rank = 0;    // by the group's `ranked_by`, 1 is the highest, with a fit the best; 0: none
    std::vector<Cell> cells; // by column of the group
    // With a fit, of the quantity that it is of: mean and standard error, n as in its cell.
    Cell adjusted{kNothing, kNothing};
};
// What the model of a trial says of the quantity that its lines are ranked by.
struct TrialFit {
    std::string model; // in words
    std::vector<std::string> notes;
    double level = 0.05;                // of the least significant difference
    std::optional<double> lsd;          // of two adjusted means
    std::optional<double> heritability; // Cullis et al. 2006
};
// The lines of one material and trial: ranked ones, then others with readings in use, then provisional ones,
// then those without a number.
struct LineGroup {
    std::string material, trial;
    std::vector<Quantity> columns; // the first of those that have a number here
    std::vector<std::string> more; // names of the others
    std::size_t ranked_by = 0;     // into columns; columns.size(): nothing to rank by
    std::vector<Line> lines;
    bool has_plots = false;
    std::optional<TrialFit> fit = {}; // ranks are then those of its predictions, as in `lines --trial-model`
    std::vector<std::string> no_fit = {}; // why there is none though models were asked for
};

struct MissingLine {
    std::string material, trial, line;
    bool check = false;
    std::string why; // packets by name, findings in words
    bool provisional = false;
};

// A mean that what was left out or is under review moves by at least half a unit of its last decimal.
struct ChangedMean {
    std::string material, trial, line;
    Quantity quantity;
    std::optional<double> now, certain, all; // as in `lines`; without values under review; nothing left out
    std::string why;
    double moved = 0; // the larger of the two differences; 0 where there is no second mean to differ from
};

// How often usable readings take a value, beside the range expected of them.
struct Distribution {
    std::string material, oil_type; // oil type: where the expected range depends on it
    Quantity quantity;
    double first = 0, step = 0; // bin i covers [first + i * step, first + (i + 1) * step)
    std::vector<std::size_t> counts;
    std::size_t readings = 0, below_bins = 0, above_bins = 0; // beyond the bins, counted in the outer ones
    std::optional<double> low, high;                          // expected, on the quantity's basis
    std::size_t below = 0, above = 0;                         // readings outside
    std::string remark;                                       // why no range is drawn
};

struct ChartPoint {
    double value = 0;
    Time time;
    std::string signals; // in words
    bool action = false;
};
// A control or the wavelength standard on an instrument over time.
struct Chart {
    std::string instrument, control, material, calibration; // control empty: the wavelength standard
    Quantity quantity;
    std::string limits; // where centre and limits come from, in words
    std::optional<double> centre, warning_low, warning_high, action_low, action_high;
    std::vector<ChartPoint> points;
    std::size_t actions = 0, warnings = 0; // points
    std::string last_signal;               // of the latest point that carries one of the gravest
    State state = State::good;
};
// What stands without a chart: controls that nothing judges.
struct Unjudged {
    std::string instrument, control, material, why;
};
// Estimates with intervals: session offsets, differences of instruments, dependence on moisture.
struct Estimate {
    std::string kind; // session, instruments, moisture
    std::string name, material;
    Quantity quantity;
    std::size_t links = 0;
    double value = 0, low = 0, high = 0;
    bool signal = false;
};

struct Agreement {
    std::string material, oil_type;
    Quantity quantity;
    struct Pair {
        double nir = 0, reference = 0;
        std::string sample;
        bool outlying = false;
    };
    std::vector<Pair> pairs;
    std::optional<double> bias, bias_low, bias_high, sep, rmsep, rpd, r2, slope, intercept;
    std::size_t refused = 0;
    std::string verdict;
};

// Rules in force about one material, in words.
struct MaterialRules {
    std::string name, basis, window, key;
    std::vector<std::array<std::string, 4>> ranges; // constituent, what, limits with basis, where from
};

} // namespace page

struct SeasonPage {
    Overview overview;
    Time first, last; // of all readings
    std::vector<page::Answer> answers;
    std::vector<page::Session> sessions;
    std::string standard_unit;
    std::string standard_target; // "1143.6 nm, review beyond 0.5, exclude beyond 1.0"
    std::vector<page::Task> tasks;
    std::vector<page::LineGroup> groups;
    std::vector<page::MissingLine> missing;
    std::vector<page::ChangedMean> changes;
    std::size_t decisions = 0, adjusted_lines = 0;
    std::vector<page::Distribution> distributions; // by material, table order, oil type
    std::vector<page::Chart> charts;               // standards, then controls
    std::vector<page::Unjudged> unjudged;
    std::vector<page::Estimate> estimates;
    std::vector<page::Agreement> agreement;
    std::vector<std::string> agreement_notes;
    bool has_reference = false;
    std::vector<page::MaterialRules> rules;
    std::vector<std::string> settings; // sentences: session gap, nitrogen factor, chart limits, ...
    // Of derived constituents that the season has: title, formula, source.
    std::vector<std::array<std::string, 3>> formulas;
};

// `reference` may be null, and `models` is null where lines are to be ranked by their means.
SeasonPage season_page(const Season& season, const SampleMeans& means, const ReferenceComparison* reference,
                       const TrialModels* models = nullptr);

} // namespace thresh::summary
