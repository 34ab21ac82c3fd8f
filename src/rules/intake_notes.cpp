// What intake had to assume, or left open, about a column or a file. Intake says what it saw; here it becomes
// a finding with a severity: doubt is for review, a mere assumption a note.
#include "rules/limits.hpp"

#include <algorithm>

namespace thresh::rules {

namespace {

constexpr Declaration note(std::string_view code, Severity severity, About about, Action action,
                           std::string_view title, std::string_view why, std::string_view todo) {
    return {code,
            severity,
            about,
            Phase::intake,
            action,
            title,
            why,
            todo,
            "how exports are read: `thresh inspect FILE` shows every decision and the option that pins it"};
}

constexpr Declaration kDeclared[] = {
    note("basis-assumed", Severity::note, About::column, Action::settle,
         "a column does not say on which basis it is",
         "taken as-is; on another basis every converted value would be wrong by the same factor",
         "state the basis in the heading, in `columns` of the rules file, or by --assume-basis"),
    note("date-doubtful", Severity::review, About::column, Action::settle,
         "dates that cannot be read, whose day, month and year cannot be told apart, or whose offsets from "
         "UTC differ",
         "a wrong day puts readings into the wrong session; times are left empty until it is settled, save "
         "those of differing offsets, which are put on the first one's clock (a note)",
         "say the format by --date-format, or correct the dates that are none"),
    note("decimal-doubtful", Severity::review, About::column, Action::settle,
         "it cannot be told whether a mark is a decimal mark or a thousands mark",
         "read wrongly, values are off by a factor of 1000; the cells are left empty until it is settled",
         "say the decimal mark by --decimal"),
    note("file-refused", Severity::exclude, About::file, Action::correct_export, "a file could not be read",
         "none of its readings is in the results",
         "correct the file or name the option that the message gives"),
    note("formula-uncomputed", Severity::review, About::column, Action::correct_export,
         "a formula without a stored result", "the cell's value is not in the file; it is left empty",
         "open the workbook in a spreadsheet program, let it calculate, and save it"),
    note("heading-repeated", Severity::note, About::column, Action::settle,
         "two columns have the same meaning",
         "only one of them can be used. Where their cells differ nobody can tell which is right: the "
         "severity is review, and of numbers neither is used",
         "rename one heading, or map it in `columns` of the rules file"),
    note("heading-unknown", Severity::note, About::column, Action::settle, "a heading is not recognised",
         "its column is kept but enters no result; a list's heading that is one typing error away from a "
         "known one is for review, its others are told once and need no settling",
         "map it in `columns` of the rules file, or list it under `ignore`"),
    note("layout-doubtful", Severity::note, About::file, Action::settle,
         "the layout could be understood in two ways", "a wrong layout shifts values into other columns",
         "pin the layout by the options that the message names"),
    note(
        "plot-shared", Severity::review, About::file, Action::look,
        "the sample list puts samples of different lines on one plot",
        "a line's mean then holds another line's plot, or the two plots are told apart by something that the "
        "list does not state",
        "correct the plot or the line in the list, or state trial, environment, year, rep or block"),
    note("readings-absent", Severity::review, About::file, Action::correct_export,
         "an export holds no reading",
         "a session may have been exported before it was read, or with the wrong rows chosen; its readings "
         "are then in no result",
         "export it again with the readings of its session, or take it away if there were none"),
    note("row-rejected", Severity::review, About::file, Action::correct_export,
         "a record could not be understood",
         "it is not in the results; it stands word for word in rejected.csv",
         "correct the record and export again"),
    note("share-differs", Severity::review, About::column, Action::correct_export,
         "a constituent is a share of one thing here and of another elsewhere in the same exports",
         "a mean over shares of the oil and shares of the sample would be of nothing: results hold the usual "
         "share, and the values of this column enter none",
         "run such exports apart from the others, or export the same share everywhere"),
    note("text-repaired", Severity::note, About::file, Action::nothing,
         "bytes that are no valid text were repaired",
         "an ID with a repaired character may not match the sample list",
         "export as UTF-8; compare the IDs concerned"),
    note("unit-doubtful", Severity::review, About::column, Action::settle,
         "a column seems to be in another unit",
         "a fraction or g/kg taken for percent is wrong by 100 or 10; the cells are left empty until it is "
         "settled",
         "state the unit in the heading or in `columns` of the rules file"),
};

class IntakeNotes final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }

    void check_batch(const Evidence& evidence, Sink& sink) const override {
        const auto& notes = evidence.batch.readings.notes;
        for (std::uint32_t i = 0; i < notes.size(); ++i) {
            const auto at = std::find_if(std::begin(kDeclared), std::end(kDeclared),
                                         [&](const Declaration& d) { return d.code == notes[i].code; });
            if (at == std::end(kDeclared))
                continue;
            const auto which = static_cast<unsigned>(at - std::begin(kDeclared));
            // Doubt is never less than review, an assumption never more than its code says; dates in doubt
            // are for review, those put on one clock are told.
            std::optional<Severity> own;
            if (!notes[i].doubt && at->code == "date-doubtful")
                own = sink.at_most(which, Severity::note);
            if (notes[i].doubt && at->severity == Severity::note)
                own = sink.built_in_or(which, Severity::review);
            sink.subject(which, at->about, notes[i].list.empty() ? notes[i].file : kNone, kNone,
                         notes[i].constituent, own, i);
        }
    }

    FindingText describe(unsigned, const Finding& finding, const Evidence& evidence) const override {
        const IntakeNote& seen = evidence.batch.readings.notes[finding.detail];
        FindingText text;
        text.message = seen.message;
        text.action = seen.help;
        return text;
    }
};

} // namespace

const Rule& rule_intake_notes() {
    static const IntakeNotes rule;
    return rule;
}

} // namespace thresh::rules
