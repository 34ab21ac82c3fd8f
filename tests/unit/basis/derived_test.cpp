#include <catch2/catch.hpp>

#include <cmath>
#include <cstring>
#include <limits>
#include <random>
#include <set>
#include <thresh/basis/derived.hpp>

using namespace thresh;
using namespace thresh::basis;
using namespace thresh::constituent;

namespace {

// A reading: what it holds, everything else absent; part of as the table says unless set.
struct Reading {
    std::vector<double> value = std::vector<double>(kBuiltInCount, std::numeric_limits<double>::quiet_NaN());
    std::vector<PartOf> part_of;
    Basis basis = Basis::at(13);
    std::optional<double> moisture;

    Reading(std::initializer_list<std::pair<ConstituentId, double>> values) {
        const ConstituentTable table;
        for (ConstituentId id = 0; id < kBuiltInCount; ++id)
            part_of.push_back(table[id].part_of);
        for (const auto& [id, number] : values)
            value[id] = number;
    }
    std::optional<double> operator()(ConstituentId id) const {
        return derive(id, Inputs{value, part_of, basis, moisture});
    }
};

const std::initializer_list<std::pair<ConstituentId, double>> kSoyAcids = {
    {palmitic, 10.6}, {stearic, 3.9}, {oleic, 21.9}, {linoleic, 53.8}, {linolenic, 8.2}};

} // namespace

TEST_CASE("every derived constituent and ratio has one recipe, in table order, and only those") {
    const ConstituentTable table;
    std::vector<ConstituentId> expected, found;
    for (ConstituentId id = 0; id < kBuiltInCount; ++id)
        if (table[id].group == Group::derived || table[id].group == Group::ratio)
            expected.push_back(id);
    for (const Recipe& recipe : recipes()) {
        found.push_back(recipe.id);
        CHECK(std::string(recipe.formula) != "");
        CHECK(std::string(recipe.source) != "");
    }
    CHECK(found == expected);
    CHECK_FALSE(Reading{{protein, 40}}(protein));
}

TEST_CASE("a derived constituent is absent as soon as one needed input is") {
    for (const Recipe& recipe : recipes()) {
        Reading full{};
        for (const ConstituentId id : recipe.needed)
            full.value[id] = 2;
        CHECK(full(recipe.id).has_value());
        for (const ConstituentId id : recipe.needed) {
            Reading lacking = full;
            lacking.value[id] = std::numeric_limits<double>::quiet_NaN();
            CHECK_FALSE(lacking(recipe.id));
        }
    }
}

TEST_CASE("optional fatty acids are taken when they are read") {
    Reading soy(kSoyAcids);
    CHECK(*soy(saturates) == Approx(14.5));
    CHECK(*soy(monounsaturates) == Approx(21.9));
    CHECK(*soy(polyunsaturates) == Approx(62.0));
    soy.value[arachidic] = 0.3;
    soy.value[palmitoleic] = 0.1;
    CHECK(*soy(saturates) == Approx(14.8));
    CHECK(*soy(monounsaturates) == Approx(22.0));
    CHECK(*soy(iodine_value) == Approx(133.467 + 0.095).margin(0.001));
}

TEST_CASE("fatty acids of the sample enter as a share of all fatty acids read") {
    Reading of_oil(kSoyAcids), of_sample(kSoyAcids);
    double sum = 0;
    for (const auto& [id, number] : kSoyAcids)
        sum += number;
    for (const auto& [id, number] : kSoyAcids) {
        of_oil.value[id] = number * 100 / sum;
        of_sample.value[id] = number * 0.18; // oil 18 % of the sample
        of_sample.part_of[id] = PartOf::sample;
    }
    for (const ConstituentId id : {saturates, monounsaturates, polyunsaturates, iodine_value, oleic_linoleic})
        CHECK(*of_sample(id) == Approx(*of_oil(id)).epsilon(1e-13));
}

TEST_CASE("fatty acids with no common whole give no sum, index or ratio") {
    Reading mixed(kSoyAcids);
    mixed.part_of[linoleic] = PartOf::sample;
    for (const ConstituentId id : {saturates, monounsaturates, polyunsaturates, iodine_value, oleic_linoleic})
        CHECK_FALSE(mixed(id));
}

TEST_CASE("oleic to linoleic is undefined without linoleic, never capped") {
    CHECK(*Reading({{oleic, 80}, {linoleic, 4}})(oleic_linoleic) == 20);
    CHECK_FALSE(Reading({{oleic, 80}, {linoleic, 0}})(oleic_linoleic));
    CHECK_FALSE(Reading({{oleic, 80}, {linoleic, -0.3}})(oleic_linoleic));
}

TEST_CASE("amino acids of the protein are brought to the sample by the reading's protein") {
    Reading soy{{lysine, 6.8}, {methionine, 1.4}, {cysteine, 1.6}, {threonine, 4.4}, {tryptophan, 1.5}};
    CHECK(*soy(critical_amino_acids) == Approx(15.7));
    for (const ConstituentId id : {lysine, methionine, cysteine, threonine, tryptophan})
        soy.part_of[id] = PartOf::protein;
    CHECK_FALSE(soy(critical_amino_acids));
    soy.value[protein] = 35;
    CHECK(*soy(critical_amino_acids) == Approx(15.7 * 0.35));
}

TEST_CASE("meal protein stands on the basis of its inputs") {
    Reading soy{{protein, 35}, {oil, 19}};
    CHECK(*soy(defatted_meal_protein) == Approx(35 * 87.0 / (87 - 19)).epsilon(1e-14));
    soy.basis = Basis::as_is();
    CHECK_FALSE(soy(defatted_meal_protein));
    soy.moisture = 13;
    CHECK(*soy(defatted_meal_protein) == Approx(35 * 87.0 / (87 - 19)).epsilon(1e-14));
    soy.value[oil] = 87; // nothing but oil and water
    CHECK_FALSE(soy(defatted_meal_protein));
}

