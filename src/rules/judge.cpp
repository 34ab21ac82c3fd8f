// The engine: phases one after the other, the rules of a phase over blocks and samples in parallel, each rule
// and piece with a sink of its own, joined in order; then folding, sorting, marks and verdicts. Which thread
// took a piece cannot be seen in the result.
#include "rules/catalogue_list.hpp"
#include "rules/decide.hpp"
#include "rules/finding_order.hpp"
#include "rules/folding.hpp"
#include "rules/limits.hpp"
#include "rules/presentation.hpp"
#include "rules/repeatability_sd.hpp"
#include "rules/supersede.hpp"
#include "rules/value_marks.hpp"

#include <algorithm>
#include <cassert>
#include <set>
#include <thresh/core/parallel.hpp>
#include <thresh/core/shares.hpp>
#include <thresh/rules/session_findings.hpp>
#include <tuple>
#include <utility>

namespace thresh::rules {

namespace {

constexpr std::uint32_t kSamplesAPiece = 16384;

std::vector<Sink::Setting> settings_of(const ListedRule& listed, const Ruleset& rules) {
    std::vector<Sink::Setting> settings;
    for (const std::uint16_t code : listed.codes) {
        const std::string name(catalogue()[code].code);
        Sink::Setting setting{code, catalogue()[code].severity, false};
        if (const auto at = rules.severity.find(name); at != rules.severity.end())
            setting = {code, at->second, false, true};
        if (const auto at = rules.severity_option.find(name); at != rules.severity_option.end())
            setting = {code, at->second, true, true};
        settings.push_back(setting);
    }
    return settings;
}

// A rule at work: one sink for each piece of the batch, the last for what is checked over the whole.
struct Running {
    const ListedRule* listed;
    std::vector<Sink::Setting> settings;
    std::vector<Sink> sinks;
};

std::vector<Running> rules_of(Phase phase, const Ruleset& rules, std::size_t pieces) {
    std::vector<Running> running;
    for (const ListedRule& listed : listed_rules()) {
        if (listed.rule->declarations().front().phase != phase)
            continue;
        std::vector<Sink::Setting> settings = settings_of(listed, rules);
        if (std::all_of(settings.begin(), settings.end(),
                        [](const Sink::Setting& s) { return s.severity == Severity::off; }))
            continue;
        running.push_back({&listed, std::move(settings), {}});
    }
    for (Running& r : running) // settings stay where they are from here on
        r.sinks.assign(pieces + 1, Sink(r.settings));
    return running;
}

// Moves the texts of a rule's findings behind those that are kept already.
void keep_texts(Running& rule, std::vector<std::string>& kept) {
    if (!rule.listed->rule->has_texts())
        return;
    for (Sink& sink : rule.sinks) {
        const auto shift = static_cast<std::uint32_t>(kept.size());
        for (Finding& finding : sink.findings)
            if (finding.detail != kNone)
                finding.detail += shift;
        kept.insert(kept.end(), std::make_move_iterator(sink.texts.begin()),
                    std::make_move_iterator(sink.texts.end()));
    }
}

// All findings of the rules, in order. Those about the rows of a block are put in order block by block, side
// by side; what was found by samples or over the whole, mostly little, is dealt out to the blocks first.
std::vector<Finding> join(std::vector<Running>& running, const std::vector<Block>& blocks, unsigned threads) {
    std::vector<std::vector<Finding>> of_block(blocks.size());
    std::vector<Finding> others; // not about a row
    for (Running& r : running)
        for (std::size_t piece = blocks.size(); piece < r.sinks.size(); ++piece) {
            for (const Finding& f : r.sinks[piece].findings) {
                if (group_of(f) != FindingGroup::reading || f.row == kNone) {
                    others.push_back(f);
                    continue;
                }
                const auto behind = std::partition_point(blocks.begin(), blocks.end(),
                                                         [&](const Block& b) { return b.first <= f.row; });
                of_block[static_cast<std::size_t>(behind - blocks.begin()) - 1].push_back(f);
            }
            std::vector<Finding>().swap(r.sinks[piece].findings);
        }
    parallel_for(blocks.size(), threads, [&](std::size_t block) {
        std::vector<std::vector<Finding>> found = {std::move(of_block[block])};
        for (Running& r : running)
            found.push_back(std::move(r.sinks[block].findings));
        of_block[block] = by_rows(found, blocks[block].first, blocks[block].rows);
    });
    sort_findings(others, threads);
    // Room for the fewer ones of later phases: memory that is not used yet is not taken yet.
    std::size_t all = others.size();
    for (const std::vector<Finding>& found : of_block)
        all += found.size();
    std::vector<Finding> joined;
    joined.reserve(all + all / 4);
    for (std::vector<Finding>& found : of_block) {
        joined.insert(joined.end(), found.begin(), found.end());
        std::vector<Finding>().swap(found);
    }
    joined.insert(joined.end(), others.begin(), others.end());
    return joined;
}

// Lets the rules look at a block one after the other, at so many rows at once as stay in a processor's own
// cache. A function of its own also for those who measure (tests/bench/profile).
[[gnu::noinline]] void check_block(std::vector<Running>& running, const Evidence& evidence, std::size_t block,
                                   Phase phase, ReadyMade& ready) {
    constexpr std::size_t kRowsAtOnce = 4096;
    const Block& about = evidence.batch.readings.blocks[block];
    Evidence here = evidence;
    here.ready = &ready;
    for (std::size_t first = 0; first < about.rows; first += kRowsAtOnce) {
        const std::size_t last = std::min(about.rows, first + kRowsAtOnce);
        OtherRows others;
        if (phase == Phase::reading) {
            others = other_rows(here, about, first, last);
            here.others = &others;
        }
        for (Running& r : running)
            r.listed->rule->check_rows(here, about, first, last, r.sinks[block]);
    }
}

// All rules of a phase side by side: none sees what the others find.
std::vector<Finding> run_phase(Phase phase, const Evidence& evidence, Judgement& made, unsigned threads) {
    const auto& blocks = evidence.batch.readings.blocks;
    const auto samples = static_cast<std::uint32_t>(evidence.batch.samples.size());
    const std::size_t pieces = blocks.size() + (samples + kSamplesAPiece - 1) / kSamplesAPiece;
    std::vector<Running> running = rules_of(phase, evidence.rules, pieces);
    // What is checked over the whole batch takes longest, so it begins first; a block stays in a thread's
    // cache while one rule after the other goes through it.
    std::vector<ReadyMade> ready(std::max(1U, threads)); // of each thread
    parallel_for_threads(running.size() + blocks.size() + running.size() * (pieces - blocks.size()), threads,
                         [&](std::size_t i, std::size_t thread) {
                             if (i < running.size()) {
                                 running[i].listed->rule->check_batch(evidence, running[i].sinks.back());
                                 return;
                             }
                             i -= running.size();
                             if (i < blocks.size()) {
                                 check_block(running, evidence, i, phase, ready[thread]);
                                 return;
                             }
                             i -= blocks.size();
                             const std::size_t piece = i / running.size();
                             Running& r = running[i % running.size()];
                             const auto first = static_cast<std::uint32_t>(piece * kSamplesAPiece);
                             r.listed->rule->check_samples(evidence, first,
                                                           std::min(samples, first + kSamplesAPiece),
                                                           r.sinks[blocks.size() + piece]);
                         });
    for (Running& r : running) {
        keep_texts(r, made.details);
        for (const Sink& sink : r.sinks)
            made.session_marks.insert(made.session_marks.end(), sink.marks.begin(), sink.marks.end());
        if (r.listed->rule->folds())
            fold(r.sinks, evidence, made.details);
    }
    return join(running, blocks, threads);
}

Verdict as_verdict(Severity severity) {
    switch (severity) {
    case Severity::exclude:
        return Verdict::exclude;
    case Severity::review:
        return Verdict::review;
    default:
        return Verdict::use;
    }
}

// Raises the verdicts of the seed readings that a finding is about.
void raise(const Finding& finding, const batch::Batch& batch, const Ruleset& rules,
           std::vector<Verdict>& verdict) {
    const Verdict at_least = as_verdict(finding.severity);
    if (finding.settled || at_least == Verdict::use)
        return;
    const auto lift = [&](RowId row) {
        if (batch.kind[row] == Kind::seed)
            verdict[row] = std::max(verdict[row], at_least);
    };
    switch (finding.about) {
    case About::reading:
        lift(finding.row);
        break;
    case About::sample:
        // What was found about a constituent was found among readings of one material.
        for (const RowId row : batch.rows_of(finding.subject))
            if (finding.constituent == kNoConstituent || finding.row == kNone ||
                batch.material[row] == batch.material[finding.row])
                lift(row);
        break;
    case About::session:
        // A session finding about one constituent (a control) marks values, not whole readings.
        if (about_one_constituent(finding, rules))
            break;
        for (const RowId row : batch.sessions[finding.subject].rows)
            lift(row);
        break;
    default:
        break; // values, lines, columns and files do not change a reading's verdict
    }
}

// The same of all findings of a phase. No row is of two stretches.
void raise_all(const std::vector<Finding>& found, const batch::Batch& batch, const Ruleset& rules,
               std::vector<Verdict>& verdict, unsigned threads) {
    const auto stretches = row_stretches(found, threads);
    parallel_for(stretches.size(), threads, [&](std::size_t s) {
        for (const Finding& finding : stretches[s])
            raise(finding, batch, rules, verdict);
    });
    const std::size_t about_rows = of_group(found, FindingGroup::reading).size();
    for (const Finding& finding : std::span(found).subspan(about_rows))
        raise(finding, batch, rules, verdict);
}

// A session finding that a person settled marks nothing.
void drop_settled_marks(const std::vector<Finding>& found, Judgement& made) {
    std::set<std::tuple<std::uint16_t, RowId, ConstituentId>> settled;
    for (const Finding& f : of_group(found, FindingGroup::session))
        if (f.settled)
            settled.emplace(f.code, f.row, f.constituent);
    std::erase_if(made.session_marks, [&](const Judgement::SessionMark& m) {
        return settled.contains({m.code, m.cause, m.mark.constituent});
    });
}

} // namespace

Judgement judge(const batch::Batch& batch, const Ruleset& rules, unsigned threads) {
    Judgement made;
    made.verdict.assign(batch.kind.size(), Verdict::use);
    made.shares = shares_in_results(batch.readings, rules.constituents);
    made.index_marks(batch.kind.size(), threads);
    drop_readings(batch, rules, made);
    std::optional<KeyValues> key_values;
    for (const Phase phase : {Phase::intake, Phase::reading, Phase::queue, Phase::repeats, Phase::session,
                              Phase::drift, Phase::line, Phase::decisions}) {
        std::optional<RepeatEvidence> repeats;
        std::vector<std::pair<RowId, Verdict>> replaced;
        if (phase == Phase::repeats) {
            // A re-read sample is not sent back for differing from the reading that its re-reading replaces.
            // The verdict comes later: the session of the re-reading may still turn out unsound.
            for (const RowId row : replaced_readings(batch, rules, made))
                replaced.emplace_back(row, std::exchange(made.verdict[row], Verdict::superseded));
            key_values.emplace(batch, rules, made);
            repeats.emplace(Evidence{batch, rules, made, nullptr, &*key_values});
            made.repeatability_sd = repeats->in_force;
        }
        if (phase == Phase::drift)
            key_values->follow(batch, made.verdict, threads);
        if (phase > Phase::drift)
            key_values.reset();
        const Evidence evidence{batch, rules, made, repeats ? &*repeats : nullptr,
                                key_values ? &*key_values : nullptr};
        const std::size_t session_marks = made.session_marks.size();
        std::vector<Finding> of_phase = run_phase(phase, evidence, made, threads);
        for (const auto& [row, verdict] : replaced)
            made.verdict[row] = verdict;
        keep_findings(of_phase, batch, rules, made);
        drop_settled_marks(of_phase, made);
        raise_all(of_phase, batch, rules, made.verdict, threads);
        // What is dropped is so from the beginning; later, marks change with findings about readings (the
        // first of a phase) and sessions only, and with readings that another one replaced.
        bool marks_change = phase == Phase::intake || made.session_marks.size() != session_marks ||
                            (!of_phase.empty() && group_of(of_phase.front()) == FindingGroup::reading);
        if (of_phase.size() > made.findings.size()) // the fewer ones are copied
            std::swap(of_phase, made.findings);
        const std::size_t before = made.findings.size();
        made.findings.insert(made.findings.end(), of_phase.begin(), of_phase.end());
        merge_findings(made.findings, before);
        if (phase == Phase::session) {
            const bool superseded = supersede(batch, rules, made);
            const bool outranked = choose_presentation(batch, rules, made);
            marks_change = marks_change || superseded || outranked;
        }
        if (marks_change)
            make_marks(made, batch.kind.size(), threads);
    }
    std::ranges::stable_sort(made.session_marks, {},
                             [](const auto& of_session) { return of_session.mark.row; });
    made.by_row = index_by(made.findings, batch.kind.size(), FindingGroup::reading, threads);
    made.by_sample = index_by(made.findings, batch.samples.size(), FindingGroup::sample, threads);
    made.by_session = index_by(made.findings, batch.sessions.size(), FindingGroup::session, threads);
    made.by_line = index_by(made.findings, batch.lines.size(), FindingGroup::line, threads);
    return made;
}

FindingText describe(const Finding& finding, const Judgement& judgement, const batch::Batch& batch,
                     const Ruleset& rules) {
    const Owner owner = owner_of(finding.code);
    FindingText text;
    if (owner.rule->folds() && finding.about == About::file)
        text.message = judgement.details[finding.detail];
    else
        text = owner.rule->describe(owner.which, finding, {batch, rules, judgement});
    if (text.action.empty())
        text.action = finding.about == About::file && owner.rule->folds()
                          ? "look at the limit, set it in the rules file"
                          : std::string(to_text(catalogue()[finding.code].action));
    return text;
}

} // namespace thresh::rules
