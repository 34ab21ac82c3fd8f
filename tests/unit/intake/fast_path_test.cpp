// The fast way and the straightforward way, whole files and small pieces, one thread and several: the same
// readings.
#include "unit/intake/same_readings.hpp"

#include <catch2/catch.hpp>

using namespace intake_test;
using namespace thresh;

namespace {

// Rows of every kind that the fast path must hand over, in a fixed order that looks random.
std::string mixed_rows(std::size_t count, char delimiter, bool quotes, const std::string& end) {
    std::string text = "Sample;Time;Protein (g/kg);Oil;Moisture;Operator;Remark" + end;
    std::uint32_t state = 7;
    const auto pick = [&](std::uint32_t below) {
        state = state * 1664525 + 1013904223;
        return (state >> 16) % below;
    };
    for (std::size_t i = 0; i < count; ++i) {
        switch (pick(quotes ? 18 : 12)) {
        case 0:
            text += end;
            break;
        case 1:
            text += "Mean;;38.1;20;7;;" + end;
            break;
        case 2:
            text += "S1;2026-08-03T07:41;381" + end;
            break;
        case 3:
            text += "S2;2026-08-03;381;20;7;x;y;z" + end;
            break;
        case 4:
            text += ";;NA;<0.05;-;;" + end;
            break;
        case 5:
            text += "S4;soon;oops;1e3;123456789;  me ;" + end;
            break;
        case 6:
            text += "Sample;Time;Protein (g/kg);Oil;Moisture;Operator;Remark" + end;
            break;
        case 12:
            text += "\"S;5\";2026-08-03;\"381\";\"20\";7;\"me;you\";" + end;
            break;
        case 13:
            text += "\"S\n6\";2026-08-03;381;20;7;\"say \"\"x\"\"\";" + end;
            break;
        case 14:
            text += "S7;2026-08-03;381;20;7;5\";\"x\"y" + end;
            break;
        case 15:
            text += pick(20) == 0 ? "\"S8;2026-08-03;381;20;7;;" + end : "S9;;381;20;7;;" + end;
            break;
        case 16:
            text += "=\"00" + std::to_string(pick(9)) + "\";2026-08-03;381;20;7;=\"me\";" + end;
            break;
        case 17:
            text += "\"=\"\"Mean\"\"\";;381;20;7;;" + end;
            break;
        default:
            text += "S-" + std::to_string(pick(50)) + ";2026-08-0" + std::to_string(1 + pick(9)) +
                    " 07:41:09;38" + std::to_string(pick(10)) + ".5;" + std::to_string(18 + pick(4)) + "." +
                    std::to_string(pick(100)) + ";7.1;me;" + end;
        }
    }
    for (char& c : text)
        if (c == ';')
            c = delimiter;
    return text;
}

void check_all_ways(const std::string& text) {
    intake::ExportOptions options;
    intake::ReadSettings slow;
    slow.path = intake::Path::straightforward;
    slow.chunk_bytes = std::size_t{1} << 40;
    const Readings expected = intake::read_exports({input(text)}, table(), options, slow);
    REQUIRE(expected.rows > 20);
    for (const std::size_t chunk : {std::size_t{500}, std::size_t{4000}, std::size_t{1} << 22})
        for (const std::size_t buffer : {std::size_t{256}, std::size_t{100000}})
            for (const unsigned threads : {1U, 3U})
                for (const bool plain : {false, true}) {
                    intake::ReadSettings settings;
                    settings.chunk_bytes = chunk;
                    settings.buffer_bytes = buffer;
                    settings.plain_scan = plain;
                    options.threads = threads;
                    INFO("chunk " << chunk << " buffer " << buffer << " threads " << threads);
                    REQUIRE(difference(expected, intake::read_exports({input(text)}, table(), options,
                                                                      settings)) == "");
                }
}

} // namespace

TEST_CASE("plain text gives the same readings on every way") {
    for (const char* end : {"\n", "\r\n"})
        check_all_ways(mixed_rows(400, ',', false, end));
}

TEST_CASE("other units and groups between the rows are the same on every way") {
    std::string text = ",Composition (as is),,\nSample,Protein,Oil,Moisture\n,%,%,%\n";
    for (std::size_t i = 0; i < 200; ++i) {
        text += fmt::format("S{},{}.5,20.{},7.1\n", i % 30, 30 + i % 9, i % 10);
        if (i % 20 == 7)
            text += fmt::format("Sample,Protein,Oil,Moisture\n,{0},{0},%\n", i % 40 == 7 ? "g/kg" : "%");
        if (i % 50 == 33)
            text += ",Composition (13 % moisture),,\nSample,Protein,Oil,Moisture\n";
    }
    CHECK(read(text).blocks.size() > 10);
    check_all_ways(text);
}

