// The straightforward reader of a number cell: the plain decimal by hand, what does not fit 28 bits by
// std::from_chars on a normalised spelling, so that it is correctly rounded. Thousands marks are taken only
// when the caller says that the column proved them, and then only in groups of three.
#include "intake/number_cell.hpp"

#include "intake/fold.hpp"

#include <algorithm>
#include <charconv>
#include <fmt/format.h>
#include <string>

namespace thresh::intake {

namespace {

constexpr bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

// The parts of a number's spelling.
struct Spelling {
    bool negative = false;
    std::string digits; // all digits, without leading zeros
    int decimals = 0;
    int exponent = 0;
    bool percent = false;
};

bool take_sign(std::string_view& text, bool& negative) {
    if (text.starts_with("\xE2\x88\x92")) { // U+2212, the typographic minus
        negative = true;
        text.remove_prefix(3);
    } else if (!text.empty() && (text[0] == '-' || text[0] == '+')) {
        negative = text[0] == '-';
        text.remove_prefix(1);
    } else {
        return false;
    }
    return true;
}

// Length of a grouping mark at the front: the given character, or any blank when it is a blank.
std::size_t grouping_mark(std::string_view text, char grouping) {
    if (grouping == '\0' || text.empty())
        return 0;
    if (grouping != ' ')
        return text[0] == grouping ? 1 : 0;
    if (text[0] == ' ')
        return 1;
    return text.starts_with("\xC2\xA0") ? 2 : text.starts_with("\xE2\x80\xAF") ? 3 : 0;
}

// The digits before the decimal mark, with thousands marks between groups of three.
bool take_whole(std::string_view& text, char grouping, std::string& digits, bool& any) {
    std::size_t in_group = 0;
    bool grouped = false;
    while (!text.empty()) {
        if (is_digit(text[0])) {
            digits.push_back(text[0]);
            ++in_group;
            any = true;
            text.remove_prefix(1);
            continue;
        }
        const std::size_t length = grouping_mark(text, grouping);
        if (length == 0 || text.size() <= length || !is_digit(text[length]))
            break;
        if (in_group == 0 || in_group > 3 || (grouped && in_group != 3))
            return false;
        grouped = true;
        in_group = 0;
        text.remove_prefix(length);
    }
    return !grouped || in_group == 3;
}

bool spell(std::string_view text, NumberStyle style, Spelling& into) {
    take_sign(text, into.negative);
    bool any = false;
    if (!take_whole(text, style.grouping, into.digits, any))
        return false;
    if (!text.empty() && text[0] == style.mark) {
        text.remove_prefix(1);
        for (; !text.empty() && is_digit(text[0]); text.remove_prefix(1)) {
            into.digits.push_back(text[0]);
            ++into.decimals;
            any = true;
        }
    }
    if (!any)
        return false;
    if (!text.empty() && (text[0] == 'e' || text[0] == 'E')) {
        text.remove_prefix(1);
        bool negative = false;
        take_sign(text, negative);
        const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), into.exponent);
        if (error != std::errc{} || text.empty() || !is_digit(text[0]) || into.exponent > 400)
            return false;
        text.remove_prefix(static_cast<std::size_t>(end - text.data()));
        if (negative)
            into.exponent = -into.exponent;
    }
    text = trim(text);
    if (text == "%") {
        into.percent = true;
        text = {};
    }
    into.digits.erase(0, std::min(into.digits.find_first_not_of('0'), into.digits.size()));
    return text.empty();
}

// False when the value is no finite double.
bool to_cell(const Spelling& number, int shift, NumberCell& cell) {
    const int decimals = number.decimals - number.exponent;
    cell.percent = number.percent;
    if (number.digits.size() <= 9) {
        std::int64_t digits = 0;
        for (const char c : number.digits)
            digits = digits * 10 + (c - '0');
        if (number.negative)
            digits = -digits;
        int places = decimals;
        // 1E+1 and the like: whole numbers without decimals.
        if ((digits == 0 && places >= 0) || shift_decimals(digits, places, shift)) {
            cell.kind = NumberCell::Kind::decimal;
            cell.digits = static_cast<std::int32_t>(digits);
            cell.decimals = static_cast<unsigned>(std::min(places, static_cast<int>(Cell::kMaxDecimals)));
            return true;
        }
    }
    const std::string plain = fmt::format("{}{}e{}", number.negative ? "-" : "",
                                          number.digits.empty() ? "0" : number.digits, -(decimals + shift));
    const auto [end, error] = std::from_chars(plain.data(), plain.data() + plain.size(), cell.value);
    cell.kind = NumberCell::Kind::wide;
    return error == std::errc{} && end == plain.data() + plain.size();
}

} // namespace

