#include "unit/intake/reading_help.hpp"

#include <catch2/catch.hpp>

using namespace intake_test;
using namespace thresh;
namespace c = thresh::constituent;

TEST_CASE("a comma of three digits is neither decimal nor thousands until proven") {
    Readings r = read("Sample;Peak;Protein\nS;1,143;38.1\nS;1,144;38.25\n");
    CHECK(cell(r, 0, c::peak) == "doubtful:1,143");
    CHECK(cell(r, 0, c::protein) == "38.1");
    REQUIRE(notes(r, "decimal-doubtful").size() == 1);
    CHECK(notes(r, "decimal-doubtful")[0].doubt);
    r = read("Sample;Peak;Protein\nS;1,143.62;38.1\nS;1,144;38.25\n");
    CHECK(cell(r, 0, c::peak) == "1143.62");
    CHECK(cell(r, 1, c::peak) == "1144");
    r = read("Sample;Peak;Protein\nS;1.143,62;38,1\nS;1.144;38,25\n");
    CHECK(cell(r, 0, c::peak) == "1143.62");
    CHECK(cell(r, 1, c::peak) == "1144");
    CHECK(cell(r, 0, c::protein) == "38.1");
}

TEST_CASE("a leading zero and other lengths prove the decimal comma") {
    const Readings r = read("Sample;Raffinose;Protein\nA;0,435;38,125\nB;1,435;37,250\n");
    CHECK(cell(r, 0, c::raffinose) == "0.435");
    CHECK(cell(r, 1, c::raffinose) == "1.435");
    CHECK(cell(r, 0, c::protein) == "38.125");
    CHECK(notes(r, "decimal-doubtful").empty());
}

TEST_CASE("three decimals everywhere are decided by plausible shares or questioned") {
    Readings r = read("Sample;Protein;Oil\nA;38,125;20,125\nB;37,250;19,500\n");
    CHECK(cell(r, 0, c::protein) == "38.125");
    r = read("Sample\tProtein\tOil\nA\t38.125\t20.125\nB\t37.250\t19.500\n");
    CHECK(cell(r, 0, c::protein) == "38.125");
    r = read("Sample;Sugars\nA;1,355\nB;1,250\n");
    CHECK(cell(r, 0, c::sugars) == "doubtful:1,355");
    CHECK(notes(r, "decimal-doubtful").size() == 1);
    intake::ExportOptions options;
    options.decimal = ',';
    CHECK(cell(read("Sample;Sugars\nA;1,355\nB;1,250\n", options), 0, c::sugars) == "1.355");
    options.decimal = '.';
    CHECK(cell(read("Sample;Peak\nA;1,355\nB;1,250\n", options), 0, c::peak) == "1355");
}

TEST_CASE("a proof of the decimal mark counts wherever it stands, and a contradiction however late") {
    std::string text = "Sample;Sugars;Peak\n";
    for (int i = 0; i < 300; ++i)
        text += "A;1.355;1.143\n";
    CHECK(cell(read(text), 0, c::sugars) == "doubtful:1.355");
    Readings r = read(text + "B;12.5;1.144\n"); // proves the mark in the last row, for the table
    CHECK(cell(r, 0, c::sugars) == "1.355");
    CHECK(cell(r, 0, c::peak) == "1.143");
    r = read("Sample;Sugars;Peak\nB;12.5;1.144\n" + text.substr(text.find('\n') + 1) + "C;12.4;1.143,6\n");
    CHECK(cell(r, 1, c::sugars) == "1.355");
    CHECK(cell(r, 1, c::peak) == "1143");
}

TEST_CASE("a column that mixes both marks is questioned as a whole and a single stray is unreadable") {
    Readings r = read("Sample;Protein\nA;38,1\nB;37.2\nC;36,5\nD;36.4\n");
    for (std::size_t row = 0; row < 4; ++row)
        CHECK(cell(r, row, c::protein).starts_with("doubtful:"));
    std::string text = "Sample;Protein\n";
    for (int i = 0; i < 20; ++i)
        text += "A;38.1\n";
    r = read(text + "B;38,2\n");
    CHECK(cell(r, 0, c::protein) == "38.1");
    CHECK(cell(r, 20, c::protein) == "unreadable:38,2");
}

