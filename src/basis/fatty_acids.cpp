// Masses from the atomic weights of C, H and O (12.011, 1.008, 15.999). A triglyceride is three acids and
// glycerol less three waters: 3 M + 38.049. Every double bond takes up one I2 (253.809).
#include <thresh/basis/fatty_acids.hpp>

#include <array>
#include <cmath>

namespace thresh::basis {

namespace {

constexpr FattyAcid acid(ConstituentId id, const char* notation, int carbon, int double_bonds) {
    const int hydrogen = 2 * carbon - 2 * double_bonds;
    return {id, notation, 12.011 * carbon + 1.008 * hydrogen + 2 * 15.999, double_bonds};
}

using namespace constituent;

constexpr std::array kAcids = {
    acid(palmitic, "16:0", 16, 0),  acid(palmitoleic, "16:1", 16, 1), acid(stearic, "18:0", 18, 0),
    acid(oleic, "18:1", 18, 1),     acid(linoleic, "18:2", 18, 2),    acid(linolenic, "18:3", 18, 3),
    acid(arachidic, "20:0", 20, 0), acid(gondoic, "20:1", 20, 1),     acid(behenic, "22:0", 22, 0),
    acid(erucic, "22:1", 22, 1),    acid(lignoceric, "24:0", 24, 0)};

} // namespace

std::span<const FattyAcid> fatty_acids() {
    return kAcids;
}

double iodine_factor(const FattyAcid& acid) {
    return 3 * 253.809 * acid.double_bonds / (3 * acid.molecular_mass + 38.049);
}

std::optional<double> saponification_value(const Inputs& inputs) {
    double shares = 0, mass = 0;
    for (const FattyAcid& acid : kAcids) {
        const double share = inputs.at(acid.id);
        if (std::isnan(share))
            continue;
        shares += share;
        mass += share * acid.molecular_mass;
    }
    if (shares <= 0)
        return std::nullopt;
    return 3 * 56.1 * 1000 / (3 * (mass / shares) + 92.09 - 3 * 18);
}

} // namespace thresh::basis
