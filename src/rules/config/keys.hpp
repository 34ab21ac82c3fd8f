// The one table of rules-file keys: name, type, default and description. The checks of a file, the JSON
// Schema, the reference in docs/ and the starter file are all made from it. A key is added here, read in
// build.cpp or build_material.cpp, and shown in show.cpp.
#pragma once

#include <cstdint>
#include <limits>
#include <string_view>
#include <vector>

namespace thresh::rules {

// What an object of a rules file is; one table of keys each.
enum class Section : std::uint8_t {
    none,
    root,
    columns,
    column,
    materials,
    material,
    when,
    window,
    ranges,
    range,
    calibrated,
    percents,
    sums,
    sum,
    adjustments,
    adjustment,
    standard,
    controls,
    control,
    target,
    traits,
    trait,
    check,
    severities,
    charts,
    tests,
    trials,
    kCount
};

enum class Type : std::uint8_t {
    text,
    number,
    count, // a whole number
    flag,  // true or false
    choice,
    basis,
    severity,
    time,
    texts, // one text or a list of texts
    constituents,
    section,
    list,       // a list of objects
    one_or_more // one object or a list of them
};

// What the names of a section's further entries (besides its fixed keys) are.
enum class Names : std::uint8_t { none, constituent, column, code, material, sample, trait };

struct Bounds {
    double low = -std::numeric_limits<double>::infinity();
    double high = std::numeric_limits<double>::infinity();
    bool low_open = false, high_open = false; // the bound itself is refused
};

struct Key {
    std::string_view name = {}; // empty for a section's further entries
    Type type = Type::text;
    std::string_view default_json = {}; // as it would stand in a file; empty: none
    std::string_view about = {};        // one line
    Section of = Section::none;         // section, list, one_or_more
    std::vector<std::string_view> choices = {};
    Bounds bounds = {};
};

struct SectionKeys {
    std::string_view name = {};  // of the section, as in the schema
    std::string_view about = {}; // one line
    std::vector<Key> keys = {};
    Names names = Names::none;
    Key entry = {};                              // of the further entries, when names is not none
    bool has_source = true;                      // may hold `source`, the literature behind its values
    std::vector<std::string_view> identity = {}; // of one object in a list: these keys together are unique

    const Key* find(std::string_view name_of_key) const;
};

const SectionKeys& keys_of(Section section);

// Words for messages, schema and reference: "a number", "a text or a list of texts".
std::string_view to_text(Type type);
std::string_view to_text(Names names); // "CONSTITUENT", "CODE", ...

// Parts of the table in files of their own: keys_material.cpp, keys_instrument.cpp.
SectionKeys material_keys(Section section);
SectionKeys instrument_keys(Section section);

} // namespace thresh::rules