TEST_CASE("a time is read as with blanks around it, whichever character is odd") {
    const auto times = [](const std::string& text) {
        const std::string row = "A," + text + ",38.1\n", plain = "A,2026-08-03T07:41:05,38.1\n";
        const Readings r = read("Sample,Date time,Protein\n" + plain + row + plain);
        std::vector<Time> found;
        for (std::size_t i = 0; i < r.blocks[0].rows; ++i)
            found.push_back(r.blocks[0].time_of(i));
        return found;
    };
    std::size_t missing = 0, read_otherwise = 0;
    const Time usual = times("2026-08-03T07:41:05")[1];
    for (const std::string good : {"2026-08-03T07:41:05", "2026-08-03 07:41", "2026-12-31T23:59:59"})
        for (std::size_t at = 0; at < good.size(); ++at)
            for (const char odd : {'0', '1', '2', '3', '5', '6', '9', '-', '/', ':', 'T', 't', ' ', 'x'}) {
                std::string text = good;
                text[at] = odd;
                CAPTURE(text);
                const std::vector<Time> tight = times(text);
                CHECK(tight == times("  " + text + " "));
                missing += tight[1].missing() ? 1 : 0;
                read_otherwise += tight[1].missing() || tight[1] == usual ? 0 : 1;
            }
    CHECK(missing > 100);
    CHECK(read_otherwise > 100);
}

TEST_CASE("signs, exponents, percent signs and grouped thousands are numbers") {
    const Readings r = read("Sample;Protein;Oil;Peak\nA;+38.1%;2.05E1;1 143.6\nB; 37 % ;\xE2\x88\x92"
                            "0.5;1143.61\n");
    CHECK(cell(r, 0, c::protein) == "38.1");
    CHECK(cell(r, 1, c::protein) == "37");
    CHECK(cell(r, 0, c::oil) == "20.5");
    CHECK(cell(r, 1, c::oil) == "-0.5");
    CHECK(cell(r, 0, c::peak) == "1143.6");
}

TEST_CASE("a wavelength in a unit that is not known is not said to be a percentage") {
    const Readings r = read("Sample,Protein,Peak (um)\nA,38.1,1.1436\n");
    REQUIRE(notes(r, "unit-doubtful").size() == 1);
    CHECK(notes(r, "unit-doubtful")[0].help ==
          "in the rules file: \"columns\": { \"peak\": { \"headings\": [\"Peak (um)\"], \"unit\": \"\" } }, "
          "where the values are in the unit that the rules expect");
}

TEST_CASE("units are converted because a heading says so and questioned otherwise") {
    Readings r = read("Sample,Protein (g/kg),Oil [mg/g],Moisture\nA,381.5,203,7\n");
    CHECK(cell(r, 0, c::protein) == "38.15");
    CHECK(cell(r, 0, c::oil) == "20.3");
    r = read("Sample,Protein,Oil,Raffinose,Moisture\nA,0.381,0.203,0.012,7.1\nB,0.379,0.211,0.013,7.2\n");
    CHECK(cell(r, 0, c::protein) == "doubtful:0.381");
    CHECK(cell(r, 0, c::oil) == "doubtful:0.203");
    CHECK(cell(r, 0, c::raffinose) == "doubtful:0.012");
    CHECK(cell(r, 0, c::moisture) == "7.1");
    CHECK(notes(r, "unit-doubtful").size() == 3);
    r = read("Sample,Protein\nA,381\nB,379\n");
    CHECK(cell(r, 0, c::protein) == "doubtful:381");
    // A stated unit is believed unless three values or more, all of them, contradict it.
    r = read("Sample,Protein (g/kg)\nA,38.1\nB,37.9\nC,38.4\n");
    CHECK(cell(r, 0, c::protein) == "doubtful:38.1");
    r = read("Sample,Protein (g/kg)\nA,38.1\nB,37.9\nC,384\n");
    CHECK(cell(r, 0, c::protein) == "3.81");
    r = read("Sample,Moisture (%)\nA,100\n");
    CHECK(cell(r, 0, c::moisture) == "100");
    r = read("Sample,Protein [mmol/L],Oil\nA,38.1,20\n");
    CHECK(cell(r, 0, c::protein) == "doubtful:38.1");
    CHECK(cell(r, 0, c::oil) == "20");
    intake::ExportOptions options;
    intake::ColumnRule rule;
    rule.headings = {"Protein"};
    rule.constituent = c::protein;
    rule.unit = "g/kg";
    options.columns.push_back(rule);
    r = read("Sample,Protein\nA,381\nB,379\n", options);
    CHECK(cell(r, 0, c::protein) == "38.1");
}

