// calibration-mixed: usable readings of one trial and material under more than one calibration. A calibration
// is known by its text; readings without one say nothing.
#include "rules/limits.hpp"

#include <algorithm>
#include <map>

namespace thresh::rules {

namespace {

constexpr Declaration kDeclared[] = {
    {"calibration-mixed", Severity::review, About::file, Phase::drift, Action::look,
     "one trial was read under more than one calibration",
     "calibrations differ in level and slope: lines read under different ones are not comparable, and the "
     "difference goes into line means",
     "predict the stored scans again under one calibration, or read the smaller part again",
     "any mixture within a trial and material; a calibration is its name and version as exported"},
};

struct Use {
    std::size_t readings = 0;
    RowId first = kNone;
};

using Trials = std::map<std::pair<std::string_view, std::uint8_t>, std::map<TextId, Use>>;

class CalibrationMixed final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }
    bool has_texts() const override { return true; }

    void check_batch(const Evidence& evidence, Sink& sink) const override {
        const batch::Batch& batch = evidence.batch;
        if (batch.readings.pool(TextField::calibration).size() < 2)
            return;
        for (const auto& [place, uses] : trials(evidence)) {
            if (uses.size() < 2)
                continue;
            const auto& [trial, material] = place;
            // The one with most readings is what the trial was read under; of equals the first by name.
            auto most = uses.begin();
            for (auto at = uses.begin(); at != uses.end(); ++at)
                if (at->second.readings > most->second.readings)
                    most = at;
            RowId first = kNone;
            std::string others;
            for (auto at = uses.begin(); at != uses.end(); ++at) {
                if (at == most)
                    continue;
                first = std::min(first, at->second.first);
                others += fmt::format("{}{} under `{}`", others.empty() ? "" : ", ", at->second.readings,
                                      name(evidence, at->first));
            }
            sink.subject(
                0, About::file, batch.block_of(first).file, first, kNoConstituent, {},
                sink.keep(fmt::format("{}, {}: {} readings under calibration `{}`, {}",
                                      trial.empty() ? "the season" : fmt::format("trial `{}`", trial),
                                      batch.material_names[material], most->second.readings,
                                      name(evidence, most->first), others)));
        }
    }

    FindingText describe(unsigned, const Finding& finding, const Evidence& evidence) const override {
        FindingText text;
        text.message = evidence.so_far.details[finding.detail];
        return text;
    }

  private:
    static std::string_view name(const Evidence& evidence, TextId calibration) {
        return evidence.batch.readings.pool(TextField::calibration)[calibration];
    }

    static Trials trials(const Evidence& evidence) {
        const batch::Batch& batch = evidence.batch;
        Trials found;
        for (const Block& block : batch.readings.blocks) {
            if (block.text[static_cast<std::size_t>(TextField::calibration)].empty())
                continue;
            // Neighbours nearly always share trial, material and calibration.
            std::uint32_t line = kNone;
            std::uint8_t material = batch::kNoMaterial;
            TextId calibration = kNoText;
            Use* use = nullptr;
            for (std::size_t r = 0; r < block.rows; ++r) {
                const auto row = static_cast<RowId>(block.first + r);
                const std::uint32_t sample = batch.sample[row];
                if (batch.kind[row] != Kind::seed || sample == kNone || batch.samples[sample].line == kNone ||
                    batch.material[row] == batch::kNoMaterial ||
                    evidence.so_far.verdict[row] > Verdict::review)
                    continue;
                const TextId under = block.text_of(TextField::calibration, r);
                if (under == kNoText || name(evidence, under).empty())
                    continue;
                if (use == nullptr || batch.samples[sample].line != line || batch.material[row] != material ||
                    under != calibration) {
                    line = batch.samples[sample].line;
                    material = batch.material[row];
                    calibration = under;
                    use = &found[{batch.lines[line].trial, material}][calibration];
                }
                ++use->readings;
                use->first = std::min(use->first, row);
            }
        }
        return found;
    }
};

} // namespace

const Rule& rule_calibration_mixed() {
    static const CalibrationMixed rule;
    return rule;
}

} // namespace thresh::rules
