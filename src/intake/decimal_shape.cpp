#include "intake/decimal_shape.hpp"

#include "intake/fold.hpp"
#include "intake/number_cell.hpp"

namespace thresh::intake {

Shape shape(std::string_view text, char mark) {
    text = trim(text);
    if (text.starts_with('<'))
        text = trim(text.substr(text.starts_with("<=") ? 2 : 1));
    const NumberCell number = read_number_cell(text, {mark, '\0'}, 0);
    if (number.kind != NumberCell::Kind::decimal && number.kind != NumberCell::Kind::wide)
        return Shape::none;
    const std::size_t at = text.find(mark);
    if (at == std::string_view::npos)
        return Shape::whole;
    std::size_t first = text.find_first_of("0123456789");
    std::size_t decimals = at + 1;
    while (decimals < text.size() && text[decimals] >= '0' && text[decimals] <= '9')
        ++decimals;
    decimals -= at + 1;
    const std::size_t before = at > first ? at - first : 0;
    const bool open = decimals == 3 && before >= 1 && before <= 3 && text[first] != '0' &&
                      text.find_first_of("eE") == std::string_view::npos;
    return open ? Shape::open : Shape::proof;
}

Shape shape(Cell cell, int shift) {
    const int decimals = static_cast<int>(cell.decimals()) - shift;
    if (decimals <= 0 || (shift < 0 && cell.decimals() == 0))
        return Shape::whole;
    const std::int32_t size = cell.digits() < 0 ? -cell.digits() : cell.digits();
    return decimals == 3 && size >= 1000 && size < 1'000'000 ? Shape::open : Shape::proof;
}

} // namespace thresh::intake
