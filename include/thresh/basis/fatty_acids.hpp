// Molecular masses of the fatty acids, and what can be computed from them alone.
#pragma once

#include <thresh/basis/derived.hpp>

#include <optional>
#include <span>

namespace thresh::basis {

struct FattyAcid {
    ConstituentId id;
    const char* notation;  // carbon atoms : double bonds
    double molecular_mass; // g/mol, standard atomic weights
    int double_bonds;
};

// The fatty acids of the constituent table, in its order.
std::span<const FattyAcid> fatty_acids();

// Grams of iodine that 100 g of the acid's triglyceride take up, per percent of the acid: the factor that
// AOCS Cd 1c-85 rounds to three decimals.
double iodine_factor(const FattyAcid& acid);

// Calculated saponification value of triglycerides, mg KOH/g: 3 * 56.1 * 1000 / (3 M + 92.09 - 3 * 18), M the
// mean molecular mass weighted by share (AOCS Cd 3a-94). Fatty acids present enter, all of the oil or all of
// the sample; nothing when none is, or their sum is not positive.
std::optional<double> saponification_value(const Inputs& inputs);

} // namespace thresh::basis
