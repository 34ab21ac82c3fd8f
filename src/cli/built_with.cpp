// The libraries' versions are those that the build found; the options are those of `run`.
#include "cli/built_with.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <string_view>

namespace thresh::cli {

std::vector<std::pair<std::string, std::string>> libraries() {
    std::vector<std::pair<std::string, std::string>> all;
    std::string_view rest = THRESH_BUILT_WITH;
    while (!rest.empty()) {
        const std::size_t end = std::min(rest.find('|'), rest.size());
        const std::string_view one = rest.substr(0, end);
        const std::size_t blank = std::min(one.find(' '), one.size());
        all.emplace_back(one.substr(0, blank), one.substr(std::min(one.size(), blank + 1)));
        rest.remove_prefix(std::min(rest.size(), end + 1));
    }
    return all;
}

std::vector<std::string> options_in_force(const Settings& settings) {
    std::vector<std::string> options;
    const std::pair<const char*, const std::optional<std::string>&> given[] = {
        {"assume-basis", settings.assume_basis},
        {"assume-material", settings.assume_material},
        {"basis", settings.basis},
        {"date-format", settings.date_format},
        {"decimal", settings.decimal},
        {"delimiter", settings.delimiter},
        {"digits", settings.digits},
        {"encoding", settings.encoding},
        {"from", settings.from},
        {"material", settings.material},
        {"only", settings.only},
        {"sheet", settings.sheet},
        {"to", settings.to}};
    for (const auto& [name, value] : given)
        if (value)
            options.push_back(fmt::format("--{} {}", name, *value));
    if (settings.trial_model)
        options.emplace_back("--trial-model");
    if (settings.header_row)
        options.push_back(fmt::format("--header-row {}", *settings.header_row));
    std::sort(options.begin(), options.end());
    for (const std::string& text : settings.severity) // in the order given: the last one about a code holds
        options.push_back("--severity " + text);
    return options;
}

} // namespace thresh::cli
