// What a rule is: it declares its codes, walks over one scope and drops findings into a sink. Each rule is
// one file of this folder and one line in catalogue.cpp.
#pragma once

#include <thresh/batch/batch.hpp>
#include <thresh/core/finding.hpp>
#include <thresh/rules/catalogue.hpp>
#include <thresh/rules/judge.hpp>
#include <thresh/rules/ruleset.hpp>

#include <algorithm>
#include <cassert>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace thresh::rules {

// Rows of a block, in order, that are not known to be plain: of all others it is certain that no rule calls
// a value impossible, unexpected or outside its calibration and that no moisture is missing where there is a
// column for it; or that no sum is off.
struct OtherRows {
    std::vector<std::uint32_t> rows;
    std::vector<std::uint32_t> sums;
    bool sums_told = true; // false: `sums` means nothing
};

class KeyValues;
class ReadyMade;
struct RepeatEvidence;

// What a rule may look at. `so_far` holds the verdicts and findings of earlier phases, never of its own.
struct Evidence {
    const batch::Batch& batch;
    const Ruleset& rules;
    const Judgement& so_far;
    const RepeatEvidence* repeats = nullptr; // only while rules of the phase `repeats` check
    // From the phase `repeats` to `drift`. Marks are those of the beginning of `repeats`; what was excluded
    // since has no material from the beginning of `drift` on.
    const KeyValues* key_values = nullptr;
    const OtherRows* others = nullptr; // in check_rows(), of the rows it looks at, where they are known
    ReadyMade* ready = nullptr;        // in check_rows(), of the thread; null: nothing is kept
};

// The column of a constituent, unless its values are a share of something else than in results: comparing
// them with others would tell nothing.
inline std::optional<std::size_t> comparable_column(const Judgement& so_far, const TableColumns& table,
                                                    ConstituentId id) {
    const auto column = table.find(id);
    const bool other = column && table.numbers[*column].part_of != so_far.shares[id];
    return other ? std::nullopt : column;
}

// What a message says behind a comparable value (ComparableValues): moisture and shares of the oil or of the
// protein are compared as read.
inline std::string_view on_dry_matter(const Evidence& evidence, ConstituentId id) {
    return evidence.so_far.shares[id] == PartOf::sample && id != constituent::moisture ? " of dry matter"
                                                                                       : "";
}

// Calls look(row) for the rows of [first, last) that are not known to be plain.
template <typename Look>
void for_other_rows(const Evidence& evidence, std::size_t first, std::size_t last, const Look& look) {
    if (evidence.others == nullptr) {
        for (std::size_t row = first; row < last; ++row)
            look(row);
        return;
    }
    for (const std::uint32_t row : evidence.others->rows) {
        assert(row >= first && row < last);
        look(row);
    }
}

// Collects the findings of one rule. A severity of `off` drops them.
class Sink {
  public:
    // One entry for each of the rule's declarations: its code, its severity after options and rules files,
    // and whether an option forced it, so that an entry's own severity no longer counts.
    struct Setting {
        std::uint16_t code;
        Severity severity;
        bool forced;            // by an option
        bool from_file = false; // by the severity map of a rules file
    };
    explicit Sink(std::span<const Setting> settings) : settings_(settings) {}

    // `which`: index of the declaration. `own`: the severity of the rules entry, when it has one, or a weaker
    // one that the rule itself decides on.
    void value(unsigned which, RowId row, ConstituentId constituent, std::optional<Severity> own = {},
               std::uint32_t detail = kNone) {
        add(which, About::value, row, kNone, constituent, own, detail);
    }
    void reading(unsigned which, RowId row, std::optional<Severity> own = {}, std::uint32_t detail = kNone,
                 ConstituentId constituent = kNoConstituent) {
        add(which, About::reading, row, kNone, constituent, own, detail);
    }
    // About a sample, line, session, file, column (index of the intake note or file) or decision.
    void subject(unsigned which, About about, std::uint32_t subject_index, RowId row = kNone,
                 ConstituentId constituent = kNoConstituent, std::optional<Severity> own = {},
                 std::uint32_t detail = kNone) {
        add(which, about, row, subject_index, constituent, own, detail);
    }
    // A value that the session's finding at `cause` concerns.
    void mark(unsigned which, RowId row, ConstituentId constituent, RowId cause) {
        const Mark mark = severity(which) == Severity::exclude ? Mark::exclude : Mark::review;
        marks.push_back({{row, constituent, mark}, cause, settings_[which].code});
    }
    // Keeps a text for describe(); pass the result as `detail`.
    std::uint32_t keep(std::string text) {
        texts.push_back(std::move(text));
        return static_cast<std::uint32_t>(texts.size() - 1);
    }
    // For a rule that is milder with some constituents as long as nobody said otherwise.
    Severity built_in_or(unsigned which, Severity milder) const {
        return settings_[which].from_file ? settings_[which].severity : milder;
    }
    // For a rule that is milder in some cases, never stronger than what options and files ask.
    Severity at_most(unsigned which, Severity milder) const {
        return std::min(settings_[which].severity, milder);
    }
    Severity severity(unsigned which) const { return settings_[which].severity; }
    bool wants(unsigned which) const { return settings_[which].severity != Severity::off; }

    std::vector<Finding> findings;
    std::vector<Judgement::SessionMark> marks; // of values that a finding about a session concerns
    std::vector<std::string> texts;            // `detail` of findings whose rule says has_texts()

  private:
    void add(unsigned which, About about, RowId row, std::uint32_t subject_index, ConstituentId constituent,
             std::optional<Severity> own, std::uint32_t detail) {
        const Setting& set = settings_[which];
        if (set.severity == Severity::off)
            return;
        const Severity severity = own && !set.forced ? *own : set.severity;
        findings.push_back({set.code, severity, about, constituent, false, row, subject_index, detail});
    }

    std::span<const Setting> settings_;
};

class Rule {
  public:
    virtual ~Rule() = default;
    // All of one phase. `which` in the functions below indexes this list.
    virtual std::span<const Declaration> declarations() const = 0;

    // Rows [first, last) of one block. Called for all blocks, perhaps on several threads.
    virtual void check_rows(const Evidence&, const Block&, std::size_t /*first*/, std::size_t /*last*/,
                            Sink&) const {}
    // Samples [first, last) of the batch.
    virtual void check_samples(const Evidence&, std::uint32_t /*first*/, std::uint32_t /*last*/,
                               Sink&) const {}
    // Once for the whole batch, after the two above.
    virtual void check_batch(const Evidence&, Sink&) const {}

    // Whether too many of these findings mean that the limit does not fit: more than 20 % of a material's
    // readings of one file for one constituent become one finding about the file.
    virtual bool folds() const { return false; }
    // Whether Finding::detail is an index into Judgement::details.
    virtual bool has_texts() const { return false; }

    // A number that findings of one code have in common when their texts differ in nothing but the value,
    // which then is their constituent's number as read. Nothing: the text is this finding's own.
    virtual std::optional<std::uint32_t> shared_text(const Finding&, const Evidence&) const { return {}; }

    virtual FindingText describe(unsigned which, const Finding&, const Evidence&) const = 0;
};

} // namespace thresh::rules
