// UTF-16 in pieces: wherever a text is cut, it becomes what it becomes as a whole.
#include "intake/encoding.hpp"
#include "intake/source_text.hpp"

#include <catch2/catch.hpp>

using namespace thresh;
using namespace thresh::intake;

namespace {

std::string bytes_of(std::u16string_view units, bool big) {
    std::string bytes;
    for (const char16_t unit : units) {
        const char low = static_cast<char>(unit & 0xff), high = static_cast<char>(unit >> 8);
        bytes += big ? high : low;
        bytes += big ? low : high;
    }
    return bytes;
}

} // namespace

TEST_CASE("UTF-16 read in two pieces is what it is as a whole, wherever it is cut") {
    // ASCII in fours and less, two and three bytes of UTF-8, four of them from two units, and halves of such
    // pairs by themselves.
    std::u16string units = u"Sample;Protein\n12345678;é;€;\U0001F331;a\U0001F33E\u00FFz;abcdefgh;"
                           u"\u01001\u010022\u0100333\u01004444\u0100";
    units += {0xd83c, u';', 0xdf31, u'x'};
    const std::string expected = "Sample;Protein\n12345678;é;€;🌱;a🌾ÿz;abcdefgh;Ā1Ā22Ā333Ā4444Ā\uFFFD;\uFFFDx";
    for (const bool big : {false, true})
        for (const std::string& tail : {std::string(), std::string("y")}) { // half a unit at the end
            const std::string bytes = bytes_of(units, big) + tail;
            const Decoded whole =
                decode(bytes, {big ? Encoding::utf16be : Encoding::utf16le, 0, true, "given"});
            CHECK(whole.text == expected);
            CHECK(whole.repaired == 2 + tail.size());
            CHECK(whole.first_line == 2);
            for (std::size_t cut = 0; cut <= bytes.size(); ++cut) {
                Decoded pieces;
                const std::size_t taken =
                    decode_utf16(std::string_view(bytes).substr(0, cut), big, false, pieces);
                REQUIRE(taken <= cut);
                CHECK(cut - taken < 4);
                CHECK(decode_utf16(std::string_view(bytes).substr(taken), big, true, pieces) + taken +
                          tail.size() ==
                      bytes.size());
                CHECK(pieces.text == expected);
                CHECK(pieces.repaired == whole.repaired);
                CHECK(pieces.first == whole.first);
                CHECK(pieces.first_line == whole.first_line);
            }
        }
}

TEST_CASE("a file of nothing but the mark of UTF-16 is told to be UTF-16") {
    for (const bool big : {false, true}) {
        const std::string mark = big ? "\xfe\xff" : "\xff\xfe";
        std::vector<IntakeNote> notes;
        const auto text = open_text({"a.csv", std::make_shared<MemorySource>(mark), {}}, {}, false, notes);
        REQUIRE(text);
        CHECK(text->encoding.encoding == (big ? Encoding::utf16be : Encoding::utf16le));
        CHECK(text->encoding.why != "not UTF-8");
        CHECK(text->bytes->size() == 0);
    }
}
