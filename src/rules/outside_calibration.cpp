// outside-calibration: a prediction beyond the range of the samples that the calibration was made of, or a
// scan farther from them than the distance limit: an extrapolation, not a measurement.
#include "rules/limits.hpp"

#include <algorithm>

namespace thresh::rules {

namespace {

constexpr unsigned kValue = 0;

constexpr Declaration kDeclared[] = {
    {"outside-calibration", Severity::review, About::value, Phase::reading, Action::wet_chemistry,
     "a value beyond the range of the calibration, or a scan too unlike its samples",
     "a prediction outside its calibration is an extrapolation and may be far off",
     "send the sample to wet chemistry; add it to the calibration when it is confirmed",
     "`calibrated` of the rules in force: the range and the distance limit belong to your calibration"},
};

class OutsideCalibration final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }

    void check_rows(const Evidence& evidence, const Block& block, std::size_t first, std::size_t last,
                    Sink& sink) const override {
        scan_ranges(evidence, block, first, last, &Material::calibrated,
                    [&](RowId row, std::size_t column, double, const Range& range) {
                        if (impossible(evidence, block, row - block.first, column))
                            return;
                        sink.value(kValue, row, block.table->numbers[column].constituent, range.severity);
                    });
        const auto distance = block.table->find(constituent::calibration_distance);
        const auto& materials = evidence.rules.materials;
        if (!distance || std::none_of(materials.begin(), materials.end(),
                                      [](const Material& m) { return m.calibrated_distance.has_value(); }))
            return;
        for (std::size_t row = first; row < last; ++row) {
            const auto id = static_cast<RowId>(block.first + row);
            if (!is_seed(evidence, id))
                continue;
            const Material* material = evidence.rules.material(evidence.batch.material[id]);
            if (material == nullptr || !material->calibrated_distance)
                continue;
            const auto value = basis::raw_value(block, row, *distance);
            if (value && *value > *material->calibrated_distance)
                sink.reading(kValue, id, {}, kNone, constituent::calibration_distance);
        }
    }

    FindingText describe(unsigned, const Finding& finding, const Evidence& evidence) const override {
        if (finding.constituent != constituent::calibration_distance)
            return outside_range_text(finding, evidence, &Material::calibrated, "calibrated");
        const Material& material = *evidence.rules.material(evidence.batch.material[finding.row]);
        FindingText text;
        text.value = raw_of(evidence, finding.row, finding.constituent);
        text.high = material.calibrated_distance;
        text.message = fmt::format("the scan lies {} from the calibration's samples, the limit for {} is {}",
                                   exported_text(evidence, finding.row, finding.constituent), material.name,
                                   *material.calibrated_distance);
        return text;
    }
};

} // namespace

const Rule& rule_outside_calibration() {
    static const OutsideCalibration rule;
    return rule;
}

} // namespace thresh::rules
