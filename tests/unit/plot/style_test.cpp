// The colours of the page's rules, measured. Formulas of relative luminance and contrast: WCAG 2.2,
// definitions.
#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <map>
#include <regex>
#include <string>
#include <thresh/plot/figure.hpp>

namespace {

double luminance(const std::string& hex) {
    std::array<double, 3> parts{};
    for (std::size_t i = 0; i < 3; ++i) {
        const double c = std::stoi(hex.substr(1 + 2 * i, 2), nullptr, 16) / 255.0;
        parts[i] = c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4);
    }
    return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2];
}

double contrast(const std::string& a, const std::string& b) {
    const double one = luminance(a), two = luminance(b);
    return (std::max(one, two) + 0.05) / (std::min(one, two) + 0.05);
}

// The custom properties of the light, dark and print block, in this order.
std::array<std::map<std::string, std::string>, 3> schemes() {
    const std::string& text = thresh::plot::style_sheet();
    const std::size_t dark = text.find("prefers-color-scheme: dark"), print = text.find("@media print");
    REQUIRE(dark != std::string::npos);
    REQUIRE(print > dark);
    const std::array<std::string, 3> blocks = {text.substr(0, dark), text.substr(dark, print - dark),
                                               text.substr(print)};
    std::array<std::map<std::string, std::string>, 3> all;
    const std::regex property("--plot-([a-z]+): (#[0-9a-f]{6});");
    for (std::size_t i = 0; i < 3; ++i)
        for (std::sregex_iterator match(blocks[i].begin(), blocks[i].end(), property), end; match != end;
             ++match)
            all[i][(*match)[1]] = (*match)[2];
    return all;
}

} // namespace

TEST_CASE("contrast is that of the definition") {
    CHECK(contrast("#000000", "#ffffff") == Approx(21));
    CHECK(contrast("#767676", "#ffffff") == Approx(4.54).margin(0.01)); // common knowledge, from memory
}

TEST_CASE("text has a contrast of 4.5 and marks of 3 in light, dark and print, on the ground and on a band") {
    for (const auto& scheme : schemes()) {
        REQUIRE(scheme.size() == 14);
        for (const std::string ground : {"paper", "band"}) {
            for (const std::string text : {"ink", "soft"}) {
                INFO(text << " on " << ground << " " << scheme.at(ground));
                CHECK(contrast(scheme.at(text), scheme.at(ground)) >= 4.5);
            }
            for (const std::string mark :
                 {"axis", "edge", "main", "check", "square", "cross", "plus", "low", "high"}) {
                INFO(mark << " on " << ground << " " << scheme.at(ground));
                CHECK(contrast(scheme.at(mark), scheme.at(ground)) >= 3);
            }
        }
        for (const std::string text : {"low", "high"})
            CHECK(contrast(scheme.at(text), scheme.at("paper")) >= 4.5);
    }
}

TEST_CASE("every custom property that is used is defined, and every class of the figures keeps to them") {
    const std::string& text = thresh::plot::style_sheet();
    const auto light = schemes()[0];
    const std::regex use("var\\(--plot-([a-z]+)\\)");
    for (std::sregex_iterator match(text.begin(), text.end(), use), end; match != end; ++match)
        CHECK(light.count((*match)[1]) == 1);
    CHECK(text.find("url(") == std::string::npos);
    CHECK(text.find('<') == std::string::npos);
}