TEST_CASE("a column rule without headings holds where a heading of its constituent states nothing") {
    intake::ExportOptions options;
    intake::ColumnRule protein;
    protein.constituent = c::protein;
    protein.basis = Basis::dry();
    protein.unit = "g/kg";
    intake::ColumnRule oleic;
    oleic.constituent = c::oleic;
    oleic.part_of = PartOf::sample;
    options.columns = {protein, oleic};
    const auto column = [](const Readings& r, ConstituentId id) {
        return r.blocks[0].table->numbers[*r.blocks[0].table->find(id)];
    };
    Readings r = read("Sample,Protein,Oleic,Oil\nA,381,4.1,20\n", options);
    CHECK(cell(r, 0, c::protein) == "38.1");
    CHECK(column(r, c::protein).basis == Basis::dry());
    CHECK(column(r, c::oleic).part_of == PartOf::sample);
    CHECK(notes(r, "basis-assumed").size() == 2); // oil, and oleic as a share of the sample
    r = read("Sample,Protein (% as-is),Oleic (% of oil)\nA,38.1,22\n", options);
    CHECK(cell(r, 0, c::protein) == "38.1");
    CHECK(column(r, c::protein).basis == Basis::as_is());
    CHECK(column(r, c::oleic).part_of == PartOf::oil);
    r = read(",Composition (% as-is)\nSample,Protein\nA,38.1\n", options); // a group states it too
    CHECK(cell(r, 0, c::protein) == "38.1");
    CHECK(column(r, c::protein).basis == Basis::as_is());
}

TEST_CASE("a column whose basis the rules give is no repeat of one that states another") {
    intake::ExportOptions options;
    intake::ColumnRule protein;
    protein.constituent = c::protein;
    protein.basis = Basis::as_is();
    options.columns = {protein};
    const Readings r = read("Sample,Protein,Protein (% DM)\nA,38.1,41\n", options);
    CHECK(cell(r, 0, c::protein) == "38.1");
    CHECK(notes(r, "heading-repeated").size() == 1);
}

TEST_CASE("a share of the oil with a basis is questioned and so is moisture on a dry basis") {
    const Readings r = read("Sample,Oleic (% DM),Moisture (% DM),Oleic distance\nA,22,7,1\n");
    CHECK(cell(r, 0, c::oleic) == "doubtful:22");
    CHECK(cell(r, 0, c::moisture) == "doubtful:7");
}

namespace {

std::string dates(std::initializer_list<const char*> times) {
    std::string text = "Sample;Date;Protein\n";
    for (const char* t : times)
        text += std::string("A;") + t + ";38\n";
    return text;
}

} // namespace

TEST_CASE("times of every spelling are read") {
    CHECK(time(read(dates({"3.8.2026 7:41"})), 0) == "2026-08-03T07:41");
    CHECK(time(read(dates({"2026/08/03"})), 0) == "2026-08-03");
    CHECK(time(read(dates({"20260803"})), 0) == "2026-08-03");
    CHECK(time(read(dates({"2026-08-03T07:41:09.123+02:00"})), 0) == "2026-08-03T07:41:09");
    CHECK(time(read(dates({"3-Aug-2026 12:05:00 AM"})), 0) == "2026-08-03T00:05:00");
    CHECK(time(read(dates({"Aug 3, 2026"})), 0) == "2026-08-03");
    CHECK(time(read(dates({"8/3/2026 1:05 PM", "8/13/2026 12:00 PM"})), 0) == "2026-08-03T13:05");
    CHECK(time(read(dates({"8/3/2026 1:05 PM", "8/13/2026 12:00 PM"})), 1) == "2026-08-13T12:00");
    CHECK(time(read(dates({"3/8/2026", "13/8/2026"})), 0) == "2026-08-03");
    CHECK(time(read(dates({"03-08-26", "13-08-26"})), 0) == "2026-08-03");
}

