// A season by hand: readings and a sample list, assembled as always, with findings that the test decides.
#pragma once

#include <thresh/core/shares.hpp>
#include <thresh/summary/sample_means.hpp>
#include <thresh/summary/tables.hpp>

#include <algorithm>
#include <fmt/format.h>
#include <map>
#include <memory>
#include <string>
#include <tuple>
#include <vector>

#include "rules/finding_order.hpp"
#include "unit/support/readings_builder.hpp"

namespace thresh::test {

// Holds what a Season refers to.
struct SeasonHolder {
    batch::Batch batch;
    rules::Judgement judgement;
    rules::Ruleset rules;
    unsigned threads = 1;

    summary::Season season() const { return {batch, judgement, rules, threads}; }
    // Call after changing findings, marks or verdicts.
    void index();
    // A finding about the reading at `row` or one of its values, with mark or verdict as its severity asks.
    void find(const std::string& code, Severity severity, RowId row, const std::string& constituent = {});
};

inline void SeasonHolder::index() {
    using rules::FindingGroup;
    std::vector<Finding>& findings = judgement.findings;
    rules::sort_findings(findings, 1);
    judgement.index_marks(batch.kind.size());
    judgement.by_row = rules::index_by(findings, batch.kind.size(), FindingGroup::reading, 1);
    judgement.by_sample = rules::index_by(findings, batch.samples.size(), FindingGroup::sample, 1);
    judgement.by_session = rules::index_by(findings, batch.sessions.size(), FindingGroup::session, 1);
    judgement.by_line = rules::index_by(findings, batch.lines.size(), FindingGroup::line, 1);
}

inline void SeasonHolder::find(const std::string& code, Severity severity, RowId row,
                               const std::string& constituent) {
    Finding finding;
    finding.code = rules::code_index(code).value();
    finding.severity = severity;
    finding.row = row;
    finding.about = constituent.empty() ? About::reading : About::value;
    if (!constituent.empty())
        finding.constituent = rules.constituents.find(constituent).value();
    judgement.findings.push_back(finding);
    if (constituent.empty()) {
        const auto verdict = severity == Severity::exclude  ? Verdict::exclude
                             : severity == Severity::review ? Verdict::review
                                                            : Verdict::use;
        judgement.verdict[row] = std::max(judgement.verdict[row], verdict);
    } else if (severity >= Severity::review) {
        judgement.marks.push_back(
            {row, finding.constituent, severity == Severity::exclude ? Mark::exclude : Mark::review});
    }
    std::sort(judgement.marks.begin(), judgement.marks.end(), [](const auto& a, const auto& b) {
        return std::tie(a.row, a.constituent) < std::tie(b.row, b.constituent);
    });
    index();
}

inline batch::ListEntry entry(std::string sample, std::string line, std::string plot = {},
                              std::string material = {}) {
    batch::ListEntry made;
    made.sample = std::move(sample);
    made.line = std::move(line);
    made.plot = std::move(plot);
    made.material = std::move(material);
    return made;
}

// Materials `soy` (13 %) and `nut` (dry) by their material column; no finding yet.
inline std::unique_ptr<SeasonHolder> make_season(std::vector<Row> rows,
                                                 const std::vector<batch::ListEntry>& entries = {}) {
    auto made = std::make_unique<SeasonHolder>();
    for (const auto& [name, basis] : {std::pair("soy", Basis::at(13)), std::pair("nut", Basis::dry())}) {
        rules::Material material;
        material.name = name;
        material.basis = basis;
        made->rules.materials.push_back(material);
        batch::MaterialCase when;
        when.name = name;
        when.when.material = {name};
        made->rules.batch.materials.push_back(when);
        made->rules.batch.material_names.push_back(name);
    }
    batch::SampleList list;
    if (!entries.empty())
        list.source = "samples.csv";
    for (const batch::ListEntry& one : entries) {
        list.add(one);
        list.has_trial = list.has_trial || !one.trial.empty();
        list.has_plot = list.has_plot || !one.plot.empty();
    }
    made->batch = batch::assemble(make_readings(std::move(rows)), std::move(list), {}, made->rules.batch);
    made->judgement.shares = shares_in_results(made->batch.readings, made->rules.constituents);
    made->judgement.verdict.assign(made->batch.kind.size(), Verdict::use);
    made->index();
    return made;
}

// Rows of a table as maps from column to text; numbers with every digit, provisional ones with `~`.
class MapSink : public summary::RowSink {
  public:
    explicit MapSink(const summary::Table& table) : table_(table) {}
    void begin_row() override {
        rows.emplace_back();
        column_ = 0;
    }
    void text(std::string_view value) override { put(std::string(value)); }
    void integer(std::int64_t value) override { put(std::to_string(value)); }
    void number(double value, summary::Shown shown) override {
        if (shown == summary::Shown::left_out)
            return put(""); // as in files
        numbers[{rows.size() - 1, table_.columns()[column_].name}] = value;
        put((shown == summary::Shown::provisional ? "~" : "") + fmt::format("{}", value));
    }
    void time(Time value) override { put(to_text(value)); }
    void missing() override { put(""); }
    void end_row() override {}

    std::vector<std::map<std::string, std::string>> rows;
    std::map<std::pair<std::size_t, std::string>, double> numbers;

  private:
    void put(std::string value) { rows.back()[table_.columns()[column_++].name] = std::move(value); }
    const summary::Table& table_;
    std::size_t column_ = 0;
};

// The same as a file wants it: nothing tells how a number is shown.
class FileSink final : public MapSink {
  public:
    using MapSink::MapSink;
    bool wants_marks() const override { return false; }
};

inline MapSink rows_of(const summary::Table& table) {
    MapSink sink(table);
    table.write(0, table.rows(), sink);
    return sink;
}

} // namespace thresh::test
