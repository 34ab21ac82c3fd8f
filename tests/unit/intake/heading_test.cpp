#include "unit/intake/reading_help.hpp"

#include <catch2/catch.hpp>

using namespace intake_test;
using namespace thresh;
namespace c = thresh::constituent;

namespace {

intake::HeadingMeaning understand(std::string_view heading) {
    return intake::understand_heading(heading, table(), {});
}

struct Case {
    const char* heading;
    ConstituentId id;
    PartOf part_of;
    Basis basis;
    int shift;
};

} // namespace

TEST_CASE("a heading carries name, unit, part of and basis in any order") {
    const Case cases[] = {
        {"Protein (% DM)", c::protein, PartOf::sample, Basis::dry(), 0},
        {"Oil 13% mb", c::oil, PartOf::sample, Basis::at(13), 0},
        {"Oil_13.5_%_moisture", c::oil, PartOf::sample, Basis::at(13.5), 0},
        {"Oleic [% of oil]", c::oleic, PartOf::oil, {}, 0},
        {"oleic acid (18:1), % of sample", c::oleic, PartOf::sample, {}, 0},
        {"18:3 (% FA)", c::linolenic, PartOf::oil, {}, 0},
        {"C18:2", c::linoleic, PartOf::oil, {}, 0},
        {"% Oil", c::oil, PartOf::sample, {}, 0},
        {"Oleic (% oil)", c::oleic, PartOf::oil, {}, 0},
        {"Protein g/kg", c::protein, PartOf::sample, {}, 1},
        {"Sucrose [mg/g DM]", c::sucrose, PartOf::sample, Basis::dry(), 1},
        {"Lysine (g/100 g protein)", c::lysine, PartOf::protein, {}, 0},
        {"Lys % of protein", c::lysine, PartOf::protein, {}, 0},
        {"Rohprotein i. Tr. [%]", c::protein, PartOf::sample, Basis::dry(), 0},
        {"\xC3\x96lgehalt (% TS)", c::oil, PartOf::sample, Basis::dry(), 0},
        {"Prot\xC3\xA9ine (% MS)", c::protein, PartOf::sample, Basis::dry(), 0},
        {"Humedad (%)", c::moisture, PartOf::sample, {}, 0},
        {"Moisture, % as is", c::moisture, PartOf::sample, Basis::as_is(), 0},
        {"protein_dry", c::protein, PartOf::sample, Basis::dry(), 0},
        {"Protein\n(13 % moisture)", c::protein, PartOf::sample, Basis::at(13), 0},
        {"PROTEIN  as received", c::protein, PartOf::sample, Basis::as_is(), 0},
        {"peak wavelength (nm)", c::peak, PartOf::none, {}, 0},
    };
    for (const Case& expected : cases) {
        INFO(expected.heading);
        const auto meaning = understand(expected.heading);
        REQUIRE(meaning.constituent);
        CHECK(*meaning.constituent == expected.id);
        CHECK(meaning.part_of == expected.part_of);
        CHECK(meaning.basis == expected.basis);
        CHECK(meaning.unit_shift == expected.shift);
        CHECK(meaning.unit_known);
    }
}

TEST_CASE("a percentage of dry matter is a basis of the rest in moisture") {
    for (const char* heading :
         {"Protein (88 % TS)", "Protein bei 88 % TS", "Protein 88% DM", "Protein (88 % MS)",
          "Protein 88 % dry matter", "Protein (TS 88 %)", "Protein (DM 88%)",
          "Prote\xC3\xADna (88 % materia seca)", "Prot\xC3\xA9ine \xC3\xA0 88 % de MS"}) {
        INFO(heading);
        const auto meaning = understand(heading);
        REQUIRE(meaning.constituent == c::protein);
        CHECK(meaning.basis == Basis::at(12));
        CHECK_FALSE(meaning.basis_doubtful);
    }
    CHECK(understand("Protein (87.3 % DM)").basis == Basis::at(12.7));
    CHECK(understand("Protein (% DM)").basis == Basis::dry());
    const Readings r = read("Sample,Moisture (%),Protein (88 % TS)\nA,6.5,36.1\n");
    CHECK(cell(r, 0, c::protein) == "36.1");
    CHECK(r.blocks[0].table->numbers[1].basis == Basis::at(12));
}

TEST_CASE("two bases in one heading, or a percentage of what is not said, are a doubt") {
    for (const char* heading :
         {"Protein dry/as is", "Protein (12 % DM)", "Protein (13 % moisture, dry basis)", "Protein (88 %)",
          "Protein (as is, 12 % moisture)"}) {
        INFO(heading);
        CHECK(understand(heading).basis_doubtful);
        const Readings r = read("Sample;Moisture (%);" + std::string(heading) + "\nA;6.5;36.1\n");
        CHECK(cell(r, 0, c::protein) == "doubtful:36.1");
        REQUIRE(notes(r, "unit-doubtful").size() == 1);
        CHECK(notes(r, "unit-doubtful")[0].doubt);
        CHECK(notes(r, "unit-doubtful")[0].message.find("which moisture") != std::string::npos);
    }
    CHECK_FALSE(understand("Protein (% DM, dry basis)").basis_doubtful);
    intake::ExportOptions options;
    options.columns.push_back({});
    options.columns.back().constituent = c::protein;
    options.columns.back().headings = {"Protein dry/as is"};
    options.columns.back().basis = Basis::as_is();
    CHECK(cell(read("Sample,Protein dry/as is\nA,36.1\n", options), 0, c::protein) == "36.1");
}

TEST_CASE("what merely resembles a name is not taken for it") {
    for (const char* heading : {"Prot NIR", "Oilseed", "Protein 2", "protein_plus_oil", "Iodine value", "dry",
                                "%", "", "protein oil", "Sample weight"})
        CHECK_FALSE(understand(heading).known());
}

TEST_CASE("a bracket that is no unit leaves the unit open") {
    const auto meaning = understand("Protein [mmol/L]");
    REQUIRE(meaning.constituent);
    CHECK_FALSE(meaning.unit_known);
    CHECK(meaning.unit == "mmol/L");
}

TEST_CASE("texts and times are known by their headings") {
    CHECK(understand("Sample ID").field == TextField::sample);
    CHECK(understand("Proben-ID").field == TextField::sample);
    CHECK(understand("Product").field == TextField::analysis);
    CHECK(understand("Date and Time").time);
    CHECK(understand("Time (UTC)").time);
}
