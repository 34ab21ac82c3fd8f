// reading-repeated, reading-changed: the same reading in two exports counts once; the same reading with other
// values has to be settled by a person.
#include "rules/limits.hpp"

#include <algorithm>
#include <set>

namespace thresh::rules {

namespace {

constexpr unsigned kRepeated = 0, kChanged = 1;

constexpr Declaration kDeclared[] = {
    {"reading-repeated", Severity::note, About::reading, Phase::reading, Action::nothing,
     "a reading that was exported before", "counted twice it would pull the mean of its sample",
     "nothing: it was counted once",
     "same sample, instrument, time and values: see the documentation of exports"},
    {"reading-changed", Severity::review, About::reading, Phase::reading, Action::settle,
     "a reading that was exported before with other values",
     "one of the two is wrong, or was predicted again with another calibration",
     "say in the decisions file which one counts: `drop` the other",
     "same sample, instrument and time, other values"},
};

std::string place(const Evidence& evidence, RowId row) {
    const Block& block = evidence.batch.block_of(row);
    return fmt::format("{}:{}", evidence.batch.readings.files[block.file].source,
                       block.line[evidence.batch.in_block(row)]);
}

class ReadingRepeated final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }

    void check_batch(const Evidence& evidence, Sink& sink) const override {
        const auto& repeats = evidence.batch.repeats;
        const auto& overlaps = evidence.batch.overlaps;
        std::set<std::pair<std::uint32_t, std::uint32_t>> told; // files whose readings are told as one
        for (std::uint32_t i = 0; i < overlaps.size(); ++i) {
            if (!overlaps[i].predicted_again())
                continue;
            told.emplace(overlaps[i].first_file, overlaps[i].file);
            sink.subject(kChanged, About::file, overlaps[i].file, kNone, kNoConstituent, {}, i);
        }
        for (std::uint32_t i = 0; i < repeats.size(); ++i) {
            if (repeats[i].changed && told.contains({evidence.batch.block_of(repeats[i].first).file,
                                                     evidence.batch.block_of(repeats[i].row).file}))
                continue;
            // A changed reading is told where it stands for the other, so that its verdict shows it.
            if (repeats[i].changed)
                sink.reading(kChanged, repeats[i].first, {}, i);
            else
                sink.reading(kRepeated, repeats[i].row, {}, i);
        }
    }

    FindingText describe(unsigned which, const Finding& finding, const Evidence& evidence) const override {
        if (finding.about == About::file)
            return file_text(evidence, evidence.batch.overlaps[finding.detail]);
        const batch::Repeat& repeat = evidence.batch.repeats[finding.detail];
        FindingText text;
        if (which == kRepeated) {
            text.message = fmt::format("the same reading as {}, counted once", place(evidence, repeat.first));
            return text;
        }
        text.message = fmt::format("exported again with other values at {}: {}", place(evidence, repeat.row),
                                   differences(evidence, repeat));
        text.action = fmt::format("if {} is the right one, enter `drop` for {} in the decisions file",
                                  place(evidence, repeat.row), place(evidence, repeat.first));
        return text;
    }

  private:
    static FindingText file_text(const Evidence& evidence, const batch::Overlap& overlap) {
        const auto& files = evidence.batch.readings.files;
        const auto& calibrations = evidence.batch.readings.pool(TextField::calibration);
        const std::string &first = files[overlap.first_file].source, &file = files[overlap.file].source;
        FindingText text;
        text.value = overlap.changed;
        text.message = fmt::format(
            "{} readings were predicted again, with calibration `{}` here and `{}` in {}: those of "
            "{} count, by the later name",
            overlap.changed, calibrations[overlap.calibration], calibrations[overlap.first_calibration],
            first, first);
        text.action = fmt::format("if those of {} are the right ones, leave {} out", file, first);
        return text;
    }

    // `protein 36.4, there 36.9`, for up to three constituents.
    static std::string differences(const Evidence& evidence, const batch::Repeat& repeat) {
        std::string text;
        int more = 0;
        const Block& block = evidence.batch.block_of(repeat.first);
        for (const Column& column : block.table->numbers) {
            const auto here = raw_of(evidence, repeat.first, column.constituent);
            const auto there = raw_of(evidence, repeat.row, column.constituent);
            if (here == there)
                continue;
            if (std::count(text.begin(), text.end(), ';') >= 2) {
                ++more;
                continue;
            }
            const auto cell = [&](RowId row) {
                const std::string exported = exported_text(evidence, row, column.constituent);
                return exported.empty() ? std::string("missing") : exported;
            };
            text += fmt::format("{}{} {} here, {} there", text.empty() ? "" : "; ",
                                evidence.rules.constituents[column.constituent].name, cell(repeat.first),
                                cell(repeat.row));
        }
        if (more > 0)
            text += fmt::format("; and {} more", more);
        return text.empty() ? "other columns" : text;
    }
};

} // namespace

const Rule& rule_reading_repeated() {
    static const ReadingRepeated rule;
    return rule;
}

} // namespace thresh::rules
