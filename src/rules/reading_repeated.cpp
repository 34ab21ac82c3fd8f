// reading-repeated, reading-changed, reading-in-parts: the same reading in two exports counts once, with the
// row that shows most; the same reading with other values has to be settled by a person, and where each row
// has values that the other lacks, those that do not count are told.
#include "rules/limits.hpp"
#include "rules/row_place.hpp"

#include <algorithm>
#include <map>
#include <set>
#include <thresh/batch/has_more.hpp>

namespace thresh::rules {

namespace {

constexpr unsigned kRepeated = 0, kChanged = 1, kInParts = 2;

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
    {"reading-in-parts", Severity::review, About::reading, Phase::reading, Action::settle,
     "a reading that was exported twice, each time with values that the other row lacks",
     "it counts once, with the values of one row: those of the other are missing in every table",
     "export it again with all its columns in one table", "same sample, instrument, time and shared values"},
};

class ReadingRepeated final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }

    void check_batch(const Evidence& evidence, Sink& sink) const override {
        const auto& repeats = evidence.batch.repeats;
        const auto& overlaps = evidence.batch.overlaps;
        std::set<FilePair> again; // files whose readings are told as one
        for (std::uint32_t i = 0; i < overlaps.size(); ++i) {
            if (!overlaps[i].predicted_again())
                continue;
            again.emplace(overlaps[i].first_file, overlaps[i].file);
            sink.subject(kChanged, About::file, overlaps[i].file, kNone, kNoConstituent, {}, i);
        }
        std::map<FilePair, std::vector<std::uint32_t>> in_parts;
        for (std::uint32_t i = 0; i < repeats.size(); ++i) {
            const batch::Repeat& repeat = repeats[i];
            // What is doubtful is told where the one stands for the other, so that its verdict shows it.
            if (repeat.changed && !again.contains(files_of(evidence, repeat)))
                sink.reading(kChanged, repeat.first, {}, i);
            else if (!repeat.changed && !batch::has_more(evidence.batch, repeat.row, repeat.first))
                sink.reading(kRepeated, repeat.row, {}, i);
            else if (!repeat.changed)
                in_parts[files_of(evidence, repeat)].push_back(i);
        }
        for (const auto& [files, found] : in_parts)
            tell_parts(evidence, files, found, sink);
    }

    FindingText describe(unsigned which, const Finding& finding, const Evidence& evidence) const override {
        if (finding.about == About::file) {
            const batch::Overlap& overlap = evidence.batch.overlaps[finding.detail];
            return which == kInParts ? parts_text(evidence, overlap) : file_text(evidence, overlap);
        }
        const batch::Repeat& repeat = evidence.batch.repeats[finding.detail];
        FindingText text;
        if (which == kRepeated) {
            text.message =
                fmt::format("the same reading as {}, counted once", row_place(evidence, repeat.first));
            return text;
        }
        const bool in_parts = which == kInParts;
        text.message = fmt::format(
            fmt::runtime(in_parts ? "the same reading as {}, each with values that the other lacks: {}"
                                  : "exported again with other values at {}: {}"),
            row_place(evidence, repeat.row), differences(evidence, repeat));
        text.action = fmt::format("if {} is the right one, enter `drop` for {} in the decisions file",
                                  row_place(evidence, repeat.row), row_place(evidence, repeat.first));
        if (in_parts)
            text.action = fmt::format("{}; {}", kDeclared[kInParts].what_to_do, text.action);
        return text;
    }

  private:
    using FilePair = std::pair<std::uint32_t, std::uint32_t>;

    static FilePair files_of(const Evidence& evidence, const batch::Repeat& repeat) {
        return {evidence.batch.block_of(repeat.first).file, evidence.batch.block_of(repeat.row).file};
    }

    // `found`: repeats in two files, in parts. One is told as such, more are one finding about the file.
    static void tell_parts(const Evidence& evidence, const FilePair& files,
                           const std::vector<std::uint32_t>& found, Sink& sink) {
        if (found.size() == 1) {
            sink.reading(kInParts, evidence.batch.repeats[found.front()].first, {}, found.front());
            return;
        }
        const auto overlap =
            std::ranges::lower_bound(evidence.batch.overlaps, files, {},
                                     [](const batch::Overlap& o) { return FilePair(o.first_file, o.file); });
        sink.subject(kInParts, About::file, files.second, kNone, kNoConstituent, {},
                     static_cast<std::uint32_t>(overlap - evidence.batch.overlaps.begin()));
    }

    // Of the readings of an overlap, changed or not: how many have values that what counts lacks.
    static std::size_t with_more(const Evidence& evidence, const batch::Overlap& overlap, bool changed) {
        const auto& repeats = evidence.batch.repeats;
        return static_cast<std::size_t>(std::ranges::count_if(repeats, [&](const batch::Repeat& repeat) {
            return repeat.changed == changed &&
                   files_of(evidence, repeat) == FilePair(overlap.first_file, overlap.file) &&
                   batch::has_more(evidence.batch, repeat.row, repeat.first);
        }));
    }

    static FindingText parts_text(const Evidence& evidence, const batch::Overlap& overlap) {
        const auto& first = evidence.batch.readings.files[overlap.first_file].source;
        const std::size_t count = with_more(evidence, overlap, false);
        FindingText text;
        text.value = static_cast<double>(count);
        text.message = fmt::format(
            "{} readings stand here and in {}, each row with values that the other lacks: those of {} "
            "count, what only the rows here have is missing",
            count, first, first);
        text.action = std::string(kDeclared[kInParts].what_to_do);
        return text;
    }

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
        if (const std::size_t more = with_more(evidence, overlap, true); more > 0)
            text.message +=
                fmt::format("; {} of the rows here have values that those lack, and that are missing", more);
        text.action = fmt::format("if those of {} are the right ones, leave {} out", file, first);
        return text;
    }

    // `protein 36.4, there 36.9`, for up to three constituents.
    static std::string differences(const Evidence& evidence, const batch::Repeat& repeat) {
        std::string text;
        int more = 0;
        const auto compare = [&](ConstituentId constituent) {
            const auto cell = [&](RowId row) {
                const std::string exported = exported_text(evidence, row, constituent);
                return exported.empty() ? std::string("missing") : exported;
            };
            const auto here = raw_of(evidence, repeat.first, constituent);
            // Where neither has a number, one may still be below a limit.
            if (here == raw_of(evidence, repeat.row, constituent) &&
                (here || cell(repeat.first) == cell(repeat.row)))
                return;
            if (std::count(text.begin(), text.end(), ';') >= 2) {
                ++more;
                return;
            }
            text += fmt::format("{}{} {} here, {} there", text.empty() ? "" : "; ",
                                evidence.rules.constituents[constituent].name, cell(repeat.first),
                                cell(repeat.row));
        };
        const TableColumns& here = *evidence.batch.block_of(repeat.first).table;
        for (const Column& column : here.numbers)
            compare(column.constituent);
        for (const Column& column : evidence.batch.block_of(repeat.row).table->numbers)
            if (!here.find(column.constituent))
                compare(column.constituent);
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
