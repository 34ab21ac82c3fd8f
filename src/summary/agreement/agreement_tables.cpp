// Words and tables of a comparison with wet chemistry. The advice is that of common practice (at least 20
// samples before a slope is corrected); the reading guide for RPD and RER is that of AACC 39-00 (Williams
// 2001), from memory.
#include <thresh/summary/agreement.hpp>
#include <thresh/summary/columns.hpp>

#include "summary/cells.hpp"
#include "summary/reading_values.hpp"

#include <cmath>
#include <fmt/format.h>

namespace thresh::summary {

namespace {

const char* advice_word(stats::Advice advice) {
    switch (advice) {
    case stats::Advice::too_few:
        return "more samples";
    case stats::Advice::none_needed:
        return "no correction";
    case stats::Advice::subtract_bias:
        return "subtract bias";
    case stats::Advice::slope_and_bias:
        return "correct slope and bias";
    case stats::Advice::slope_unsettled:
        return "more samples before a slope correction";
    case stats::Advice::unrelated:
        return "no correction helps";
    }
    return "";
}

std::string usefulness(const stats::Agreement& a) {
    if (!a.rpd || !a.rer)
        return "the two sides are equal";
    const char* fit = "too coarse to rank these samples";
    if (*a.rpd >= 8 && *a.rer >= 15)
        fit = "fit for any use";
    else if (*a.rpd >= 5 && *a.rer >= 10)
        fit = "fit for quality control";
    else if (*a.rpd >= 2.5 && *a.rer >= 4)
        fit = "fit for screening";
    return fmt::format("RPD {:.1f} over a range of {:.2f} to {:.2f}: {}", *a.rpd, a.reference_min,
                       a.reference_max, fit);
}

std::string correction(const stats::Agreement& a) {
    switch (a.advice) {
    case stats::Advice::too_few:
        return fmt::format("{} pairs: numbers without a verdict; 10 give one with caution, 20 a sound one",
                           a.n);
    case stats::Advice::none_needed:
        return "neither bias nor slope differs from none: leave the values as they are";
    case stats::Advice::subtract_bias:
        return fmt::format("NIR is {} by {:.3f}: subtract the bias, then check with other samples",
                           a.bias > 0 ? "high" : "low", std::fabs(a.bias));
    case stats::Advice::slope_and_bias:
        return fmt::format("the slope differs from 1: where the cause is understood and the samples span the "
                           "range, use {:.4f} + {:.4f} x NIR, then check with other samples",
                           a.line->intercept, a.line->slope);
    case stats::Advice::slope_unsettled:
        return "the slope differs from 1, but fewer than 20 pairs do not support a correction: send more "
               "samples that span the range";
    case stats::Advice::unrelated:
        return fmt::format(
            "the reference does not rise with NIR (slope {:.4f}): no correction mends that; look for "
            "exchanged samples or columns",
            a.line->slope);
    }
    return "";
}

Value sep_without_reference(const AgreementSet& set) {
    if (!set.result || !set.reference_repeatability)
        return {};
    const double sd = set.reference_repeatability->sd;
    const double left = set.result->sep * set.result->sep - sd * sd * set.single_share;
    return left > 0 ? cell(std::sqrt(left)) : Value{};
}

std::string outlying_ids(const Season& season, const AgreementSet& set) {
    std::vector<std::string_view> ids;
    for (const AgreementPair& pair : set.pairs)
        if (pair.outlying)
            ids.push_back(season.batch.samples[pair.sample].id);
    return fmt::format("{}", fmt::join(ids, ";"));
}

std::string note_of(const AgreementSet& set) {
    std::vector<std::string> notes = set.reasons;
    if (set.adjusted)
        notes.emplace_back("the rules in force adjust these NIR values already");
    if (set.results_a_sample > 0 && set.results_a_sample < 1.5)
        notes.emplace_back("most reference values are single results: their error is part of the SEP");
    if (set.result && set.reference_repeatability &&
        set.result->sep < set.reference_repeatability->sd * std::sqrt(set.single_share))
        notes.emplace_back("the SEP is below the laboratory's own repeatability, which is suspicious");
    return fmt::format("{}", fmt::join(notes, "; "));
}

void add_result(const AgreementSet& set, std::vector<Value>& row) {
    if (!set.result) {
        row.resize(row.size() + 24);
        return;
    }
    const stats::Agreement& a = *set.result;
    const bool line = a.line.has_value();
    for (const double value : {a.reference_mean, a.reference_sd, a.reference_min, a.reference_max, a.nir_mean,
                               a.nir_sd, a.bias, a.bias - a.bias_limit, a.bias + a.bias_limit, a.bias_limit})
        row.push_back(cell(value));
    row.push_back(cell(a.bias_p));
    row.push_back(cell(a.sep));
    row.push_back(cell(a.rmsep));
    row.push_back(line ? cell(a.line->slope) : Value{});
    row.push_back(line ? cell(a.line->slope_se) : Value{});
    row.push_back(line ? cell(a.slope_p) : Value{});
    row.push_back(line ? cell(a.line->intercept) : Value{});
    row.push_back(line ? cell(a.line->intercept_se) : Value{});
    row.push_back(line ? cell(a.intercept_p) : Value{});
    row.push_back(line ? cell(a.line->residual_sd) : Value{});
    row.push_back(line ? cell(a.line->r2) : Value{});
    row.push_back(cell(a.uecl));
    row.push_back(cell(a.rpd));
    row.push_back(cell(a.rer));
}

} // namespace

std::string agreement_verdict(const AgreementSet& set) {
    if (!set.result)
        return set.why_not;
    const stats::Agreement& a = *set.result;
    std::string text = correction(a);
    if (a.advice == stats::Advice::too_few)
        return text;
    if (a.caution)
        text = fmt::format("with caution, {} pairs: ", a.n) + text;
    text += "; " + usefulness(a);
    if (a.uecl)
        text += a.sep > *a.uecl ? "; SEP is beyond what the calibration's own error allows"
                                : "; SEP is within what the calibration's own error allows";
    if (!a.outlying.empty()) // a single pair can make a slope
        text = fmt::format("look first at {} outlying pair{}, then: ", a.outlying.size(),
                           a.outlying.size() == 1 ? "" : "s") +
               text;
    return text;
}

std::unique_ptr<Table> agreement_table(const Season& season, const std::vector<AgreementSet>& sets) {
    auto table = std::make_unique<StoredTable>("agreement", all_columns("agreement"));
    for (const AgreementSet& set : sets) {
        const ConstituentInfo& about = season.rules.constituents[set.constituent];
        std::vector<Value> row = {cell(set.material),
                                  cell(set.oil_type),
                                  cell(about.name),
                                  cell(about.unit),
                                  cell(std::string(part_text(set.part_of))),
                                  cell(set.basis),
                                  cell(set.nitrogen_factor),
                                  count(set.pairs.size()),
                                  count(set.refused)};
        add_result(set, row);
        row.push_back(cell(outlying_ids(season, set)));
        for (const auto& repeatability : {set.reference_repeatability, set.nir_repeatability}) {
            row.push_back(repeatability ? cell(repeatability->sd) : Value{});
            row.push_back(repeatability ? count(static_cast<std::size_t>(repeatability->df)) : Value{});
        }
        row.push_back(sep_without_reference(set));
        row.push_back(cell(std::string(set.result ? advice_word(set.result->advice) : "")));
        row.push_back(cell(agreement_verdict(set)));
        row.push_back(cell(note_of(set)));
        table->add(std::move(row));
    }
    return table;
}

std::unique_ptr<Table> agreement_pairs_table(const Season& season, const std::vector<AgreementSet>& sets) {
    auto table = std::make_unique<StoredTable>("agreement_pairs", all_columns("agreement_pairs"));
    for (const AgreementSet& set : sets)
        for (const AgreementPair& pair : set.pairs)
            table->add({cell(set.material), cell(set.oil_type),
                        cell(season.rules.constituents[set.constituent].name), cell(set.basis),
                        cell(std::string(season.batch.samples[pair.sample].id)), cell(pair.nir),
                        count(pair.nir_readings), cell(pair.reference), count(pair.reference_results),
                        cell(pair.nir - pair.reference), cell(std::string(pair.outlying ? "yes" : "no"))});
    return table;
}

} // namespace thresh::summary
