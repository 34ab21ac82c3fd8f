// Derived constituents against published tables and the molecular masses that their factors come from.
#include <catch2/catch.hpp>

#include <limits>
#include <string>
#include <thresh/basis/convert.hpp>
#include <thresh/basis/derived.hpp>
#include <thresh/basis/fatty_acids.hpp>
#include <vector>

using namespace thresh;
using namespace thresh::basis;
using namespace thresh::constituent;

namespace {

using Values = std::vector<std::pair<ConstituentId, double>>;

struct Arrays {
    std::vector<double> value = std::vector<double>(kBuiltInCount, std::numeric_limits<double>::quiet_NaN());
    std::vector<PartOf> part_of;
    Arrays(const Values& values) {
        const ConstituentTable table;
        for (ConstituentId id = 0; id < kBuiltInCount; ++id)
            part_of.push_back(table[id].part_of);
        for (const auto& [id, number] : values)
            value[id] = number;
    }
};

double derived(ConstituentId id, const Values& values, Basis basis = Basis::dry()) {
    const Arrays arrays(values);
    return derive(id, Inputs{arrays.value, arrays.part_of, basis, std::nullopt}).value();
}

double soybean_iodine_value(double c18_1, double c18_2, double c18_3) {
    return derived(iodine_value, {{oleic, c18_1}, {linoleic, c18_2}, {linolenic, c18_3}});
}

double saponification(const Values& values) {
    const Arrays arrays(values);
    return saponification_value(Inputs{arrays.value, arrays.part_of, Basis::dry(), std::nullopt}).value();
}

const FattyAcid& acid(const std::string& notation) {
    for (const FattyAcid& candidate : fatty_acids())
        if (notation == candidate.notation)
            return candidate;
    FAIL("no fatty acid " + notation);
    return fatty_acids().front();
}

} // namespace

TEST_CASE("published: protein of oil-free canola meal") {
    // Canadian Grain Commission, western Canadian canola 2014: protein and oil of the seed at 8.5 % moisture,
    // protein of the oil-free meal at 8.5 % and at 12 %.
    const Basis at = Basis::at(8.5);
    const double first = derived(defatted_meal_protein, {{protein, 20.1}, {oil, 44.2}}, at);
    CHECK(first == Approx(38.9).margin(0.05));
    CHECK(convert(first, 8.5, 12) == Approx(37.4).margin(0.05));
    const double second = derived(defatted_meal_protein, {{protein, 20.6}, {oil, 43.3}}, at);
    CHECK(second == Approx(39.1).margin(0.05));
    CHECK(convert(second, 8.5, 12) == Approx(37.6).margin(0.05));
}

TEST_CASE("published: iodine values of Canadian soybean oil") {
    // Canadian Grain Commission, oilseed quality 2021 and 2022: 18:1, 18:2, 18:3 and iodine value of Manitoba
    // 2021, Canada 2021, Canada 2022. Only five fatty acids are printed, hence up to 0.5 less.
    CHECK(soybean_iodine_value(20.5, 55.4, 8.5) == Approx(135.8).margin(0.1));
    CHECK(soybean_iodine_value(21.9, 53.8, 8.2) == Approx(133.6).margin(0.5));
    CHECK(soybean_iodine_value(20.3, 54.5, 8.7) == Approx(135.0).margin(0.5));
}