TEST_CASE("protein and oil add up only as shares of the sample") {
    Reading soy{{protein, 35}, {oil, 19}};
    CHECK(soy(protein_plus_oil) == 54.0);
    soy.part_of[protein] = PartOf::none;
    CHECK_FALSE(soy(protein_plus_oil));
}

TEST_CASE("sums are the same, bit by bit, with wider registers and without, wherever they go") {
    std::mt19937 random(5);
    for (std::size_t count = 0; count <= 13; ++count)
        for (const bool in_a_row : {true, false}) {
            constexpr std::size_t kInputs = 20;
            WeightedSums sums;
            std::vector<std::size_t> places;
            for (std::size_t i = 0; i < count; ++i) {
                std::vector<WeightedSums::Term> needed(random() % 4), optional(random() % 4);
                for (auto* terms : {&needed, &optional})
                    for (WeightedSums::Term& term : *terms)
                        term = {0.1 + static_cast<double>(random() % 300) / 100, random() % kInputs};
                places.push_back(kInputs + (in_a_row ? i : 2 * count - 2 * i));
                sums.add(places.back(), needed, optional);
            }
            for (int reading = 0; reading < 20; ++reading) {
                std::vector<double> wide(kInputs + 2 * count + 1, 7.5), plain;
                for (std::size_t i = 0; i < kInputs; ++i)
                    wide[i] = random() % 9 == 0 ? std::nan("") : static_cast<double>(random()) / 7e6 - 100;
                plain = wide;
                sums.compute(wide.data(), wide.data());
                sums.compute_plainly(plain.data(), plain.data());
                for (std::size_t i = 0; i < wide.size(); ++i) {
                    CHECK(std::isnan(wide[i]) == std::isnan(plain[i]));
                    if (!std::isnan(wide[i]))
                        CHECK(std::memcmp(&wide[i], &plain[i], sizeof(double)) == 0);
                }
            }
        }
}

TEST_CASE("of a sum what is needed makes it nothing where it is absent, what is optional counts as nothing") {
    WeightedSums sums;
    const WeightedSums::Term first[] = {{1, 0}, {0.5, 1}}, second[] = {{2, 2}};
    sums.add(3, first, second);
    sums.add(4, second, first);
    for (const bool wide : {true, false}) {
        double values[5] = {4, std::nan(""), 3, 0, 0};
        if (wide)
            sums.compute(values, values);
        else
            sums.compute_plainly(values, values);
        CHECK(std::isnan(values[3]));
        CHECK(values[4] == 10);
    }
}

TEST_CASE("many readings are derived from as each alone, whatever is read, absent or a share of what") {
    const ConstituentTable table;
    std::vector<ConstituentId> derived;
    for (const Recipe& recipe : recipes()) // ratios too
        derived.push_back(recipe.id);
    std::mt19937 random(3);
    const auto chance = [&](unsigned one_in) { return random() % one_in == 0; };
    std::size_t found = 0;
    for (int season = 0; season < 200; ++season) {
        Reading reading{};
        std::vector<bool> read(kBuiltInCount);
        for (ConstituentId id = 0; id < kBuiltInCount; ++id) {
            read[id] = !chance(6);
            const bool share = table[id].part_of == PartOf::oil || table[id].part_of == PartOf::sample;
            if (share && season % 2 == 1 && chance(20))
                reading.part_of[id] = chance(2) ? PartOf::sample : PartOf::protein;
        }
        if (season % 4 == 0)
            reading.basis = Basis::as_is();
        const Derivations derivations(derived, reading.part_of, read);
        std::vector<std::size_t> place(kBuiltInCount, kNoPlace);
        std::size_t places = 0;
        for (ConstituentId id = kBuiltInCount; id-- > 0;)
            if (read[id] || std::find(derived.begin(), derived.end(), id) != derived.end())
                place[id] = places++;
        const Derivations in_places(derived, reading.part_of, read, place);
        for (int row = 0; row < 20; ++row) {
            for (ConstituentId id = 0; id < kBuiltInCount; ++id)
                reading.value[id] = !read[id] || chance(30) ? std::numeric_limits<double>::quiet_NaN()
                                                            : static_cast<double>(random() % 5000) / 100;
            if (!chance(5))
                reading.moisture = 6.5;
            std::vector<double> by_id = reading.value;
            derivations.compute(Inputs{reading.value, reading.part_of, reading.basis, reading.moisture},
                                by_id);
            // The same values in places of their own.
            std::vector<double> placed(places);
            for (ConstituentId id = 0; id < kBuiltInCount; ++id)
                if (place[id] != kNoPlace)
                    placed[place[id]] = reading.value[id];
            const Inputs inputs{placed, reading.part_of, reading.basis, reading.moisture, place};
            in_places.compute(inputs, placed);
            for (const ConstituentId id : derived) {
                const std::optional<double> alone = reading(id);
                CHECK(std::isnan(by_id[id]) == !alone.has_value());
                CHECK(std::isnan(placed[place[id]]) == !alone.has_value());
                if (alone) {
                    CHECK(std::abs(by_id[id] - *alone) == 0.0); // the same bits
                    CHECK(std::abs(placed[place[id]] - *alone) == 0.0);
                    CHECK(derive(id, inputs) == alone);
                }
                found += alone ? 1 : 0;
            }
        }
    }
    CHECK(found > 10000);
}
