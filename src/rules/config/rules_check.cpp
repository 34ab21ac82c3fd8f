// What rules files set, counted from where the entries in force came from.
#include <thresh/rules/rules_text.hpp>

#include <algorithm>
#include <fmt/format.h>

namespace thresh::rules {

Result<RulesCheck> check_rules(const std::vector<std::string>& files, const ReadFile& read) {
    const Result<Ruleset> rules = load_rules(files, read);
    if (!rules)
        return tl::unexpected<Error>(rules.error());
    RulesCheck check;
    check.materials = rules->materials.size();
    for (const std::string& file : rules->files) {
        if (file == "built-in")
            continue;
        std::map<std::string, std::size_t> counts;
        for (const auto& [path, origin] : rules->origins())
            if (origin.where == file)
                ++counts[path.substr(0, path.find('.'))];
        RulesCheck::File one{file, {}};
        for (const auto& [key, values] : counts)
            one.parts.push_back({key, values});
        check.files.push_back(std::move(one));
    }
    return check;
}

std::string to_text(const RulesCheck& check) {
    std::string text;
    for (const RulesCheck::File& file : check.files) {
        std::size_t values = 0;
        std::vector<std::string> parts;
        for (const RulesCheck::Part& part : file.parts) {
            values += part.values;
            parts.push_back(fmt::format("{} {}", part.key, part.values));
        }
        text += fmt::format("{}: {} value{} in force", file.file, values, values == 1 ? "" : "s");
        text += parts.empty() ? "\n" : fmt::format(": {}\n", fmt::join(parts, ", "));
    }
    return text + fmt::format("{} material{} in all\n", check.materials, check.materials == 1 ? "" : "s");
}

} // namespace thresh::rules