TEST_CASE("published: the iodine value's factors follow from molecular masses") {
    // AOCS Cd 1c-85, triglycerides: 16:1 0.950, 18:1 0.860, 18:2 1.732, 18:3 2.616, 20:1 0.785, 22:1 0.723.
    CHECK(iodine_factor(acid("16:1")) == Approx(0.950).margin(0.0006));
    CHECK(iodine_factor(acid("18:1")) == Approx(0.860).margin(0.0006));
    CHECK(iodine_factor(acid("18:2")) == Approx(1.732).margin(0.0006));
    CHECK(iodine_factor(acid("18:3")) == Approx(2.616).margin(0.0006));
    CHECK(iodine_factor(acid("20:1")) == Approx(0.785).margin(0.0006));
    CHECK(iodine_factor(acid("22:1")) == Approx(0.723).margin(0.0006));
    CHECK(acid("18:2").molecular_mass == Approx(280.445).margin(0.01));

    // The factors as used, one fatty acid at a time (oleic, linoleic and linolenic are needed).
    const Values none = {{oleic, 0}, {linoleic, 0}, {linolenic, 0}};
    for (const auto& [id, factor] : Values{{palmitoleic, 0.950},
                                           {oleic, 0.860},
                                           {linoleic, 1.732},
                                           {linolenic, 2.616},
                                           {gondoic, 0.785},
                                           {erucic, 0.723}}) {
        Values values = none;
        values.emplace_back(id, 1.0);
        CHECK(derived(iodine_value, values) == Approx(factor).epsilon(1e-12));
    }
}

TEST_CASE("published: molecular masses of the fatty acids") {
    // AOCS Cd 3a-94 and common tables (from memory, two decimals).
    for (const auto& [notation, mass] : std::vector<std::pair<std::string, double>>{{"16:0", 256.42},
                                                                                    {"16:1", 254.41},
                                                                                    {"18:0", 284.48},
                                                                                    {"18:1", 282.46},
                                                                                    {"18:2", 280.45},
                                                                                    {"18:3", 278.43},
                                                                                    {"20:0", 312.53},
                                                                                    {"20:1", 310.51},
                                                                                    {"22:0", 340.58},
                                                                                    {"22:1", 338.57},
                                                                                    {"24:0", 368.64}})
        CHECK(acid(notation).molecular_mass == Approx(mass).margin(0.02));
}

TEST_CASE("published: saponification values of pure triglycerides") {
    // Stoichiometry as in AOCS Cd 3a-94: triolein 190.07, tristearin 188.78, tripalmitin 208.46 mg KOH/g.
    CHECK(saponification({{oleic, 100}}) == Approx(190.07).margin(0.05));
    CHECK(saponification({{stearic, 100}}) == Approx(188.78).margin(0.05));
    CHECK(saponification({{palmitic, 100}}) == Approx(208.46).margin(0.05));
}

TEST_CASE("published: raffinose family of natto soybean") {
    // Canadian Grain Commission, natto soybean 2018: raffinose, stachyose, verbascose and their sum, g/kg
    // dry, of 2018 and 2017.
    CHECK(derived(raffinose_family, {{raffinose, 7.9}, {stachyose, 41.4}, {verbascose, 2.3}}) ==
          Approx(51.6).margin(0.05));
    CHECK(derived(raffinose_family, {{raffinose, 7.9}, {stachyose, 41.3}, {verbascose, 0.71}}) ==
          Approx(49.9).margin(0.05));
}

TEST_CASE("published: five critical amino acids of soybean") {
    // USDA food composition data, mature soybean, g/100 g: the five, and all 18 for their share.
    const Values soybean = {{tryptophan, 0.591}, {threonine, 1.766},     {isoleucine, 1.971},
                            {leucine, 3.309},    {lysine, 2.706},        {methionine, 0.547},
                            {cysteine, 0.655},   {phenylalanine, 2.122}, {tyrosine, 1.539},
                            {valine, 2.029},     {arginine, 3.153},      {histidine, 1.097},
                            {alanine, 1.915},    {aspartic_acid, 5.112}, {glutamic_acid, 7.874},
                            {glycine, 1.880},    {proline, 2.379},       {serine, 2.357}};
    double all = 0;
    for (const auto& [id, number] : soybean)
        all += number;
    const double five = derived(critical_amino_acids, soybean);
    CHECK(five == Approx(6.265).margin(0.001));
    CHECK(all == Approx(43.002).margin(0.001));
    CHECK(100 * five / all == Approx(14.569).margin(0.001));
}
