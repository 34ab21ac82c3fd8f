// What a finding means, why it matters, what to do, where the limit comes from.
#include "cli/commands.hpp"
#include "cli/output.hpp"
#include "cli/table_command.hpp"

#include <fmt/format.h>
#include <thresh/core/nearest.hpp>
#include <thresh/rules/catalogue.hpp>

namespace thresh::cli {

namespace {

std::string explained(const rules::Declaration& d) {
    return fmt::format(
        "{} ({}, about a {})\n  what       {}\n  why        {}\n  what to do {}\n  limit      {}\n", d.code,
        to_text(d.severity), to_text(d.about), d.title, d.why, d.what_to_do, d.limit);
}

} // namespace

int command_explain(const std::vector<std::string>& codes, const std::string&) {
    std::vector<std::string> names;
    for (const auto& declared : rules::catalogue())
        names.emplace_back(declared.code);
    std::string text;
    if (codes.empty()) {
        std::size_t width = 0;
        for (const std::string& name : names)
            width = std::max(width, name.size());
        for (const auto& d : rules::catalogue())
            text += fmt::format("{:<{}}  {:<7}  {}\n", d.code, width, to_text(d.severity), d.title);
    }
    for (const std::string& code : codes) {
        const auto index = rules::code_index(code);
        if (!index)
            return failed(
                {},
                Error{fmt::format("there is no finding `{}`", code), nearest_hint(code, names), {}, 0, 0});
        if (!text.empty())
            text += '\n';
        text += explained(rules::catalogue()[*index]);
    }
    auto output = open_output(std::nullopt);
    (*output)->write(text);
    const auto finished = (*output)->finish();
    return finished ? kDone : failed({}, finished.error());
}

} // namespace thresh::cli
