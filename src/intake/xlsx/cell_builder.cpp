// One function for each type of cell (ECMA-376 part 1, 18.3.1.4). A value that does not fit its type is given
// as text, word for word, so that whoever reads the column can say what is wrong with it.
#include "intake/xlsx/cell_builder.hpp"

#include "intake/xlsx/date_text.hpp"
#include "intake/xlsx/number_text.hpp"

#include <charconv>

namespace thresh::intake::xlsx {

void CellBuilder::begin(std::string_view type, std::string_view style) {
    type_ = Type::number;
    if (type == "s")
        type_ = Type::shared;
    if (type == "str")
        type_ = Type::text;
    if (type == "inlineStr")
        type_ = Type::inline_text;
    if (type == "b")
        type_ = Type::boolean;
    if (type == "e")
        type_ = Type::error;
    if (type == "d")
        type_ = Type::date;
    style_ = 0;
    std::from_chars(style.data(), style.data() + style.size(), style_);
    has_formula_ = has_inline_ = false;
    value_.clear();
}

bool CellBuilder::finish(Cell& cell) {
    cell.kind = CellKind::missing;
    cell.text = {};
    cell.percent = cell.doubtful = false;
    cell.min_digits = 0;
    if (value_.empty()) {
        // An empty result of a text formula is stored as such and is a result; for other types nothing was
        // stored.
        if (has_formula_ && type_ != Type::text && !has_inline_)
            cell.kind = CellKind::uncomputed;
        return true;
    }
    if (has_inline_)
        type_ = Type::inline_text; // some writers leave the type out
    switch (type_) {
    case Type::number:
        finish_number(cell);
        return true;
    case Type::shared:
        return finish_shared(cell);
    case Type::text:
    case Type::inline_text:
        undo_escapes(value_);
        cell.kind = CellKind::text;
        cell.text = value_;
        return true;
    case Type::boolean:
        cell.kind = CellKind::boolean;
        cell.text = value_ == "1" || value_ == "true" ? "TRUE" : "FALSE";
        return true;
    case Type::error:
        cell.kind = CellKind::error;
        cell.text = value_;
        return true;
    case Type::date:
        finish_iso_date(cell);
        return true;
    }
    return true;
}

void CellBuilder::finish_number(Cell& cell) {
    // Most values need no other spelling and are handed on as they stand.
    const std::string& number = is_shortest_number(value_) ? value_ : written_;
    if (&number == &written_ && !number_text(value_, written_)) {
        cell.kind = CellKind::text;
        cell.text = value_;
        return;
    }
    // Libraries that write formulas without computing them store 0 as the result and ask for everything to be
    // computed when the book is opened. Such a zero is no measurement.
    if (has_formula_ && common_.results_stale && number == "0") {
        cell.kind = CellKind::uncomputed;
        return;
    }
    const NumberFormat format = style_ < common_.formats.size() ? common_.formats[style_] : NumberFormat{};
    if (format.is_date()) {
        double serial = 0;
        std::from_chars(value_.data(), value_.data() + value_.size(), serial);
        if (auto date = date_text(serial, common_.system_1904, format)) {
            written_ = std::move(date->text);
            cell.kind = CellKind::date;
            cell.text = written_;
            cell.doubtful = date->doubtful;
            return;
        }
        cell.doubtful = true;
    }
    cell.kind = CellKind::number;
    cell.text = number;
    cell.percent = format.percent;
    cell.min_digits = format.min_digits;
    if (number.size() > 15)
        cell.doubtful = cell.doubtful || loses_digits(number);
}

bool CellBuilder::finish_shared(Cell& cell) {
    std::size_t index = 0;
    const char* const end = value_.data() + value_.size();
    const auto [stop, problem] = std::from_chars(value_.data(), end, index);
    if (problem != std::errc() || stop != end || index >= common_.strings.size())
        return false;
    cell.kind = CellKind::text;
    cell.text = common_.strings[index];
    return true;
}

void CellBuilder::finish_iso_date(Cell& cell) {
    cell.kind = CellKind::text;
    cell.text = value_;
    if (auto date = iso_date_text(value_)) {
        written_ = std::move(date->text);
        cell.kind = CellKind::date;
        cell.text = written_;
        cell.doubtful = date->doubtful;
    }
}

} // namespace thresh::intake::xlsx
