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
    static constexpr std::array<std::string_view, 21> kNo = {
        "no",    "n",    "false", "0",    "-",   "–",   "—",   "none", "nein",  "falsch", "kein",
        "keine", "ohne", "non",   "faux", "nao", "não", "NÃO", "Não",  "falso", "aucun"};
    const std::string_view word = trimmed(text);
    const auto is_word = [&](std::string_view known) { return same_word(known, word); };
    if (word.empty() || std::ranges::any_of(kNo, is_word))
        return false;
    return std::ranges::any_of(kYes, is_word) ? std::optional(true) : std::nullopt;
}

namespace {

// Characters that are letters: of ASCII, and all others but signs such as dashes.
std::size_t letters_in(std::string_view text) {
    std::size_t letters = 0;
    for (std::size_t i = 0; i < text.size(); ++i) {
        const auto byte = static_cast<unsigned char>(text[i]);
        const auto next = static_cast<unsigned char>(i + 1 < text.size() ? text[i + 1] : 0);
        const bool ascii = (byte >= 'A' && byte <= 'Z') || (byte >= 'a' && byte <= 'z');
        // U+0080 to U+00BF, and U+2000 to U+2BFF: signs. Bytes that follow the first are none of their own.
        const bool sign = byte == 0xC2 || (byte == 0xE2 && next < 0xB0);
        letters += ascii || (byte >= 0xC0 && !sign) ? 1 : 0;
    }
    return letters;
}

// "untreated", "not treated", "pas de traitement": one word that denies is enough.
bool denies(std::string_view text) {
    static constexpr std::array<std::string_view, 31> kDeny = {
        "no",   "not",   "non",    "none", "never", "without",   "nil",     "nothing",
        "nein", "nicht", "nichts", "kein", "keine", "keinerlei", "ohne",    "pas",
        "sans", "aucun", "aucune", "rien", "sin",   "ningún",    "ninguno", "ninguna",
        "nada", "sem",   "não",    "Não",  "NÃO",   "nao",       "nenhum"};
    static constexpr std::array<std::string_view, 7> kDenyBegin = {
        "untreat", "nontreat", "undress", "uncoat", "ungebeizt", "unbehandelt", "unbeiz"};
    std::size_t end = 0;
    for (std::size_t begin = 0; begin < text.size(); begin = end + 1) {
        end = std::min(text.find_first_of(" \t.,;:-/()", begin), text.size());
        const std::string_view word = text.substr(begin, end - begin);
        for (const std::string_view known : kDeny)
            if (same_word(known, word))
                return true;
        for (const std::string_view known : kDenyBegin)
            if (word.size() >= known.size() && same_word(known, word.substr(0, known.size())))
                return true;
    }
    return false;
}

} // namespace

bool names_something(std::string_view text) {
    static constexpr std::array<std::string_view, 12> kDoubt = {
        "maybe", "perhaps",    "unknown",   "unclear", "not known",   "partly",
        "tbd",   "vielleicht", "unbekannt", "inconnu", "desconocido", "desconhecido"};
    const std::string_view word = trimmed(text);
    return letters_in(word) >= 3 && !word.ends_with('?') && !word.starts_with('#') && !denies(word) &&
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
