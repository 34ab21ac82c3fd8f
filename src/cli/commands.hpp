// One function a command, each in a file of its own. All return the exit status.
#pragma once

#include "cli/settings.hpp"

#include <string>
#include <vector>

namespace thresh::cli {

inline constexpr int kDone = 0, kFindings = 1, kFailed = 2;

int command_run(const Settings& settings);
int command_lines(const Settings& settings);
int command_samples(const Settings& settings);
int command_readings(const Settings& settings);
int command_findings(const Settings& settings);
int command_todo(const Settings& settings);
int command_trials(const Settings& settings);
int command_pick(const Settings& settings);
int command_agree(const Settings& settings);
int command_drift(const Settings& settings);
int command_trace(const Settings& settings);
int command_inspect(const Settings& settings);

struct BasisSettings {
    std::vector<std::string> values;
    std::string from = "as-is", to = "dry";
    std::optional<std::string> moisture, u, u_moisture, r;
    std::optional<std::string> digits;
};
int command_basis(const BasisSettings& settings);

int command_rules_show(const Settings& settings);
int command_rules_check(const Settings& settings, const std::vector<std::string>& files);
int command_rules_start(const Settings& settings);
int command_explain(const std::vector<std::string>& codes, const std::string& format);

} // namespace thresh::cli