TEST_CASE("numbers of up to nine characters are the same on every way, however they are spelled") {
    // Six number columns: four of them at a time, the last four once more; not all side by side.
    std::string text = "Sample,Protein,Oil,Ash,Operator,Fiber,Starch,Sucrose\n", quoted = text;
    const auto add = [&](const std::string& number) {
        text += "S," + number + ",20," + number + ",me," + number + ",," + number + "\n";
        quoted +=
            "\"S\",\"" + number + "\",20,\"" + number + "\",\"me\",\"" + number + "\",\"\"," + number + "\n";
    };
    const std::string digits = "987654321";
    for (std::size_t length = 1; length <= digits.size(); ++length) {
        add(digits.substr(0, length));
        for (std::size_t at = 0; at <= length; ++at)
            for (const char* sign : {"", "-", "+"}) {
                add(sign + digits.substr(0, at) + "." + digits.substr(at, length - at));
                add(sign + std::string(at, '0') + "." + digits.substr(at, length - at));
            }
    }
    // Neighbours of the digits and of the mark in the table of characters, a second mark, a mark alone.
    for (const char* odd : {"3/8.5", "38:5", "38.5.", ".38.5", ".", "..", "-", "3-8.5", "38.5-", "3 8.5",
                            "38.5 ", " 38.5", "38.\xB5", "\xB9.5", "3e1", "38,5"})
        add(odd);
    check_all_ways(text);
    check_all_ways(quoted);
    for (char& c : text)
        c = c == '.' ? ',' : c == ',' ? ';' : c;
    check_all_ways(text);
}

TEST_CASE("a number that is spelled unlike those above it in its column is the same on every way") {
    // Nine number columns: eight of them at a time, the last eight once more; not all side by side.
    const std::vector<std::string> usual = {"38",    "20.5", "4.75",  "me",    "5.125",
                                            "12.25", "1.00", "10.25", "0.125", "1.234567"};
    for (const std::string end : {"\n", "\r\n"}) {
        std::string text =
            "Sample,Protein,Oil,Ash,Operator,Fiber,Starch,Sucrose,Moisture,Raffinose,Stachyose" + end;
        const auto add = [&](const std::vector<std::string>& cells) {
            text += "S";
            for (const std::string& cell : cells)
                text += "," + cell;
            text += end;
        };
        for (const char* odd :
             {"",     "5",    "12.5",     "1.25",      "1.125",    ".5",        ".25",        "5.",
              "12.",  ".",    "99999999", "123456789", "1234.567", "12345.678", "1.23456789", "-1.25",
              "1.2.", "1/25", "1:25",     "1 25",      "10,25",    "x"})
            for (std::size_t column = 0; column < usual.size(); ++column) {
                std::vector<std::string> cells = usual;
                cells[column] = odd;
                add(cells);
                for (int i = 0; i < 8; ++i)
                    add(usual);
            }
        add(std::vector<std::string>(usual.size()));
        check_all_ways(text);
    }
}

TEST_CASE("quoted text gives the same readings on every way") {
    for (const char* end : {"\n", "\r\n"})
        check_all_ways(mixed_rows(400, ';', true, end));
}

TEST_CASE("carriage returns and mixed line ends give the same readings on every way") {
    check_all_ways(mixed_rows(200, ',', false, "\r"));
    check_all_ways(mixed_rows(50, '\t', true, "\n") + "S,2026-08-03\rS\r\n");
}

TEST_CASE("another table far down gives the same readings on every way") {
    std::string text = mixed_rows(100, ',', false, "\n") + "\nSample,Oleic,Linoleic\n";
    for (int i = 0; i < 100; ++i)
        text += "T" + std::to_string(i) + ",22.5,54.1\n";
    check_all_ways(text + "Sample,Oil\nU,20\n");
}

TEST_CASE("a stray byte far down gives the same readings on every way") {
    check_all_ways(mixed_rows(100, ',', false, "\n") + "S\xFCx,2026-08-03,381,20,7,me,\n");
}

TEST_CASE("a piece may begin inside quotes") {
    std::string text = "Sample,Protein,Operator\n";
    for (int i = 0; i < 200; ++i)
        text += "\"A\nB,38,x\nC\",38.5,\"one\n\ntwo\"\n";
    check_all_ways(text);
}

TEST_CASE("a remark of numbers beside an unreadable cell gives the same readings on every way") {
    for (const char* odd : {"", "A19,37,20,7,\"x\"\n"}) {
        std::string text = "Sample,Protein,Oil,Moisture,Remark\n";
        for (int i = 0; i < 30; ++i)
            text += i == 12 ? "A12,lamp,19.4,6.5,1;2;3;4\n" : fmt::format("A{},37.1,19.4,6.5,\n", i);
        check_all_ways(text + odd);
        check_all_ways(text + odd + "A40,3;7,1,6;5,\n");
    }
}

TEST_CASE("a quoted cell longer than a quote may be is the same on every way") {
    std::string text = "Sample,Protein,Oil,Remark\n";
    for (int i = 0; i < 30; ++i)
        text += fmt::format("A{},37.1,19.4,\"r\"\n", i);
    check_all_ways(text + "B,37,20,\"" + std::string(300 * 1024, 'x') + "\"\nC,37,20,\"y\"\n");
}

TEST_CASE("a line without end is refused and no memory is spent on it") {
    class Endless final : public intake::ByteSource {
      public:
        std::uint64_t size() const override { return std::uint64_t{1} << 30; }
        Result<std::size_t> read_at(std::uint64_t offset, char* into, std::size_t count) const override {
            const std::string top = "Sample,Protein\nA,38\n";
            for (std::size_t i = 0; i < count; ++i)
                into[i] = offset + i < top.size() ? top[offset + i] : 'x';
            return count;
        }
    };
    const intake::Input endless{"endless.csv", std::make_shared<Endless>(), {}};
    const Readings r = intake::read_exports({endless}, table(), {});
    REQUIRE(r.files[0].refused);
    CHECK(r.files[0].refusal.message.find("16 MiB") != std::string::npos);
}
