// The one table of what a reading can report: names, the headings they are exported under, what they are a
// share of, and how many decimals people want to see.
#pragma once

#include <thresh/core/basis.hpp>

#include <cstdint>
#include <limits>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace thresh {

using ConstituentId = std::uint16_t;
inline constexpr ConstituentId kNoConstituent = std::numeric_limits<ConstituentId>::max();

enum class Group : std::uint8_t {
    proximate, // moisture protein oil ash fiber starch
    sugar,
    amino_acid,
    fatty_acid,
    derived,   // computed per reading from converted inputs, then averaged
    ratio,     // computed from mean inputs
    trait,     // a formula of the rules file
    instrument // numbers about the reading, not about the seed: distances, the standard's peak
};

// Built-in constituents, in table order; the order of columns in every output. Traits of a rules file follow
// after `kBuiltInCount`.
namespace constituent {
enum BuiltIn : ConstituentId {
    moisture,
    protein,
    oil,
    ash,
    fiber,
    starch,
    sucrose,
    raffinose,
    stachyose,
    verbascose,
    glucose,
    fructose,
    sugars,
    lysine,
    methionine,
    cysteine,
    threonine,
    tryptophan,
    arginine,
    leucine,
    isoleucine,
    valine,
    histidine,
    phenylalanine,
    tyrosine,
    alanine,
    aspartic_acid,
    glutamic_acid,
    glycine,
    proline,
    serine,
    palmitic,
    palmitoleic,
    stearic,
    oleic,
    linoleic,
    linolenic,
    arachidic,
    gondoic,
    behenic,
    erucic,
    lignoceric,
    protein_plus_oil,
    saturates,
    monounsaturates,
    polyunsaturates,
    iodine_value,
    raffinose_family,
    critical_amino_acids,
    defatted_meal_protein,
    oleic_linoleic,
    calibration_distance,
    neighbor_distance,
    peak,
    kBuiltInCount
};
} // namespace constituent

struct ConstituentInfo {
    std::string name;                // snake_case, the column name in every output
    std::string title;               // for people: "Protein", "Linolenic acid (18:3)"
    std::string unit;                // "%", "nm", "g I2/100 g", "" for ratios
    PartOf part_of = PartOf::sample; // unless the heading says otherwise
    Group group = Group::proximate;
    std::uint8_t decimals = 2;              // for people
    std::vector<std::string_view> headings; // besides `name`: English, German, French, Spanish, Portuguese
};

// The built-in constituents, and after them the traits that a rules file adds.
class ConstituentTable {
  public:
    ConstituentTable();

    std::size_t size() const { return infos_.size(); }
    const ConstituentInfo& operator[](ConstituentId id) const { return infos_[id]; }
    // By exact name; nothing when there is none.
    std::optional<ConstituentId> find(std::string_view name) const;
    // Adds a trait and returns its id. Precondition: the name is not taken (`find`).
    ConstituentId add_trait(ConstituentInfo info);

  private:
    std::vector<ConstituentInfo> infos_;
};

// Columns of an export that are text about the reading.
enum class TextField : std::uint8_t { sample, instrument, operator_, analysis, calibration, material };
inline constexpr std::size_t kTextFields = 6;

// A column of exports that is not a constituent: name (as in tables) and the headings it is exported under.
struct FieldInfo {
    std::string_view name;
    std::vector<std::string_view> headings;
};
const FieldInfo& field_info(TextField field);
const FieldInfo& time_field_info();

} // namespace thresh
