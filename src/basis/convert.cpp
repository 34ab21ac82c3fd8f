// Mass balance of dry matter. Everywhere in this folder the factor (100 - to) / (100 - from) is formed first
// and the value is multiplied by it: one order of operations, so that the same conversion gives the same
// bits whichever function makes it. Nothing is rounded. Without a change of basis the value is untouched.
#include <thresh/basis/convert.hpp>

#include "basis/factor.hpp"

#include <cassert>
#include <cmath>

namespace thresh::basis {

double convert(double value, double from, double to) {
    assert(valid_moisture(from) && valid_moisture(to));
    return value * factor(from, to);
}

std::optional<double> restate(double value, Basis stated, Basis wanted, std::optional<double> moisture) {
    const bool from_fixed = stated.kind == Basis::Kind::fixed;
    const bool to_fixed = wanted.kind == Basis::Kind::fixed;
    if (!from_fixed && !to_fixed)
        return value;
    if (from_fixed && to_fixed)
        return convert(value, stated.percent, wanted.percent);
    if (!moisture || !valid_moisture(*moisture))
        return std::nullopt;
    return from_fixed ? convert(value, stated.percent, *moisture) : convert(value, *moisture, wanted.percent);
}

double dry_basis_moisture(double wet) {
    assert(valid_moisture(wet));
    return 100 * wet / (100 - wet);
}

double wet_basis_moisture(double dry) {
    assert(dry >= 0);
    return 100 * dry / (100 + dry);
}

double mass_at(double mass, double from, double to) {
    assert(valid_moisture(from) && valid_moisture(to));
    // A mass changes by the inverse of the factor of a concentration.
    return mass * factor(to, from);
}

double converted_uncertainty(double value, double from, double to, double u_value, double u_from, double u_to,
                             double r) {
    assert(valid_moisture(from) && valid_moisture(to));
    assert(u_from == 0 || u_to == 0);
    const double by_value = factor(from, to) * u_value; // dy/dx u(x)
    // dy/dM u(M): a moister reading means more in its dry matter, and less in a sample as it is.
    const double by_moisture = convert(value, from, to) / (100 - from) * u_from - value / (100 - from) * u_to;
    const double variance = by_value * by_value + by_moisture * by_moisture + 2 * r * by_value * by_moisture;
    return std::sqrt(std::fmax(0, variance)); // r = -1 may leave -1e-17
}

double protein_with_factor(double protein, double from_factor, double to_factor) {
    assert(from_factor > 0 && to_factor > 0);
    return protein * to_factor / from_factor;
}

} // namespace thresh::basis
