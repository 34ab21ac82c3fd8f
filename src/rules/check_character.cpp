// Each scheme runs over the values of its characters from left to right (Luhn and Verhoeff from the right).
#include "rules/check_character.hpp"

#include <array>
#include <vector>

namespace thresh::rules {

namespace {

// 0 to 35; -1 for what is neither digit nor letter.
int alphanumeric(char c) {
    if (c >= '0' && c <= '9')
        return c - '0';
    if (c >= 'A' && c <= 'Z')
        return c - 'A' + 10;
    return c >= 'a' && c <= 'z' ? c - 'a' + 10 : -1;
}

std::vector<int> values_of(std::string_view scheme, std::string_view text) {
    const int most = scheme == "mod37_36" ? 35 : 9;
    std::vector<int> values;
    for (const char c : text)
        if (const int value = alphanumeric(c); value >= 0 && value <= most)
            values.push_back(value);
    return values;
}

int mod_37_36(const std::vector<int>& values) {
    int p = 36;
    for (const int value : values) {
        int s = (p + value) % 36;
        if (s == 0)
            s = 36;
        p = s * 2 % 37;
    }
    return (37 - p) % 36;
}

int luhn(const std::vector<int>& values) {
    int sum = 0;
    bool twice = true; // the digit before the check digit is doubled
    for (std::size_t i = values.size(); i-- > 0; twice = !twice) {
        const int value = twice ? values[i] * 2 : values[i];
        sum += value / 10 + value % 10;
    }
    return (10 - sum % 10) % 10;
}

int damm(const std::vector<int>& values) {
    static constexpr const char* kQuasigroup[] = {"0317598642", "7092154863", "4206871359", "1750983426",
                                                  "6123045978", "3674209581", "5869720134", "8945362017",
                                                  "9438617205", "2581436790"};
    int interim = 0;
    for (const int value : values)
        interim = kQuasigroup[interim][value] - '0';
    return interim;
}

int dihedral(int a, int b) {
    if (a < 5)
        return b < 5 ? (a + b) % 5 : (a + b - 5) % 5 + 5;
    return b < 5 ? (a - b + 5) % 5 + 5 : (a - b + 5) % 5;
}

int verhoeff(const std::vector<int>& values) {
    static constexpr std::array<int, 10> kPermutation = {1, 5, 7, 6, 2, 8, 3, 0, 9, 4};
    int c = 0, place = 1;
    for (std::size_t i = values.size(); i-- > 0; ++place) {
        int value = values[i];
        for (int turn = 0; turn < place % 8; ++turn)
            value = kPermutation[static_cast<std::size_t>(value)];
        c = dihedral(c, value);
    }
    return c < 5 ? (5 - c) % 5 : c; // the inverse; reflections are their own
}

std::optional<int> check_value(std::string_view scheme, const std::vector<int>& values) {
    if (values.empty())
        return std::nullopt;
    if (scheme == "mod37_36")
        return mod_37_36(values);
    if (scheme == "luhn")
        return luhn(values);
    if (scheme == "damm")
        return damm(values);
    return scheme == "verhoeff" ? std::optional(verhoeff(values)) : std::nullopt;
}

} // namespace

std::optional<char> check_character(std::string_view scheme, std::string_view text) {
    const auto value = check_value(scheme, values_of(scheme, text));
    if (!value)
        return std::nullopt;
    return static_cast<char>(*value < 10 ? '0' + *value : 'A' + *value - 10);
}

bool check_character_fits(std::string_view scheme, std::string_view id) {
    std::vector<int> values = values_of(scheme, id);
    if (values.size() < 2)
        return false;
    const int last = values.back();
    values.pop_back();
    return check_value(scheme, values) == last;
}

} // namespace thresh::rules
