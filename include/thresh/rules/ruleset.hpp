// The rules in force: built-in rules overlaid by files and options, each entry with where it came from.
#pragma once

#include <thresh/batch/settings.hpp>
#include <thresh/core/column_rule.hpp>
#include <thresh/core/finding.hpp>
#include <thresh/core/result.hpp>
#include <thresh/core/time.hpp>
#include <thresh/rules/formula.hpp>

#include <functional>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

namespace thresh::rules {

// Where an entry came from: `built-in`, a rules file with line and column, or an option.
struct Origin {
    std::string where = "built-in";
    std::uint32_t line = 0, column = 0;
    std::string source; // the literature or "common practice", for built-in entries
};

using Origins = std::map<std::string, Origin>;

struct Range {
    std::optional<double> low, high;  // inclusive
    Basis basis = Basis::as_is();     // ignored for parts of oil and protein
    PartOf part_of = PartOf::sample;  // applies only to columns that state the constituent as this part
    std::string oil_type;             // empty: readings whose listed oil type no other range here names
    std::optional<Severity> severity; // stronger than the code's own
    Origin origin;
};

struct MoistureWindow {
    std::optional<double> low, high; // inclusive, percent as read
    double margin = 0;               // within it beyond a bound: review instead of exclude
    Origin origin;
};

using Ranges = std::map<ConstituentId, std::vector<Range>>; // one for each oil type and part

// Bounds of a sum (or ratio) that has to close: beyond `low` and `high` sum-off with its own severity, beyond
// `note_low` and `note_high` at most a note.
struct SumLimit {
    std::optional<double> low, high, note_low, note_high;
    Origin origin;
};
struct Sums {
    SumLimit fatty_acids;      // all eleven fatty acids read, % of oil
    SumLimit main_fatty_acids; // only 16:0, 18:0, 18:1, 18:2 (and 18:3 where read), % of oil
    SumLimit proximates;       // moisture + protein + oil + ash, as-is
    SumLimit closure;          // the same plus fiber, starch and sugars, as-is
    SumLimit sugars;           // sum of the single sugars minus `sugars`
    SumLimit amino_acids;      // sum of all amino acids read / protein (N x 6.25)
};

// A correction from a comparison with wet chemistry: intercept + slope * value, for readings between `from`
// and `to` (inclusive; missing: open).
struct Adjustment {
    std::string instrument = "*";
    std::string oil_type; // of the sample list; empty: any
    double intercept = 0, slope = 1;
    Basis basis = Basis::as_is();
    Time from, to;
    Origin origin;
};

struct Material {
    std::string name;
    Basis basis = Basis::dry(); // wanted for results unless --basis
    MoistureWindow window;
    Ranges expected, possible, calibrated;
    std::optional<double> calibrated_distance;
    std::map<ConstituentId, double> repeatability_sd, sep; // percent; sep: standard error of prediction
    std::set<ConstituentId> repeatability_sd_given;        // by a rules file, not built in
    std::map<ConstituentId, double> plot_sd; // percent, between plots of a line, without reading error
    std::vector<ConstituentId> key;          // judged by repeats and outliers
    Sums sums;
    std::map<ConstituentId, std::vector<Adjustment>> adjust;
    std::optional<std::string> prefer; // of a sample read both ways: "whole" or "ground"
    std::string like;                  // the material whose entries it has unless given; empty: none
    Origin origin;
};

struct Standard {
    ConstituentId column = constituent::peak;
    double target = 1143.6, review = 0.5, exclude = 1.0;
    std::string unit = "nm";
    std::string required = "auto"; // auto, always, never
    Origin origin;
};

struct ControlTarget {
    double target = 0;
    std::optional<double> sd;
    Basis basis = Basis::as_is();
    Origin origin;
};
struct Control {
    std::string sample; // pattern
    std::string instrument = "*";
    std::string material; // empty: any
    std::map<ConstituentId, ControlTarget> targets;
    Origin origin;
};

struct TraitFormula {
    ConstituentId id; // in `constituents`
    std::string name, formula, unit = "%";
    Formula compiled;
    Origin origin;
};

struct OwnCheck {
    std::string name, when, message;
    Formula condition;
    std::optional<Severity> severity = {}; // stronger than the code's own
    Origin origin;
};

// Charts of controls and standards, in units of the control's SD.
struct ChartOptions {
    double warning = 2, action = 3;
    bool western_electric = false; // 2 of 3 beyond 2 SD, 4 of 5 beyond 1 SD, 8 on one side
    bool cusum = true, ewma = false;
    double cusum_k = 0.5, cusum_h = 5;
    double ewma_lambda = 0.2, ewma_limit = 3;
    int estimate_from = 20; // readings needed before centre or SD is estimated from the control itself
};

// Settings of rules that compare readings with each other.
struct TestOptions {
    double repeats_percent = 0.3; // chance that good repeats disagree, over the family of key constituents
    int repeats_own_sd = 10;      // samples read again before the season's own repeatability SD is used
    double outlier_percent = 1;   // outlier-in-line: chance over the family
    int outlier_samples = 6;      // outlier-in-line: fewest samples
    int stuck_constituents = 6;   // stuck-reading: equal values that exclude
    double drift_percent = 1;     // session-offset and its like: chance of any in a season without drift
    double id_reuse_days = 60;    // id-reused
    double flood_percent = 20;    // of readings: more means that the limit does not fit the material
};

// How trials are modelled (lines --trial-model, trials).
struct TrialOptions {
    std::string environment = "fixed";        // fixed or random
    std::string replicate = "random";         // fixed or random
    std::string line_by_environment = "auto"; // auto (when replicated), random, none
    double level_percent = 5;                 // of intervals, LSD and Dunnett's test
};

struct Ruleset {
    ConstituentTable constituents;   // with the traits
    std::vector<Material> materials; // file materials first, in file order; first match wins
    batch::Settings batch;           // materials' `when`, standard, controls, ignore, sample_id ...
    std::vector<ColumnRule> columns;
    std::vector<std::string> ignored_headings;
    std::map<std::string, std::vector<std::string>> list_headings; // of sample lists, by column; not patterns
    Standard standard;
    std::vector<Control> controls;
    std::vector<TraitFormula> traits;
    std::vector<OwnCheck> checks;
    BelowLimit below_limit = BelowLimit::omit;
    int few_samples = 2;
    double nitrogen_factor = 6.25;
    std::vector<std::string> dark_coats; // words of seed_coat for grind-first
    std::string check_characters;        // "", "mod37_36", "luhn", "damm", "verhoeff"
    ChartOptions charts;
    TestOptions tests;
    TrialOptions trials;
    std::map<std::string, Severity> severity;        // by code: the files' maps
    std::map<std::string, Severity> severity_option; // by code: --severity, stronger than an entry's own
    std::optional<Basis> basis;                      // --basis: overrides every material's
    std::vector<std::string> files; // rules files in force, base first; "built-in" among them
    // The origin of every entry, by path: "materials.soybean.basis". Made when asked for: a run needs none.
    std::function<Origins()> origins;

    // What a `<0.05` cell counts for, as a share of its limit; nothing: no value.
    std::optional<double> share_below_limit() const;
    const Material* material(std::uint8_t index) const;    // by batch material index; null for kNoMaterial
    Basis wanted_basis(std::uint8_t material_index) const; // --basis, else the material's, else dry
};

// Built-in rules overlaid by `files` (in order). `read` fetches a file's text (for `extends`, relative to the
// file that names it). Errors: JSON mistakes, unknown or repeated keys (nearest key named), wrong types, a
// low above its high, circular extends: with file, line and column.
using ReadFile = std::function<Result<std::string>(const std::string& path)>;
Result<Ruleset> load_rules(const std::vector<std::string>& files, const ReadFile& read);

} // namespace thresh::rules
