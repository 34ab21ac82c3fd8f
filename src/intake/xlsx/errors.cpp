// Wording of the workbook reader's refusals, in one place so that it stays alike.
#include "intake/xlsx/errors.hpp"

#include <fmt/format.h>

namespace thresh::intake::xlsx {

Error damaged(std::string_view part, std::string_view what) {
    return Error{fmt::format("the workbook is damaged: {} (part `{}`)", what, part),
                 "open it in a spreadsheet program and save it again as .xlsx, or export it again",
                 {}};
}

Error too_large(std::string_view part, std::string_view what) {
    return Error{fmt::format("the workbook is refused: {} (part `{}`)", what, part),
                 "if the file is genuine, save the sheet as text (.csv) or split it into several workbooks",
                 {}};
}

Error not_a_book(std::string message, std::string help) {
    return Error{std::move(message), std::move(help), {}};
}

} // namespace thresh::intake::xlsx
