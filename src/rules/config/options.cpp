// Command-line settings over the rules in force.
#include <thresh/core/nearest.hpp>
#include <thresh/rules/options.hpp>

#include "rules/config/check.hpp"

#include <thresh/rules/catalogue.hpp>

#include <fmt/format.h>

namespace thresh::rules {

Result<void> set_severity(Ruleset& rules, std::string_view text) {
    const std::size_t equals = text.find('=');
    if (equals == std::string_view::npos)
        return fail(fmt::format("`--severity {}` names no level", text),
                    "write --severity CODE=LEVEL, such as --severity above-expected=note");
    const std::string code(text.substr(0, equals));
    const std::string_view word = text.substr(equals + 1);
    if (!code_index(code)) {
        std::vector<std::string> codes;
        for (const Declaration& declaration : catalogue())
            codes.emplace_back(declaration.code);
        return fail(fmt::format("`--severity {}`: unknown finding code `{}`", text, code),
                    nearest_hint(code, codes, "codes"));
    }
    const std::optional<Severity> severity = severity_of(word);
    if (!severity)
        return fail(fmt::format("`--severity {}`: unknown level `{}`", text, word),
                    nearest_hint(word, {"off", "note", "review", "exclude"}, "levels"));
    rules.severity_option[code] = *severity;
    return {};
}

} // namespace thresh::rules
