// Spelling of a moisture basis, the same in options, rules files and tables. Only a plain decimal is read as
// a percentage: exponents, `inf`, `nan`, signs and decimal commas are refused rather than guessed.
#include <thresh/core/basis.hpp>

#include <algorithm>
#include <charconv>
#include <fmt/format.h>

namespace thresh {

namespace {

bool equals_ignoring_case(std::string_view text, std::string_view lower) {
    return std::equal(text.begin(), text.end(), lower.begin(), lower.end(),
                      [](char a, char b) { return (a >= 'A' && a <= 'Z' ? a - 'A' + 'a' : a) == b; });
}

} // namespace

std::string to_text(Basis basis) {
    switch (basis.kind) {
    case Basis::Kind::as_is:
        return "as-is";
    case Basis::Kind::fixed:
        return basis.percent == 0 ? "dry" : fmt::format("{}", basis.percent);
    case Basis::Kind::not_stated:
        break;
    }
    return {};
}

Result<Basis> parse_basis(std::string_view text) {
    static constexpr const char* kHelp =
        "a basis is `as-is`, `dry`, or percent moisture from 0 to below 100 such as `13` or `8.5`";
    if (equals_ignoring_case(text, "as-is"))
        return Basis::as_is();
    if (equals_ignoring_case(text, "dry"))
        return Basis::dry();
    std::string_view number = text;
    if (number.ends_with('%'))
        number.remove_suffix(1);
    while (number.ends_with(' '))
        number.remove_suffix(1);
    const bool plain = !number.empty() && number.front() != '.' && number.back() != '.' &&
                       number.find_first_not_of("0123456789.") == std::string_view::npos;
    double percent = 0;
    const auto [end, error] = std::from_chars(number.data(), number.data() + number.size(), percent);
    if (!plain || error != std::errc() || end != number.data() + number.size())
        return fail(fmt::format("`{}` is not a moisture basis", text), kHelp);
    if (percent >= 100)
        return fail(fmt::format("a basis of {} % moisture leaves no dry matter", number), kHelp);
    return Basis::at(percent);
}

} // namespace thresh
