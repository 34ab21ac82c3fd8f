#include <thresh/core/same_text.hpp>

#include <catch2/catch.hpp>
#include <string>

using thresh::same_text;

TEST_CASE("texts are the same only when every byte is, whatever their length and wherever they stand") {
    const std::string around(64, 'z'), letters = "abcdefghijklmnopqrstuvwxyzabcdefghijklmnopqrstuvwxyz";
    for (std::size_t size = 0; size <= 40; ++size) {
        const std::string text = letters.substr(0, size), held = around + text + around;
        const std::string_view inside = std::string_view(held).substr(around.size(), size);
        CHECK(same_text(text, inside));
        CHECK_FALSE(same_text(text + "a", inside));
        for (std::size_t at = 0; at < size; ++at)
            for (const char odd : {'\0', '~', '\xFF', static_cast<char>(text[at] ^ 0x20)}) {
                std::string other = text;
                other[at] = odd;
                CAPTURE(size, at);
                CHECK_FALSE(same_text(other, inside));
                CHECK_FALSE(same_text(inside, other));
            }
    }
    CHECK(same_text({}, ""));
    CHECK(same_text("", {}));
}
