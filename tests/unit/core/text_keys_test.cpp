#include "core/text_keys.hpp"

#include <catch2/catch.hpp>
#include <string>
#include <vector>

using namespace thresh;

namespace {

// A key maker for these texts, and their keys.
struct Keys {
    explicit Keys(const std::vector<std::string>& texts) : maker(varying(texts)) {
        for (const std::string& text : texts)
            keys.push_back(maker.key(head_of(text, text.size())));
    }
    static VaryingBits varying(const std::vector<std::string>& texts) {
        VaryingBits one, other;
        for (std::size_t i = 0; i < texts.size(); ++i)
            (i % 2 == 0 ? one : other).see(head_of(texts[i], texts[i].size()));
        one.see_all_of(other);
        return one;
    }
    KeyMaker maker;
    std::vector<std::uint64_t> keys;
};

} // namespace

TEST_CASE("heads order as texts do, whatever stands behind them in memory") {
    const std::string room = "ab-and-more-that-is-not-part-of-the-text";
    CHECK(head_of(std::string_view(room).substr(0, 2), room.size()) == head_of("ab", 2));
    CHECK(head_of("", 0) < head_of(std::string_view("\0", 1), 1));
    CHECK(head_of("a", 1) < head_of(std::string_view("a\0", 2), 2));
    CHECK(head_of("a\x7f", 2) < head_of("a\x80", 2));
    CHECK(head_of(std::string(22, 'a'), 22) < head_of(std::string(23, 'a'), 23));
    CHECK(head_of(std::string(23, 'a'), 23) < head_of(std::string(24, 'a'), 24));
    CHECK(head_of(std::string(24, 'a'), 24) == head_of(std::string(24, 'a') + "b", 25));
}

TEST_CASE("keys of IDs hold only the bits that vary, in their order") {
    const Keys ids({"T20-L02300-44", "T08-L03728-04", "T20-L02300-45", "T20-L02301-44"});
    CHECK(ids.maker.exact());
    CHECK(ids.maker.bits() < 36);
    CHECK(ids.keys[1] < ids.keys[0]);
    CHECK(ids.keys[0] < ids.keys[2]);
    CHECK(ids.keys[2] < ids.keys[3]);
}

TEST_CASE("keys of texts that vary everywhere take the first 64 bits and say that more is to be seen") {
    const std::string zeros(23, '\0'), ones(23, '\xff');
    const Keys all({zeros, ones, zeros.substr(0, 22) + "\x01"});
    CHECK_FALSE(all.maker.exact());
    CHECK(all.maker.bits() == 64);
    CHECK(all.keys == std::vector<std::uint64_t>{0, ~std::uint64_t{0}, 0});
    const Keys eight({zeros.substr(0, 8), ones.substr(0, 8)});
    CHECK(eight.maker.exact()); // as many as a key holds
    CHECK(eight.maker.bits() == 64);
}

TEST_CASE("one text, or the same twice, has a key of no bits") {
    const Keys one({"S-7", "S-7"});
    CHECK(one.maker.exact());
    CHECK(one.maker.bits() == 0);
    CHECK(one.keys == std::vector<std::uint64_t>{0, 0});
}

TEST_CASE("keys that say all give their texts back") {
    const std::string zeros(8, '\0'), ones(8, '\xff');
    for (const std::vector<std::string>& texts : std::vector<std::vector<std::string>>{
             {"T20-L02300-44", "T08-L03728-04", "T20-L02300-4", "", "T20"},
             {"exactly-23-bytes-long-a", "exactly-23-bytes-long-b", "exactly-23-bytes-long-"},
             {zeros, ones, ones.substr(0, 7) + "a"},
             {"S-7", "S-7"},
             {"", ""}}) {
        const Keys all(texts);
        REQUIRE(all.maker.exact());
        for (std::size_t i = 0; i < texts.size(); ++i) {
            const TextHead head = all.maker.head(all.keys[i]);
            CHECK(head == head_of(texts[i], texts[i].size()));
            CHECK(all.maker.text_size(all.keys[i]) == texts[i].size());
            // With room for more, and with just enough: nothing behind it is touched.
            for (const std::size_t room : {sizeof(TextHead), texts[i].size()}) {
                std::string written(sizeof(TextHead) + 1, '#');
                const char* const end = write_text(head, written.data(), written.data() + room);
                CHECK(written.substr(0, static_cast<std::size_t>(end - written.data())) == texts[i]);
                CHECK(written.substr(room) == std::string(written.size() - room, '#'));
            }
        }
    }
}