TEST_CASE("day and month that nothing decides stay open until an option says") {
    const std::string text = dates({"3/8/2026", "4/8/2026 07:00"});
    Readings r = read(text);
    CHECK(time(r, 0).empty());
    REQUIRE(notes(r, "date-doubtful").size() == 1);
    CHECK(notes(r, "date-doubtful")[0].doubt);
    CHECK(notes(r, "date-doubtful")[0].help.find("--date-format") != std::string::npos);
    intake::ExportOptions options;
    options.date_format = intake::DateFormat::mdy;
    CHECK(time(read(text, options), 1) == "2026-04-08T07:00");
    options.date_format = intake::DateFormat::dmy;
    CHECK(time(read(text, options), 1) == "2026-08-04T07:00");
}

TEST_CASE("a date that is no day in the given order is told with its place and text") {
    const std::string text = dates({"03/08/2026 10:00", "13/08/2026 10:00", "14/08/2026 10:00"});
    intake::ExportOptions options;
    options.date_format = intake::DateFormat::mdy;
    const Readings r = read(text, options);
    CHECK(time(r, 0) == "2026-03-08T10:00");
    CHECK(time(r, 1).empty());
    CHECK(time(r, 2).empty());
    REQUIRE(notes(r, "date-doubtful").size() == 1);
    const thresh::IntakeNote note = notes(r, "date-doubtful")[0];
    CHECK(note.doubt);
    CHECK(note.line == 3);
    CHECK(note.column == 2);
    CHECK(note.message.find("2 of the times") == 0);
    CHECK(note.message.find("`13/08/2026 10:00`") != std::string::npos);
    CHECK(note.help.find("--date-format dmy") != std::string::npos);
    options.date_format = intake::DateFormat::dmy;
    CHECK(notes(read(text, options), "date-doubtful").empty());
}

TEST_CASE("two-digit years that may come first are a doubt that names the readings") {
    for (const std::string& text : {dates({"26/08/03 10:00", "26/08/04 10:00"}), dates({"26-08-03"}),
                                    dates({"26.08.03", "26.08.04"}), dates({"13/08/26", "14/08/26"})}) {
        const Readings r = read(text);
        CHECK(time(r, 0).empty());
        REQUIRE(notes(r, "date-doubtful").size() == 1);
        CHECK(notes(r, "date-doubtful")[0].message.find("which number is the year") != std::string::npos);
        CHECK(notes(r, "date-doubtful")[0].help.find("--date-format ymd") != std::string::npos);
    }
    const Readings r = read(dates({"08-05-03"}));
    REQUIRE(notes(r, "date-doubtful").size() == 1);
    CHECK(notes(r, "date-doubtful")[0].message == "no date tells which number is the year: `08-05-03` can be "
                                                  "2008-05-03 (year first) or 2003-05-08 (day "
                                                  "first) or 2003-08-05 (month first)");
}

TEST_CASE("two-digit years are read first when asked for") {
    intake::ExportOptions options;
    options.date_format = intake::DateFormat::ymd;
    CHECK(time(read(dates({"26/08/03 10:00"}), options), 0) == "2026-08-03T10:00");
    CHECK(time(read(dates({"26-08-03"}), options), 0) == "2026-08-03");
    CHECK(time(read(dates({"26.08.03"}), options), 0) == "2026-08-03");
    CHECK(time(read(dates({"2026-08-03", "26-08-04"}), options), 1) == "2026-08-04");
    CHECK(notes(read(dates({"26-08-03", "2026-08-03"}), options), "date-doubtful").empty());
    const Readings r = read(dates({"26/08/03", "8/3/26", "13.08.2026"}), options);
    CHECK(time(r, 1).empty());
    CHECK(time(r, 2).empty());
    REQUIRE(notes(r, "date-doubtful").size() == 1);
    CHECK(notes(r, "date-doubtful")[0].line == 3);
    CHECK(notes(r, "date-doubtful")[0].message.find("2 of the times") == 0);
}

