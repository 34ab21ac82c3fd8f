// The rules in force, what a rules file sets, and a file to begin with.
#include "cli/commands.hpp"
#include "cli/file_source.hpp"
#include "cli/output.hpp"
#include "cli/pipeline.hpp"
#include "cli/table_command.hpp"

#include <filesystem>
#include <fmt/format.h>
#include <thresh/rules/rules_text.hpp>

namespace thresh::cli {

namespace {

int written(const Settings& settings, const std::string& text) {
    auto output = open_output(settings.output);
    if (!output)
        return failed(settings, output.error());
    (*output)->write(text);
    const auto finished = (*output)->finish();
    return finished ? kDone : failed(settings, finished.error());
}

} // namespace

int command_rules_show(const Settings& settings) {
    const auto rules = load_rules(settings);
    if (!rules)
        return failed(settings, rules.error());
    if (const auto apart = check_not_read(settings.output, rules->files); !apart)
        return failed(settings, apart.error());
    return written(settings, rules::show_rules(*rules));
}

int command_rules_check(const Settings& settings, const std::vector<std::string>& files) {
    const auto checked = rules::check_rules(files, read_text);
    return checked ? written(settings, rules::to_text(*checked)) : failed(settings, checked.error());
}

int command_rules_start(const Settings& settings) {
    std::error_code error;
    if (settings.output && std::filesystem::is_regular_file(*settings.output, error))
        return failed(settings, {"there is a file of that name, which may hold somebody's rules",
                                 "choose another name with -o, or move it away", *settings.output, 0, 0});
    return written(settings, rules::starter_rules());
}

} // namespace thresh::cli
