// ASCII case folding only: accented words for yes and no are listed in both cases.
#include "batch/words.hpp"

#include <thresh/batch/settings.hpp>

#include <algorithm>
#include <array>
#include <charconv>
#include <string>

namespace thresh::batch {

std::string_view trimmed(std::string_view text) {
    constexpr std::string_view kNoBreakSpace = "\u00a0";
    const auto blank = [](char c) { return c == ' ' || c == '\t' || c == '\r' || c == '\n'; };
    for (bool changed = true; changed;) {
        changed = false;
        if (!text.empty() && blank(text.front())) {
            text.remove_prefix(1);
            changed = true;
        } else if (text.starts_with(kNoBreakSpace)) {
            text.remove_prefix(kNoBreakSpace.size());
            changed = true;
        }
        if (!text.empty() && blank(text.back())) {
            text.remove_suffix(1);
            changed = true;
        } else if (text.ends_with(kNoBreakSpace)) {
            text.remove_suffix(kNoBreakSpace.size());
            changed = true;
        }
    }
    return text;
}

std::optional<bool> yes_or_no(std::string_view text) {
    static constexpr std::array<std::string_view, 21> kYes = {
        "yes",  "y",  "true", "1",  "x",  "+", "ja",  "j", "wahr",      "oui",       "o",
        "vrai", "si", "sí",   "SÍ", "Sí", "s", "sim", "✓", "verdadero", "verdadeiro"};
    static constexpr std::array<std::string_view, 19> kNo = {
        "no",   "n",   "false", "0",   "-",   "none", "nein", "falsch", "kein", "keine",
        "ohne", "non", "faux",  "nao", "não", "NÃO",  "Não",  "falso",  "aucun"};
    const std::string_view word = trimmed(text);
    const auto is_word = [&](std::string_view known) { return same_word(known, word); };
    if (word.empty() || std::ranges::any_of(kNo, is_word))
        return false;
    return std::ranges::any_of(kYes, is_word) ? std::optional(true) : std::nullopt;
}

bool names_something(std::string_view text) {
    static constexpr std::array<std::string_view, 12> kDoubt = {
        "maybe", "perhaps",    "unknown",   "unclear", "not known",   "partly",
        "tbd",   "vielleicht", "unbekannt", "inconnu", "desconocido", "desconhecido"};
    const std::string_view word = trimmed(text);
    const auto letters = std::ranges::count_if(word, [](char c) {
        return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') || static_cast<unsigned char>(c) >= 0x80;
    });
    return letters >= 3 && !word.ends_with('?') && !word.starts_with('#') &&
           std::ranges::none_of(kDoubt, [&](std::string_view doubt) { return same_word(doubt, word); });
}

std::optional<double> mass_in_grams(std::string_view text) {
    std::string digits(trimmed(text));
    if (digits.ends_with('g'))
        digits = trimmed(std::string_view(digits).substr(0, digits.size() - 1));
    if (const auto comma = digits.find(','); comma != std::string::npos) {
        if (digits.find('.') != std::string::npos || digits.size() - comma == 4)
            return std::nullopt;
        digits[comma] = '.';
    }
    double mass = 0;
    const char* end = digits.data() + digits.size();
    const auto [stop, error] = std::from_chars(digits.data(), end, mass, std::chars_format::fixed);
    if (error != std::errc{} || stop != end || !(mass >= 0))
        return std::nullopt;
    return mass;
}

} // namespace thresh::batch
