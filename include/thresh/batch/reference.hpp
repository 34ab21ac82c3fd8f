// Reference results (wet chemistry) as the comparisons see them: one record a row of the file.
#pragma once

#include <thresh/batch/list_reader.hpp>
#include <thresh/core/readings.hpp>
#include <thresh/core/result.hpp>

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace thresh::batch {

// One number of the laboratory, in percent.
struct ReferenceValue {
    ConstituentId constituent = kNoConstituent;
    double value = 0;
    PartOf part_of = PartOf::sample;
    Basis basis; // of the heading, else of the row's own column; not_stated where neither says
};

// A cell below a constituent that holds something else than a number or a word for none.
struct RefusedCell {
    ConstituentId constituent = kNoConstituent;
    std::string why; // with text and place
};

struct ReferenceResult {
    std::uint32_t row_line = 0; // physical line or sheet row
    std::string sheet;
    std::string sample; // of the file; with a shipment key what the code stands for
    std::string role;   // from the key: sample, duplicate, check; empty without one
    std::string method, replicate, laboratory, date;
    std::optional<double> nitrogen_factor;
    std::optional<double> moisture; // as-is, of the laboratory's own determination
    std::vector<ReferenceValue> values;
    std::vector<RefusedCell> refused = {};
};

struct ReferenceResults {
    std::string source;
    std::vector<ReferenceResult> results; // in file order
    std::vector<std::string> notes;       // what was left open, in words
};

// The text columns of a reference file, for intake::read_list.
const std::vector<ListHeading>& reference_headings();

// `numbers`: the same file read as an export (headings with unit, part and basis, decimal marks), `rows`: its
// text columns under reference_headings(); both meet by sheet and line. Errors (file, line, remedy): the file
// was refused; a basis that is none or contradicts the heading's; a nitrogen factor that is none (4 to 8).
Result<ReferenceResults> make_reference(const Readings& numbers, const std::vector<TextRow>& rows);

// What a neutral code of a shipment stands for.
struct ShipmentCode {
    std::string code, sample, role; // role: sample, duplicate, check
};
const std::vector<ListHeading>& shipment_key_headings();
// Errors: a row without code or sample; a code that stands for two samples.
Result<std::vector<ShipmentCode>> make_shipment_key(const std::string& source,
                                                    const std::vector<TextRow>& rows);
// Puts samples in the place of codes. A result whose sample is no code stays as it is and is told in `notes`.
void open_codes(const std::vector<ShipmentCode>& key, ReferenceResults& results);

} // namespace thresh::batch
