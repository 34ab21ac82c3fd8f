// The rules in force: built-in rules overlaid by files and options, each entry with where it came from.
#pragma once

#include <thresh/batch/settings.hpp>
#include <thresh/core/finding.hpp>
#include <thresh/core/result.hpp>
#include <thresh/intake/exports.hpp>

#include <functional>
#include <map>
#include <optional>
#include <string>
#include <vector>

namespace thresh::rules {

// Where an entry came from: `built-in`, a rules file with line and column, or an option.
struct Origin {
    std::string where = "built-in";
    std::uint32_t line = 0, column = 0;
    std::string source; // the literature or "common practice", for built-in entries
};

struct Range {
    std::optional<double> low, high;  // inclusive
    Basis basis = Basis::as_is();     // ignored for parts of oil and protein
    std::string oil_type;             // empty: any
    std::optional<Severity> severity; // stronger than the code's own
    Origin origin;
};

struct MoistureWindow {
    std::optional<double> low, high; // inclusive, percent as read
    double margin = 0;               // within it beyond a bound: review instead of exclude
    Origin origin;
};

using Ranges = std::map<ConstituentId, std::vector<Range>>; // several ranges: one an oil type

struct Material {
    std::string name;
    Basis basis = Basis::dry(); // wanted for results unless --basis
    MoistureWindow window;
    Ranges expected, possible, calibrated;
    std::optional<double> calibrated_distance;
    std::map<ConstituentId, double> repeatability_sd, sep; // percent; sep: standard error of prediction
    std::vector<ConstituentId> key;
    std::optional<std::string> prefer; // of a sample read both ways: "whole" or "ground"
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
    Origin origin;
};

struct OwnCheck {
    std::string name, when, message;
    Severity severity = Severity::review;
    Origin origin;
};

struct Ruleset {
    ConstituentTable constituents;   // with the traits
    std::vector<Material> materials; // file materials first, in file order; first match wins
    batch::Settings batch;           // materials' `when`, standard, controls, ignore, sample_id ...
    std::vector<intake::ColumnRule> columns;
    std::vector<std::string> ignored_headings;
    Standard standard;
    std::vector<Control> controls;
    std::vector<TraitFormula> traits;
    std::vector<OwnCheck> checks;
    intake::BelowLimit below_limit = intake::BelowLimit::omit;
    int few_samples = 2;
    double nitrogen_factor = 6.25;
    std::vector<std::string> dark_coats;      // words of seed_coat for grind-first
    std::string check_characters;             // "", "mod37_36", "luhn", "damm", "verhoeff"
    std::map<std::string, Severity> severity;        // by code: the files' maps
    std::map<std::string, Severity> severity_option; // by code: --severity, stronger than an entry's own
    std::optional<Basis> basis;               // --basis: overrides every material's
    std::vector<std::string> files;           // rules files in force, base first

    const Material* material(std::uint8_t index) const;    // by batch material index; null for kNoMaterial
    Basis wanted_basis(std::uint8_t material_index) const; // --basis, else the material's, else dry
};

// Built-in rules overlaid by `files` (in order). `read` fetches a file's text (for `extends`, relative to the
// file that names it). Errors: JSON mistakes, unknown or repeated keys (nearest key named), wrong types, a
// low above its high, circular extends: with file, line and column.
using ReadFile = std::function<Result<std::string>(const std::string& path)>;
Result<Ruleset> load_rules(const std::vector<std::string>& files, const ReadFile& read);

} // namespace thresh::rules
