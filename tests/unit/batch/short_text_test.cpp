#include "batch/short_text.hpp"

#include <catch2/catch.hpp>

#include <string>
#include <vector>

using namespace thresh::batch;

TEST_CASE("texts of every length compare as their bytes do") {
    std::vector<std::string> texts = {"", std::string(1, '\0'), "\xff", "\x7f"};
    for (std::size_t size = 1; size < 40; ++size) {
        const std::string text(size, 'm');
        texts.push_back(text);
        for (const std::size_t at : {std::size_t{0}, size / 2, size - 1})
            for (const char other : {'l', 'n', '\xe4', '\0'})
                texts.push_back(std::string(text).replace(at, 1, 1, other));
    }
    const auto sign = [](int order) { return (order > 0) - (order < 0); };
    std::size_t wrong = 0;
    for (const std::string& a : texts)
        for (const std::string& b : texts) {
            wrong += thresh::same_text(a, b) != (a == b);
            wrong += begins_with(a, b) != a.starts_with(b);
            wrong += sign(compare_text(a, b)) != sign(a.compare(b));
        }
    CHECK(wrong == 0);
}

TEST_CASE("texts that point nowhere are empty texts") {
    CHECK(thresh::same_text({}, ""));
    CHECK(begins_with({}, {}));
    CHECK_FALSE(begins_with({}, "a"));
    CHECK(compare_text({}, "a") < 0);
}
