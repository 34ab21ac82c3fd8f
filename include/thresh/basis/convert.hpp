// Moisture-basis arithmetic. y_T = x_M (100 - T) / (100 - M): a share of the sample at moisture M, restated
// for the same dry matter at moisture T. All percentages wet basis. Source: mass balance of dry matter; the
// same formula stands in grain-inspection handbooks (alternate moisture basis).
#pragma once

#include <thresh/core/basis.hpp>

#include <optional>

namespace thresh::basis {

// 0 <= moisture < 100 is the whole domain; outside it there is no answer.
constexpr bool valid_moisture(double moisture) {
    return moisture >= 0 && moisture < 100; // false for NaN
}

// `value` stated at `from` percent moisture, restated at `to`. Preconditions: both valid.
double convert(double value, double from, double to);

// `value` on `stated` basis, wanted on another. `moisture` of the reading is needed only when exactly one of
// the two is as-is; nothing when it is needed and absent or outside the domain. not_stated counts as as-is.
std::optional<double> restate(double value, Basis stated, Basis wanted, std::optional<double> moisture);

// Dry-basis moisture (water per dry matter, %) from wet-basis moisture, and back.
double dry_basis_moisture(double wet);
double wet_basis_moisture(double dry);

// Mass after drying from moisture `from` to `to`, dry matter conserved; same unit as `mass`.
double mass_at(double mass, double from, double to);

// Standard uncertainty of convert(value, from, to) (GUM, first order): u_value, u_from and u_to are standard
// uncertainties of the three; a basis with a fixed moisture is exact, so that one of the last two is 0. r is
// the correlation of the value and the other's moisture.
double converted_uncertainty(double value, double from, double to, double u_value, double u_from, double u_to,
                             double r);

// Crude protein under another nitrogen factor (6.25, 5.71, 5.46, ...).
double protein_with_factor(double protein, double from_factor, double to_factor);

} // namespace thresh::basis