TEST_CASE("other rows tell which of three two-digit numbers is the year") {
    CHECK(time(read(dates({"3/8/26", "13/08/26"})), 1) == "2026-08-13");
    CHECK(time(read(dates({"08/03/26", "08/13/26"})), 0) == "2026-08-03");
    // Days change from row to row, years do not.
    CHECK(time(read(dates({"26/08/03", "26/08/10", "26/08/21"})), 0) == "2026-08-03");
    CHECK(time(read(dates({"03.08.26", "03.08.26"})), 0) == "2026-08-03");
    CHECK(time(read(dates({"03.08.26", "13.08.26"})), 0) == "2026-08-03");
    // A date that exists with the year first only does not turn the others around.
    const Readings r = read(dates({"03-08-26", "13-08-26", "99-08-26"}));
    CHECK(time(r, 0) == "2026-08-03");
    CHECK(time(r, 2).empty());
    REQUIRE(notes(r, "date-doubtful").size() == 1);
    CHECK(notes(r, "date-doubtful")[0].line == 4);
    CHECK(time(read(dates({"99-12-31"})), 0).empty());
}

TEST_CASE("times of different offsets are put on the clock of the first") {
    const Readings r = read(dates({"2026-10-05 11:58:01+02:00", "2026-10-05", "2026-10-05 09:58:31Z",
                                   "05.10.2026", "2026-10-05 04:28:31-05:30", ""}));
    CHECK(notes(r, "date-doubtful").size() == 1); // two ways of writing dates come first
    const Readings s = read(dates({"2026-10-05 11:58:01+02:00", "2026-10-05", "2026-10-05 09:58:31Z", "",
                                   "2026-10-05 04:28:31-05:30", "2026-10-05T11:59:00+02"}));
    CHECK(time(s, 0) == "2026-10-05T11:58:01");
    CHECK(time(s, 1) == "2026-10-05");
    CHECK(time(s, 2) == "2026-10-05T11:58:31");
    CHECK(time(s, 4) == "2026-10-05T11:58:31");
    CHECK(time(s, 5) == "2026-10-05T11:59:00");
    REQUIRE(notes(s, "date-doubtful").size() == 1);
    CHECK_FALSE(notes(s, "date-doubtful")[0].doubt);
    CHECK(notes(s, "date-doubtful")[0].line == 4);
    CHECK(notes(s, "date-doubtful")[0].message.find("+02:00 (line 2), +00:00 (line 4)") != std::string::npos);
}

TEST_CASE("the same offset everywhere leaves times as shown") {
    const Readings r = read(dates({"2026-10-05 11:58:01+02:00", "2026-10-05 11:59:01+02:00"}));
    CHECK(time(r, 1) == "2026-10-05T11:59:01");
    CHECK(notes(r, "date-doubtful").empty());
    const Readings z = read(dates({"3.10.2026 11:58 UTC", "4.10.2026 11:58Z"}));
    CHECK(time(z, 1) == "2026-10-04T11:58");
    CHECK(notes(z, "date-doubtful").empty());
}

TEST_CASE("times with an offset among times without are a doubt about the whole column") {
    for (const std::string& text : {dates({"2026-10-05 11:58:01", "2026-10-05 09:58:31Z"}),
                                    dates({"2026-10-05 09:58:31Z", "2026-10-05 11:58:01"})}) {
        const Readings r = read(text);
        CHECK(time(r, 0).empty());
        CHECK(time(r, 1).empty());
        REQUIRE(notes(r, "date-doubtful").size() == 1);
        CHECK(notes(r, "date-doubtful")[0].doubt);
        CHECK(notes(r, "date-doubtful")[0].line == 3);
    }
}

