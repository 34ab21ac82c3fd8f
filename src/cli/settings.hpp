// What the command line said, before anything was opened or decided.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace thresh::cli {

struct Settings {
    std::vector<std::string> exports; // files, folders, `-`

    // Rules and lists.
    std::optional<std::string> rules, samples, decisions, reference;
    std::optional<std::string> basis;
    std::vector<std::string> severity; // CODE=LEVEL
    // Selection.
    std::optional<std::string> material, from, to;
    // Import overrides.
    std::optional<std::string> delimiter, decimal, encoding, date_format, sheet, assume_basis,
        assume_material;
    std::optional<std::uint32_t> header_row;
    // Output.
    std::optional<std::string> format, output, digits, sort;
    std::vector<std::string> where;
    std::optional<std::uint32_t> top;
    std::string color = "auto";
    std::string fail_on = "never";
    bool quiet = false, verbose = false;
    std::optional<std::uint32_t> threads;

    // Of single commands.
    std::optional<std::string> by; // lines
    bool long_form = false, as_read = false;
    std::optional<std::string> into, only; // run
    std::uint32_t settle = 0, keep = 0;
    std::optional<std::string> line, constituent, trial; // trace
    bool trial_model = false, plain = false;             // lines, trials
    std::vector<std::string> effects, checks, lower_is_better;
    std::vector<std::string> cut_offs; // lines, todo
    std::uint32_t best = 0, seed = 1;
    std::uint32_t count = 0; // pick
    std::optional<std::uint32_t> batch, duplicates;
    std::optional<std::string> random_percent, batch_check, code_prefix;
    std::vector<std::string> on;
    bool shipment = false;
    bool between_instruments = false, pairs = false, adjust = false; // agree
    std::optional<std::string> key, valid_from, valid_to;
    std::vector<std::string> sec; // CONSTITUENT=SEC,N,P
};

} // namespace thresh::cli