NumberCell read_number_cell(std::string_view text, NumberStyle style, int shift) {
    text = trim(text);
    NumberCell cell;
    if (text.empty())
        return cell;
    std::string_view number = text;
    bool below = false;
    if (number.starts_with('<')) {
        below = true;
        number.remove_prefix(1);
        if (number.starts_with('='))
            number.remove_prefix(1);
    } else if (number.starts_with("\xE2\x89\xA4")) { // U+2264, less or equal
        below = true;
        number.remove_prefix(3);
    }
    Spelling spelling;
    if (spell(below ? trim(number) : number, style, spelling) && !(spelling.percent && shift != 0) &&
        to_cell(spelling, shift, cell)) {
        if (!below)
            return cell;
        const double limit =
            cell.kind == NumberCell::Kind::decimal ? cell.digits / kPowersOfTen[cell.decimals] : cell.value;
        cell.kind = NumberCell::Kind::below_limit;
        cell.value = limit;
        return cell;
    }
    cell = {};
    cell.kind = is_missing_mark(text) ? NumberCell::Kind::missing : NumberCell::Kind::unreadable;
    return cell;
}

bool is_missing_mark(std::string_view trimmed) {
    if (trimmed.empty())
        return true;
    if (trimmed.size() > 24 || is_digit(trimmed[0]) || (trimmed.size() > 1 && is_digit(trimmed[1])))
        return false;
    static constexpr std::string_view kMarks[] = {"na",
                                                  "n/a",
                                                  "n.a.",
                                                  "n.a",
                                                  "nd",
                                                  "n/d",
                                                  "n.d.",
                                                  "n.d",
                                                  "nan",
                                                  "null",
                                                  "none",
                                                  "nil",
                                                  "missing",
                                                  "#n/a",
                                                  "-",
                                                  "--",
                                                  "---",
                                                  "----",
                                                  ".",
                                                  "..",
                                                  "...",
                                                  "?",
                                                  "*",
                                                  "nr",
                                                  "n.r.",
                                                  "not read",
                                                  "not measured",
                                                  "nm",
                                                  "n.m.",
                                                  "<lod",
                                                  "<loq",
                                                  "< lod",
                                                  "< loq",
                                                  "bdl",
                                                  "bql",
                                                  "not detected",
                                                  "k.a.",
                                                  "n.b.",
                                                  "n.n.",
                                                  "fehlt",
                                                  "#nv",
                                                  "not available",
                                                  "blank",
                                                  "not applicable"};
    const std::string folded = fold_words(trimmed);
    return std::find(std::begin(kMarks), std::end(kMarks), folded) != std::end(kMarks);
}

bool is_error_word(std::string_view trimmed) {
    if (trimmed.empty() || trimmed.size() > 40)
        return false;
    const std::string folded = fold_words(trimmed);
    if (folded[0] == '#')
        return folded.back() == '!' || folded.back() == '?' ||
               folded.find_first_not_of('#') == std::string::npos;
    static constexpr std::string_view kWords[] = {
        "error",     "err",          "fail",   "failed",   "failure", "invalid",    "overflow",
        "underflow", "out of range", "over",   "under",    "no scan", "no data",    "outlier",
        "fehler",    "ungultig",     "erreur", "invalide", "falla",   "invalido",   "erro",
        "out",       "inf",          "-inf",   "infinity", "oor",     "range error"};
    for (const std::string_view word : kWords)
        if (folded == word ||
            (folded.starts_with(word) && (folded[word.size()] == ' ' || folded[word.size()] == ':')))
            return true;
    return false;
}

} // namespace thresh::intake
