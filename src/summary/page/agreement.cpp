// What `agree` computes, for the page.
#include "summary/page/parts.hpp"

#include <fmt/format.h>

namespace thresh::summary {

namespace {

void add_numbers(const stats::Agreement& from, page::Agreement& into) {
    into.bias = from.bias;
    into.bias_low = from.bias - from.bias_limit;
    into.bias_high = from.bias + from.bias_limit;
    into.sep = from.sep;
    into.rmsep = from.rmsep;
    into.rpd = from.rpd;
    if (from.line) {
        into.r2 = from.line->r2;
        into.slope = from.line->slope;
        into.intercept = from.line->intercept;
    }
}

} // namespace

void add_page_agreement(const Season& season, const ReferenceComparison& reference, SeasonPage& page) {
    page.has_reference = true;
    page.agreement_notes = reference.notes;
    for (const AgreementSet& set : reference.sets) {
        page::Agreement made;
        made.material = set.material;
        made.oil_type = set.oil_type;
        made.quantity = page_quantity(season, set.constituent, set.basis);
        for (const AgreementPair& pair : set.pairs)
            made.pairs.push_back(
                {pair.nir, pair.reference, std::string(season.batch.samples[pair.sample].id), pair.outlying});
        if (set.result)
            add_numbers(*set.result, made);
        made.refused = set.refused;
        made.verdict = agreement_verdict(set);
        if (set.refused > 0)
            made.verdict += fmt::format("; {} results cannot be compared: {}", set.refused,
                                        few_names(set.reasons, set.reasons.size()));
        if (set.adjusted)
            made.verdict += "; these NIR values are corrected by the rules in force already";
        page.agreement.push_back(std::move(made));
    }
}

} // namespace thresh::summary
