// Two columns under one meaning: with the same data the first is used and the second told; with different
// data nobody can say which is right, so a number column is doubtful and a text column is told.
#include "intake/settle.hpp"

#include <fmt/format.h>

namespace thresh::intake {

void settle_repeats(TableData& table, const ConstituentTable& constituents, std::vector<IntakeNote>& notes) {
    const TablePlan& plan = table.plan;
    for (std::size_t r = 0; r < plan.repeats.size(); ++r) {
        std::size_t differ = 0;
        std::uint32_t line = 0;
        for (const Part& part : table.parts) {
            if (differ == 0 && part.repeats_differ[r] > 0)
                line = part.repeats_line[r];
            differ += part.repeats_differ[r];
        }
        const Repeat& repeat = plan.repeats[r];
        const std::uint32_t first =
            repeat.number ? plan.numbers[*repeat.number].position : *plan.text_position(*repeat.field);
        const std::string both =
            fmt::format("`{}` (column {}) and `{}` (column {}) both hold {}", plan.table->headings[first],
                        first + 1, plan.table->headings[repeat.position], repeat.position + 1,
                        repeat.number ? constituents[plan.table->numbers[*repeat.number].constituent].title
                                      : std::string(field_info(*repeat.field).name));
        const std::string help = leave_out(plan.table->headings, repeat.position);
        if (differ == 0) {
            notes.push_back(column_note(table, repeat.position, "heading-repeated", false,
                                        both + ", with the same data", help));
            continue;
        }
        const std::string used = repeat.number ? "; none is used" : "; the first is used";
        notes.push_back(column_note(table, repeat.position, "heading-repeated", true,
                                    fmt::format("{}, and differ in {} row{}, first on line {}{}", both,
                                                differ, differ == 1 ? "" : "s", line, used),
                                    help));
        if (repeat.number)
            make_doubtful(table, *repeat.number);
    }
}

} // namespace thresh::intake
