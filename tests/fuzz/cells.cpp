// Any bytes as one cell: as a number in every style and as a time. What is read must be finite, and a number
// with at most nine digits must read back as itself.
#include "intake/number_cell.hpp"
#include "intake/time_cell.hpp"

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <fmt/format.h>
#include <string_view>

using namespace thresh::intake;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string_view text(reinterpret_cast<const char*>(data), size);
    read_time_cell(text);
    for (const NumberStyle style : {NumberStyle{'.', '\0'}, NumberStyle{',', '\0'}, NumberStyle{'.', ','},
                                    NumberStyle{',', '.'}, NumberStyle{'.', ' '}, NumberStyle{',', '\''}})
        for (const int shift : {-2, 0, 1, 4}) {
            const NumberCell cell = read_number_cell(text, style, shift);
            if (!std::isfinite(cell.value))
                std::abort();
            if (cell.kind != NumberCell::Kind::decimal || shift != 0)
                continue;
            const NumberCell again =
                read_number_cell(fmt::format("{}e-{}", cell.digits, cell.decimals), {'.', '\0'}, 0);
            if (again.kind != NumberCell::Kind::decimal ||
                again.digits / thresh::kPowersOfTen[again.decimals] !=
                    cell.digits / thresh::kPowersOfTen[cell.decimals])
                std::abort();
        }
    return 0;
}
