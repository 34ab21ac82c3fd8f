// A season written as a person would see it (exports, list, decisions, rules as text), taken through the
// whole of reading, batch and rules. Tests ask what was told, in words.
#pragma once

#include <thresh/batch/list_reader.hpp>
#include <thresh/intake/exports.hpp>
#include <thresh/intake/list_table.hpp>
#include <thresh/rules/judge.hpp>
#include <thresh/rules/options.hpp>

#include "unit/rules/rules_files.hpp"

#include <fmt/format.h>
#include <string>
#include <utility>
#include <vector>

namespace thresh::test {

struct Written {
    std::vector<std::pair<std::string, std::string>> exports = {}; // name, text
    std::string rules = "{}";
    std::string list = {}, decisions = {};
    std::vector<std::string> severity = {}; // as --severity takes them
    unsigned threads = 1;
};

class Judged {
  public:
    explicit Judged(const Written& written) : rules_(rules::load(written.rules)) {
        for (const std::string& given : written.severity)
            REQUIRE(rules::set_severity(rules_, given));
        intake::ExportOptions options;
        options.columns = rules_.columns;
        std::vector<intake::Input> inputs;
        for (const auto& [name, text] : written.exports)
            inputs.push_back({name, std::make_shared<intake::MemorySource>(text), {}});
        Readings readings = intake::read_exports(std::move(inputs), rules_.constituents, options);
        batch::SampleList list;
        if (!written.list.empty()) {
            const auto table = list_of("list.csv", written.list, batch::sample_list_headings(), "sample");
            list = batch::make_sample_list("list.csv", text_rows(table), [&](std::size_t known) {
                       return table.known[known].has_value();
                   }).value();
        }
        std::vector<batch::Decision> decisions;
        if (!written.decisions.empty()) {
            const auto table =
                list_of("decisions.csv", written.decisions, batch::decision_headings(), "decision");
            decisions = batch::make_decisions("decisions.csv", text_rows(table)).value();
        }
        batch_ = batch::assemble(std::move(readings), std::move(list), std::move(decisions), rules_.batch);
        judgement_ = rules::judge(batch_, rules_, written.threads);
    }

    // Findings of a code, in order, each as `severity SUBJECT` or `severity SUBJECT:constituent`, with `
    // settled` behind it when it is. The subject is a sample's ID, a line's name, a session's label or a
    // file's name.
    std::vector<std::string> told(const std::string& code) const {
        std::vector<std::string> found;
        for (const Finding& f : judgement_.findings)
            if (rules::catalogue()[f.code].code == code)
                found.push_back(fmt::format(
                    "{} {}{}{}", to_text(f.severity), subject(f),
                    f.constituent == kNoConstituent ? "" : ":" + rules_.constituents[f.constituent].name,
                    f.settled ? " settled" : ""));
        return found;
    }
    // What the first finding of a code says; empty when there is none.
    std::string words(const std::string& code) const { return first(code).message; }
    std::string action(const std::string& code) const { return first(code).action; }
    // The verdicts of a sample's readings, in order: "use superseded".
    std::string verdicts(const std::string& sample) const {
        std::string text;
        for (std::uint32_t s = 0; s < batch_.samples.size(); ++s)
            if (batch_.samples[s].id == sample)
                for (const RowId row : batch_.rows_of(s))
                    text += (text.empty() ? "" : " ") + std::string(to_text(judgement_.verdict[row]));
        return text;
    }
    Mark mark(const std::string& sample, ConstituentId constituent) const {
        for (std::uint32_t s = 0; s < batch_.samples.size(); ++s)
            if (batch_.samples[s].id == sample)
                return judgement_.mark(batch_.rows_of(s).front(), constituent);
        FAIL("no sample " + sample);
        return Mark::use;
    }
    const batch::Batch& batch() const { return batch_; }
    const rules::Judgement& judgement() const { return judgement_; }
    const rules::Ruleset& ruleset() const { return rules_; }

  private:
    rules::FindingText first(const std::string& code) const {
        for (const Finding& f : judgement_.findings)
            if (rules::catalogue()[f.code].code == code)
                return rules::describe(f, judgement_, batch_, rules_);
        return {};
    }
    static intake::ListTable list_of(const std::string& name, const std::string& text,
                                     const std::vector<batch::ListHeading>& headings,
                                     const std::string& required) {
        std::vector<intake::ListColumn> columns;
        for (const auto& heading : headings)
            columns.push_back({std::string(heading.name), heading.headings});
        return intake::read_list({name, std::make_shared<intake::MemorySource>(text), {}}, columns,
                                 {required}, {})
            .value();
    }
    static std::vector<batch::TextRow> text_rows(const intake::ListTable& table) {
        std::vector<batch::TextRow> rows;
        for (std::size_t r = 0; r < table.rows.size(); ++r)
            rows.push_back({table.rows[r].line, table.rows[r].sheet,
                            [&table, r](std::size_t known) { return table.cell(r, known); }});
        return rows;
    }
    std::string subject(const Finding& f) const {
        switch (f.about) {
        case About::sample:
            return std::string(batch_.samples[f.subject].id);
        case About::line:
            return std::string(batch_.lines[f.subject].name);
        case About::session:
            return batch_.sessions[f.subject].label;
        case About::value:
        case About::reading:
            return batch_.sample[f.row] == kNone ? fmt::format("row {}", f.row)
                                                 : std::string(batch_.samples[batch_.sample[f.row]].id);
        case About::decision:
            return fmt::format("decision {}", f.subject);
        default:
            return std::string(rules::place_of(f, batch_).source);
        }
    }

    rules::Ruleset rules_;
    batch::Batch batch_;
    rules::Judgement judgement_;
};

using Told = std::vector<std::string>;

// An export of one session of whole soybeans. A row is written `A-1,6.2,37.1,20.4`: sample, moisture,
// protein, oil, all % as read; minutes count up from 08:00 (ten readings in an hour).
inline std::string soybeans(const std::vector<std::string>& rows, const std::string& day = "2026-10-05",
                            const std::string& heading = "Moisture (%),Protein (% as is),Oil (% as is)",
                            const std::string& instrument = "Bench 1") {
    std::string text = "Instrument,Date,Analysis,Sample ID," + heading + "\n";
    int minute = 0;
    for (const std::string& row : rows) {
        text += fmt::format("{},{} {:02}:{:02}:00,Soybean whole,{}\n", instrument, day, 8 + minute / 60,
                            minute % 60, row);
        minute += 6;
    }
    return text;
}

} // namespace thresh::test
