// run.json and datapackage.json: what a results folder followed from, and what its files hold. Neither holds
// a clock, a host name or a number of threads: the same inputs give the same bytes.
#pragma once

#include <thresh/summary/tables.hpp>

#include <cstdint>
#include <span>
#include <string>
#include <utility>
#include <vector>

namespace thresh::report {

struct RunInput {
    std::string role;   // export, samples, decisions, reference, rules
    std::string source; // as in tables
    std::string sha256; // hexadecimal
    std::uint64_t bytes = 0;
};

struct RunFacts {
    std::string version;                                        // of thresh
    std::vector<std::pair<std::string, std::string>> libraries; // name, version
    std::vector<std::string> options;                           // that change results, as given
    std::vector<RunInput> inputs;
    std::vector<std::string> left_for_next_time;              // sources that --settle passed over
    std::string rules;                                        // the rules in force, as text
    std::vector<std::pair<std::string, std::string>> results; // file name, SHA-256
};

// Keys: thresh, libraries, options, inputs, left_for_next_time (where there is any), rules, accounting
// {"total": {...}, "files": [{"source": ...}]}, results. Counts have the words of the contract as keys.
std::string run_json(const RunFacts& facts, const summary::Accounting& accounting);

// A Frictionless tabular data package (v1) that describes `file` for each table: name, type, unit,
// description of every column.
struct PackagedTable {
    std::string file; // lines.csv
    const summary::Table* table = nullptr;
};
std::string data_package(std::span<const PackagedTable> tables, const std::string& version);

} // namespace thresh::report