TEST_CASE("a given format reads no date of another form by a guess") {
    intake::ExportOptions options;
    options.date_format = intake::DateFormat::serial1900;
    const Readings r = read(dates({"3/8/2026", "46237"}), options);
    CHECK(time(r, 0).empty());
    CHECK(time(r, 1) == "2026-08-03");
    CHECK(notes(r, "date-doubtful").size() == 1);
    options.date_format = intake::DateFormat::dmy;
    CHECK(time(read(dates({"3/8/2026", "46237"}), options), 1).empty());
}

TEST_CASE("contradicting or mixed dates are a doubt about the whole column") {
    CHECK(notes(read(dates({"13/8/2026", "8/14/2026"})), "date-doubtful").size() == 1);
    const Readings r = read(dates({"13/8/2026", "2026-03-08"}));
    CHECK(time(r, 0).empty());
    CHECK(time(r, 1).empty());
    CHECK(notes(r, "date-doubtful").size() == 1);
}

TEST_CASE("serial days wait for the system they count in") {
    const std::string text = dates({"46237", "46237.3201388889"});
    CHECK(notes(read(text), "date-doubtful").size() == 1);
    intake::ExportOptions options;
    options.date_format = intake::DateFormat::serial1900;
    CHECK(time(read(text, options), 0) == "2026-08-03");
    CHECK(time(read(text, options), 1) == "2026-08-03T07:41:00");
    options.date_format = intake::DateFormat::serial1904;
    CHECK(time(read(text, options), 0) == "2030-08-04");
}

TEST_CASE("a date beside a clock makes one time in either order") {
    CHECK(time(read("Sample;Date;Time;Protein\nA;3.8.2026;7:41;38\n"), 0) == "2026-08-03T07:41");
    CHECK(time(read("Sample;Time;Date;Protein\nA;7:41:09;2026-08-03;38\n"), 0) == "2026-08-03T07:41:09");
}

TEST_CASE("a time that cannot be read is told word for word") {
    const Readings r = read(dates({"3.8.2026", "31.2.2026", "soon"}));
    CHECK(time(r, 0) == "2026-08-03");
    CHECK(time(r, 1).empty());
    REQUIRE(notes(r, "date-doubtful").size() == 1);
    CHECK(notes(r, "date-doubtful")[0].line == 3);
    CHECK(notes(r, "date-doubtful")[0].message.find("31.2.2026") != std::string::npos);
}

TEST_CASE("IDs stay text") {
    const Readings r = read("Sample,Protein\n00012,38\n1E5,38\n12-3,38\n'=a,38\n \xC2\xA0x\xC2\xA0,38\n");
    CHECK(sample(r, 0) == "00012");
    CHECK(sample(r, 1) == "1E5");
    CHECK(sample(r, 2) == "12-3");
    CHECK(sample(r, 3) == "=a");
    CHECK(sample(r, 4) == "x");
}

TEST_CASE("an ID that a formula guards is what stands between its quotes") {
    for (const char* cell :
         {"\"=\"\"00123\"\"\"", "=\"00123\"", "\"=\"\" 00123 \"\"\"", "\"'=\"\"00123\"\"\""}) {
        const Readings r = read("Sample,Protein (% as is)\n" + std::string(cell) + ",38\n00123,39\n");
        CHECK(sample(r, 0) == "00123");
        CHECK(sample(r, 1) == "00123");
        CHECK(notes(r, "layout-doubtful").empty());
    }
    for (const char* id : {"=A1", "=\"x", "=x\"", "=\"x\"y\""})
        CHECK(sample(read("Sample;Protein (% as is)\n" + std::string(id) + ";38\n"), 0) == id);
}

TEST_CASE("a table is refused when most rows do not fit its heading") {
    const Readings r = read("Sample,Protein,Oil\nA,38,1,20,2\nB,37,2,19,5\nC,37,20,1\nD,36,1\n");
    REQUIRE(r.files[0].refused);
    CHECK(r.files[0].refusal.message.find("more cells") != std::string::npos);
}
