// Rules for a run: built-in, then the file of --rules, of the working folder or of the user, then options.
#include "cli/file_source.hpp"
#include "cli/pipeline.hpp"

#include <cstdlib>
#include <filesystem>
#include <fmt/format.h>
#include <thresh/core/nearest.hpp>
#include <thresh/core/time_bound.hpp>
#include <thresh/rules/options.hpp>

namespace thresh::cli {

namespace {

constexpr const char* kRulesFile = "thresh.json";

std::vector<std::string> rules_files(const Settings& settings) {
    if (settings.rules)
        return {*settings.rules};
    std::error_code error;
    if (std::filesystem::exists(kRulesFile, error))
        return {kRulesFile};
    std::filesystem::path folder;
    if (const char* config = std::getenv("XDG_CONFIG_HOME"); config != nullptr && *config != '\0')
        folder = config;
    else if (const char* home = std::getenv("HOME"); home != nullptr && *home != '\0')
        folder = std::filesystem::path(home) / ".config";
    if (folder.empty())
        return {};
    const std::filesystem::path file = folder / "thresh" / kRulesFile;
    return std::filesystem::exists(file, error) ? std::vector{file.string()} : std::vector<std::string>{};
}

Result<Time> parse_time(const char* option, const std::string& text) {
    const Time time = time_from_iso(text);
    if (time.missing())
        return fail(fmt::format("{} `{}` is not a time", option, text),
                    "write it as 2026-08-03 or 2026-08-03T07:41");
    return time;
}

} // namespace

Result<rules::Ruleset> load_rules(const Settings& settings) {
    auto rules = rules::load_rules(rules_files(settings), read_text);
    if (!rules)
        return rules;
    for (const std::string& given : settings.severity)
        if (const auto set = rules::set_severity(*rules, given); !set)
            return tl::unexpected(set.error());
    if (settings.basis) {
        const auto basis = parse_basis(*settings.basis);
        if (!basis)
            return tl::unexpected(basis.error());
        rules->basis = *basis;
    }
    const auto& names = rules->batch.material_names;
    for (const auto& [option, name] : {std::pair("--assume-material", settings.assume_material),
                                       std::pair("--material", settings.material)})
        if (name && std::find(names.begin(), names.end(), *name) == names.end())
            return fail(fmt::format("{}: no rules for `{}`", option, *name), nearest_hint(*name, names));
    rules->batch.assume_material = settings.assume_material;
    rules->batch.only_material = settings.material;
    for (const auto& [option, text, into] : {std::tuple("--from", settings.from, &rules->batch.from),
                                             std::tuple("--to", settings.to, &rules->batch.to)}) {
        if (!text)
            continue;
        const auto time = parse_time(option, *text);
        if (!time)
            return tl::unexpected(time.error());
        *into = *time;
    }
    const Time from = rules->batch.from, to = rules->batch.to;
    if (!from.missing() && !to.missing() && from.seconds() > last_second(to))
        return fail(
            fmt::format("--from {} is after --to {}: no reading lies between", *settings.from, *settings.to),
            "exchange the two");
    return rules;
}

} // namespace thresh::cli
