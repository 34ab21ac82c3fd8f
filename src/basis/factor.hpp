// The factor of a moisture-basis conversion, formed in one place.
#pragma once

namespace thresh::basis {

// What a share of the sample at `from` percent moisture is multiplied by to stand at `to`; exactly 1 when
// both are the same.
constexpr double factor(double from, double to) {
    return (100 - to) / (100 - from);
}

} // namespace thresh::basis
