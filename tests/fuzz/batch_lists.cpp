// Any bytes as a sample list and as decisions, text or workbook: refused with a reason and a place, or read;
// then no sample stands twice, every duplicate has its original, and every decision says what it is about.
#include <thresh/batch/list_reader.hpp>
#include <thresh/intake/list_table.hpp>

#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <set>
#include <string>

using namespace thresh;

namespace {

Result<intake::ListTable> table_of(const intake::Input& input,
                                   const std::vector<batch::ListHeading>& headings,
                                   const std::string& required) {
    std::vector<intake::ListColumn> columns;
    for (const batch::ListHeading& heading : headings)
        columns.push_back({std::string(heading.name), heading.headings});
    return intake::read_list(input, columns, {required}, {});
}

std::vector<batch::TextRow> rows_of(const intake::ListTable& table) {
    std::vector<batch::TextRow> rows;
    for (std::size_t r = 0; r < table.rows.size(); ++r)
        rows.push_back({table.rows[r].line, table.rows[r].sheet,
                        [&table, r](std::size_t known) { return table.cell(r, known); }});
    return rows;
}

void check_refusal(const Error& error) {
    if (error.message.empty() || error.help.empty() || error.file.empty())
        std::abort();
}

void read_samples(const intake::Input& input) {
    const auto table = table_of(input, batch::sample_list_headings(), "sample");
    if (!table)
        return check_refusal(table.error());
    const auto list = batch::make_sample_list(
        input.source, rows_of(*table), [&](std::size_t known) { return table->known[known].has_value(); });
    if (!list)
        return check_refusal(list.error());
    std::set<std::string_view> ids;
    for (std::uint32_t row = 0; row < list->size(); ++row)
        if (const auto id = list->text(row, batch::ListText::sample); id.empty() || !ids.insert(id).second)
            std::abort();
    for (std::uint32_t row = 0; row < list->size(); ++row)
        if (const auto of = list->text(row, batch::ListText::duplicate_of); !of.empty() && !ids.contains(of))
            std::abort();
}

void read_decisions(const intake::Input& input) {
    const auto table = table_of(input, batch::decision_headings(), "decision");
    if (!table)
        return check_refusal(table.error());
    const auto decisions = batch::make_decisions(input.source, rows_of(*table));
    if (!decisions)
        return check_refusal(decisions.error());
    for (const batch::Decision& decision : *decisions)
        if (decision.action == batch::Decision::Action::rename && decision.to.empty())
            std::abort();
}

} // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const intake::Input input{
        "list.csv",
        std::make_shared<intake::MemorySource>(std::string(reinterpret_cast<const char*>(data), size)),
        {}};
    read_samples(input);
    read_decisions(input);
    return 0;
}
