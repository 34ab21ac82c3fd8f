// The way of the data, one stage after the other.
#pragma once

#include "cli/file_source.hpp"
#include "cli/inputs.hpp"
#include "cli/settings.hpp"

#include <functional>
#include <thresh/batch/batch.hpp>
#include <thresh/rules/judge.hpp>
#include <thresh/rules/ruleset.hpp>
#include <thresh/summary/tables.hpp>

namespace thresh::cli {

// Everything up to the judged season.
struct Prepared {
    FoundInputs found;
    rules::Ruleset rules;
    batch::Batch batch;
    rules::Judgement judgement;
    unsigned threads = 1;

    summary::Season season() const { return {batch, judgement, rules, threads}; }
};

// Errors: rules, lists, options, no export found. A refused export is not one: the others go on. `when_read`
// is called once the exports have been read, before they are put in order: for work on them that goes on
// beside.
Result<Prepared> prepare(const Settings& settings,
                         const std::function<void(const Prepared& so_far)>& when_read = {});

// The rules in force for these settings.
Result<rules::Ruleset> load_rules(const Settings& settings);

unsigned thread_count(const Settings& settings);

} // namespace thresh::cli
