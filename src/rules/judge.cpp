// The engine: phases one after the other, the rules of a phase over blocks and samples in parallel, each rule
// and piece with a sink of its own, joined in order; then folding, sorting, marks and verdicts. Which thread
// took a piece cannot be seen in the result.
#include "rules/catalogue_list.hpp"
#include "rules/decide.hpp"
#include "rules/folding.hpp"
#include "rules/presentation.hpp"
#include "rules/repeatability_sd.hpp"
#include "rules/supersede.hpp"

#include <algorithm>
#include <cassert>
#include <set>
#include <thresh/core/parallel.hpp>
#include <tuple>

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

// Moves a sink's findings and texts to the end of the judgement's.
void take(Sink& sink, bool has_texts, std::vector<Finding>& findings, std::vector<std::string>& texts) {
    const auto shift = static_cast<std::uint32_t>(texts.size());
    for (Finding& finding : sink.findings)
        if (has_texts && finding.detail != kNone)
            finding.detail += shift;
    findings.insert(findings.end(), sink.findings.begin(), sink.findings.end());
    std::vector<Finding>().swap(sink.findings);
    texts.insert(texts.end(), std::make_move_iterator(sink.texts.begin()),
                 std::make_move_iterator(sink.texts.end()));
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

// All rules of a phase side by side: none sees what the others find.
std::vector<Finding> run_phase(Phase phase, const Evidence& evidence, Judgement& made, unsigned threads) {
    const auto& blocks = evidence.batch.readings.blocks;
    const auto samples = static_cast<std::uint32_t>(evidence.batch.samples.size());
    const std::size_t pieces = blocks.size() + (samples + kSamplesAPiece - 1) / kSamplesAPiece;
    std::vector<Running> running = rules_of(phase, evidence.rules, pieces);
    parallel_for(running.size() * pieces, threads, [&](std::size_t i) {
        const std::size_t piece = i / running.size();
        Running& r = running[i % running.size()];
        if (piece < blocks.size()) {
            r.listed->rule->check_rows(evidence, blocks[piece], 0, blocks[piece].rows, r.sinks[piece]);
            return;
        }
        const auto first = static_cast<std::uint32_t>((piece - blocks.size()) * kSamplesAPiece);
        r.listed->rule->check_samples(evidence, first, std::min(samples, first + kSamplesAPiece),
                                      r.sinks[piece]);
    });
    parallel_for(running.size(), threads, [&](std::size_t i) {
        running[i].listed->rule->check_batch(evidence, running[i].sinks.back());
    });
    // They are too many to let the array grow, now or when later phases add their fewer ones: memory that is
    // not used yet is not taken yet.
    std::size_t all = 0;
    for (const Running& r : running)
        for (const Sink& sink : r.sinks)
            all += sink.findings.size();
    std::vector<Finding> of_phase;
    of_phase.reserve(all + all / 4);
    for (Running& r : running) {
        const std::size_t first = of_phase.size();
        for (Sink& sink : r.sinks) {
            take(sink, r.listed->rule->has_texts(), of_phase, made.details);
            made.session_marks.insert(made.session_marks.end(), sink.marks.begin(), sink.marks.end());
        }
        if (r.listed->rule->folds())
            fold(of_phase, first, evidence, made.details);
    }
    return of_phase;
}

// Reading findings first (row, constituent, code), then sessions, samples, lines, files.
int group_of(const Finding& f) {
    switch (f.about) {
    case About::value:
    case About::reading:
        return 0;
    case About::session:
        return 1;
    case About::sample:
        return 2;
    case About::line:
        return 3;
    default:
        return 4;
    }
}

bool canonical_less(const Finding& a, const Finding& b) {
    // Group and place, constituent and code, row and detail: three numbers, because a season has hundreds of
    // thousands of findings.
    const auto place = [](const Finding& f) {
        const auto group = static_cast<std::uint64_t>(group_of(f));
        return group << 32 | (group == 0 ? f.row : f.subject);
    };
    if (const std::uint64_t at = place(a), other = place(b); at != other)
        return at < other;
    const auto what = [](const Finding& f) {
        // No constituent comes first: what is about the whole reading stands before its values.
        const std::uint32_t constituent = f.constituent == kNoConstituent ? 0U : f.constituent + 1U;
        return constituent << 16 | f.code;
    };
    const auto rest = [](const Finding& f) { return std::uint64_t{f.row} << 32 | f.detail; };
    return std::pair(what(a), rest(a)) < std::pair(what(b), rest(b));
}

// Puts findings about the same place in order; rules meet a row's constituents in the order of its columns.
void sort_places(std::vector<Finding>& findings) {
    const auto place = [](const Finding& f) { return std::tuple(group_of(f), f.row, f.subject); };
    for (auto first = findings.begin(), last = first; first != findings.end(); first = last) {
        for (last = first + 1; last != findings.end() && place(*last) == place(*first);)
            ++last;
        if (last - first > 1 && !std::is_sorted(first, last, canonical_less))
            std::sort(first, last, canonical_less);
    }
}

// Each rule's findings come in order of rows, and often only one rule found anything: what is in order
// already is only merged.
void sort_findings(std::vector<Finding>& findings, unsigned threads) {
    constexpr std::size_t kManyRuns = 200;
    sort_places(findings);
    std::vector<std::vector<Finding>::iterator> runs = {findings.begin()};
    while (runs.back() != findings.end() && runs.size() < kManyRuns)
        runs.push_back(std::is_sorted_until(runs.back(), findings.end(), canonical_less));
    if (runs.back() != findings.end()) {
        parallel_sort(findings, threads, canonical_less);
        return;
    }
    for (; runs.size() > 2; std::erase(runs, std::vector<Finding>::iterator())) {
        parallel_for((runs.size() - 1) / 2, threads, [&](std::size_t pair) {
            std::inplace_merge(runs[2 * pair], runs[2 * pair + 1], runs[2 * pair + 2], canonical_less);
            runs[2 * pair + 1] = {}; // between the two no more
        });
    }
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

bool about_one_constituent(const Finding& finding, const Ruleset& rules) {
    return finding.constituent != kNoConstituent &&
           rules.constituents[finding.constituent].group != Group::instrument;
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
        for (const RowId row : batch.rows_of(finding.subject))
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

Judgement::Index index_by(const std::vector<Finding>& findings, std::size_t count, bool rows, About about) {
    Judgement::Index index;
    index.begin.assign(count + 1, 0);
    const auto place = [&](const Finding& f) -> std::uint32_t {
        if (rows)
            return group_of(f) == 0 ? f.row : kNone;
        return f.about == about ? f.subject : kNone;
    };
    for (const Finding& f : findings)
        if (place(f) != kNone)
            ++index.begin[place(f) + 1];
    for (std::size_t i = 0; i < count; ++i)
        index.begin[i + 1] += index.begin[i];
    index.items.resize(index.begin.back());
    std::vector<std::uint32_t> next(index.begin.begin(), index.begin.end() - 1);
    for (std::uint32_t i = 0; i < findings.size(); ++i)
        if (place(findings[i]) != kNone)
            index.items[next[place(findings[i])]++] = i;
    return index;
}

// A session finding that a person settled marks nothing.
void drop_settled_marks(const std::vector<Finding>& found, Judgement& made) {
    std::set<std::pair<RowId, ConstituentId>> settled;
    for (const Finding& f : found)
        if (f.about == About::session && f.settled)
            settled.emplace(f.row, f.constituent);
    std::erase_if(made.session_marks, [&](const Judgement::SessionMark& m) {
        return settled.contains({m.cause, m.mark.constituent});
    });
}

void make_marks(Judgement& made, std::size_t rows) {
    made.marks.clear();
    made.marks.reserve(made.session_marks.size() + made.findings.size());
    for (const Judgement::SessionMark& of_session : made.session_marks)
        made.marks.push_back(of_session.mark);
    for (const Finding& f : made.findings)
        if (f.about == About::value && !f.settled && f.severity >= Severity::review)
            made.marks.push_back(
                {f.row, f.constituent, f.severity == Severity::exclude ? Mark::exclude : Mark::review});
    for (const Judgement::Drop& drop : made.dropped)
        if (drop.constituent != kNoConstituent)
            made.marks.push_back({drop.row, drop.constituent, Mark::exclude});
    // Of several marks of a value the strongest stays.
    const auto key = [](const Judgement::ValueMark& m) { return std::pair(m.row, m.constituent); };
    const auto stronger_first = [&](const auto& a, const auto& b) {
        return std::pair(key(a), b.mark) < std::pair(key(b), a.mark);
    };
    if (!std::is_sorted(made.marks.begin(), made.marks.end(), stronger_first))
        std::sort(made.marks.begin(), made.marks.end(), stronger_first);
    made.marks.erase(std::unique(made.marks.begin(), made.marks.end(),
                                 [&](const auto& a, const auto& b) { return key(a) == key(b); }),
                     made.marks.end());
    made.index_marks(rows);
}

} // namespace

Judgement judge(const batch::Batch& batch, const Ruleset& rules, unsigned threads) {
    Judgement made;
    made.verdict.assign(batch.kind.size(), Verdict::use);
    made.row_flags.assign(batch.kind.size(), 0);
    drop_readings(batch, rules, made);
    std::optional<KeyValues> key_values;
    for (const Phase phase : {Phase::intake, Phase::reading, Phase::queue, Phase::repeats, Phase::session,
                              Phase::drift, Phase::line, Phase::decisions}) {
        std::optional<RepeatEvidence> repeats;
        if (phase == Phase::repeats) {
            key_values.emplace(batch, rules, made);
            repeats.emplace(Evidence{batch, rules, made, nullptr, &*key_values});
            made.repeatability_sd = repeats->in_force;
        }
        if (phase > Phase::drift)
            key_values.reset();
        const Evidence evidence{batch, rules, made, repeats ? &*repeats : nullptr,
                                key_values ? &*key_values : nullptr};
        std::vector<Finding> of_phase = run_phase(phase, evidence, made, threads);
        keep_findings(of_phase, batch, rules, made);
        drop_settled_marks(of_phase, made);
        for (const Finding& finding : of_phase)
            raise(finding, batch, rules, made.verdict);
        sort_findings(of_phase, threads);
        const auto before = static_cast<std::ptrdiff_t>(made.findings.size());
        const bool any = !of_phase.empty();
        if (made.findings.empty())
            made.findings = std::move(of_phase);
        else
            made.findings.insert(made.findings.end(), of_phase.begin(), of_phase.end());
        std::inplace_merge(made.findings.begin(), made.findings.begin() + before, made.findings.end(),
                           canonical_less);
        if (phase == Phase::session) {
            supersede(batch, rules, made);
            choose_presentation(batch, rules, made); // adds findings
            sort_findings(made.findings, threads);
        }
        // Dropped values, superseded readings and decisions change them without a finding of the phase.
        if (any || phase == Phase::intake || phase == Phase::session || phase == Phase::decisions)
            make_marks(made, batch.kind.size());
    }
    struct Wanted {
        Judgement::Index* index;
        std::size_t count;
        About about;
    };
    const Wanted indices[] = {{&made.by_row, batch.kind.size(), About::reading},
                              {&made.by_sample, batch.samples.size(), About::sample},
                              {&made.by_session, batch.sessions.size(), About::session},
                              {&made.by_line, batch.lines.size(), About::line}};
    parallel_for(std::size(indices), threads, [&](std::size_t i) {
        const Wanted& wanted = indices[i];
        *wanted.index = index_by(made.findings, wanted.count, wanted.about == About::reading, wanted.about);
    });
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
