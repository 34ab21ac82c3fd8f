// NIR against wet chemistry, and instruments against each other: which samples meet, on which basis, and what
// stats::agreement says of them. Both sides are on the basis that the material's results are wanted on.
#pragma once

#include <thresh/batch/reference.hpp>
#include <thresh/stats/agreement.hpp>
#include <thresh/stats/repeatability.hpp>
#include <thresh/summary/sample_means.hpp>

#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace thresh::summary {

// One sample on both sides. Blind duplicates count with their original, once.
struct AgreementPair {
    std::uint32_t sample = kNone; // index into the batch, the original
    double nir = 0, reference = 0;
    std::uint32_t nir_readings = 0, reference_results = 0;
    bool outlying = false;
};

// One material, oil type and constituent.
struct AgreementSet {
    std::string material, oil_type; // oil type of the sample list; empty when it names none
    std::uint8_t material_index = 0;
    ConstituentId constituent = kNoConstituent;
    PartOf part_of = PartOf::sample;
    std::string basis;                     // empty for parts of oil and protein
    std::optional<double> nitrogen_factor; // of protein
    std::vector<AgreementPair> pairs;      // by sample ID
    std::size_t refused = 0;               // results that cannot be compared; `reasons` says why
    std::vector<std::string> reasons;
    std::optional<stats::Agreement> result; // none below 3 pairs
    std::string why_not;                    // why there is none
    std::optional<stats::Repeatability> reference_repeatability, nir_repeatability;
    double results_a_sample = 0; // mean number of reference results behind a pair
    double single_share = 0;     // mean of 1 / that number: of a result's variance, what is left in a pair
    Time first_reading, last_reading;
    std::string instrument; // when one instrument read all of them
    bool adjusted = false;  // the rules in force adjust these NIR values already
    bool computed = false;  // NIR values worked out from others: a correction would reach none of them
    // Moisture: some of it stands beside as-is results and tells on which basis these are.
    bool states_basis = false;
};

struct ReferenceComparison {
    std::vector<AgreementSet> sets; // by material, oil type, constituent in table order
    std::vector<std::string> notes; // samples without a partner, laboratory checks, in words
};

struct ComparisonOptions {
    std::map<ConstituentId, stats::CalibrationError> calibration; // --sec
    double alpha = 0.05;
};

// Pairs every reference result with the NIR mean of its sample. A result whose basis or nitrogen factor is
// not, or not said to be, that of the NIR side is refused. Error: nothing at all can be compared.
Result<ReferenceComparison> compare_with_reference(const SampleMeans& means,
                                                   const batch::ReferenceResults& reference,
                                                   const ComparisonOptions& options);

// The verdict in words, with what to do.
std::string agreement_verdict(const AgreementSet& set);

std::unique_ptr<Table> agreement_table(const Season& season, const std::vector<AgreementSet>& sets);
std::unique_ptr<Table> agreement_pairs_table(const Season& season, const std::vector<AgreementSet>& sets);

// A rules file (JSON with comments) that holds the corrections which the verdicts advise. What is not
// corrected and why stands in it as comments, and so does a correction that would not be advised without the
// outlying pairs, and one of moisture that states the basis of as-is results. Each set compared gets what was
// advised for it and nothing else; where moisture is corrected, the others are compared again with the
// corrected moisture. `from` and `to`: when they take effect; a missing `from` is the day of the first
// reading compared. `compared`: the sets of compare_with_reference(means, reference, options). Error: values
// compared are adjusted by the rules in force already.
Result<std::string> adjustment_rules(const SampleMeans& means, const batch::ReferenceResults& reference,
                                     const ComparisonOptions& options,
                                     const std::vector<AgreementSet>& compared, Time from, Time to);

// Two instruments that read the same samples.
struct InstrumentPair {
    std::string material, basis, instrument, other; // instrument < other bytewise
    ConstituentId constituent = kNoConstituent;
    std::size_t n = 0;
    std::optional<stats::Agreement> result; // `instrument` as NIR, `other` as reference
    std::string why_not;
    std::optional<stats::Repeatability> repeatability, other_repeatability;
};
// Every two instruments that share a sample, from usable readings. Error: none do.
Result<std::vector<InstrumentPair>> compare_instruments(const SampleMeans& means, double alpha = 0.05);
std::unique_ptr<Table> instruments_table(const Season& season, const std::vector<InstrumentPair>& pairs);

} // namespace thresh::summary
