// Cell references in the letter-number form. Letters count in base 26 without a zero: A..Z, AA..ZZ, AAA..XFD.
#include "intake/xlsx/cell.hpp"

#include "intake/xlsx/limits.hpp"

#include <algorithm>

namespace thresh::intake::xlsx {

std::optional<CellPlace> parse_place(std::string_view text) {
    std::size_t at = 0;
    const auto skip_dollar = [&] {
        if (at < text.size() && text[at] == '$')
            ++at;
    };
    std::uint32_t column = 0;
    skip_dollar();
    for (; at < text.size(); ++at) {
        const char upper = static_cast<char>(text[at] & ~0x20); // ASCII letters only get here
        if (upper < 'A' || upper > 'Z')
            break;
        column = column * 26 + static_cast<std::uint32_t>(upper - 'A' + 1);
        if (column > max_columns)
            return std::nullopt;
    }
    skip_dollar();
    std::uint32_t row = 0;
    const std::size_t digits = at;
    for (; at < text.size() && text[at] >= '0' && text[at] <= '9'; ++at) {
        row = row * 10 + static_cast<std::uint32_t>(text[at] - '0');
        if (row > max_rows)
            return std::nullopt;
    }
    if (column == 0 || row == 0 || at == digits || at != text.size())
        return std::nullopt;
    return CellPlace{row, column - 1};
}

std::string place_name(std::uint32_t row, std::uint32_t column) {
    std::string letters;
    for (std::uint32_t left = column + 1; left > 0; left = (left - 1) / 26)
        letters.push_back(static_cast<char>('A' + (left - 1) % 26));
    std::reverse(letters.begin(), letters.end());
    return letters + std::to_string(row);
}

} // namespace thresh::intake::xlsx
