// Where findings stand. Kept apart from their words because tables need places of all findings and words of
// the few that are shown.
#include <thresh/rules/judge.hpp>

namespace thresh::rules {

namespace {

FindingPlace at_reading(RowId row, ConstituentId constituent, const batch::Batch& batch) {
    const Block& block = batch.block_of(row);
    FindingPlace place;
    place.file = block.file;
    place.source = batch.readings.files[block.file].source;
    place.sheet = block.sheet;
    place.line = block.line[batch.in_block(row)];
    place.row = row;
    if (const auto column = block.table->find(constituent)) {
        place.position = block.table->numbers[*column].position;
        place.column = block.table->numbers[*column].heading;
    }
    return place;
}

// The list row of a sample that was not read.
FindingPlace at_entry(std::uint32_t sample, const batch::Batch& batch) {
    FindingPlace place;
    const std::uint32_t entry = batch.samples[sample].entry;
    if (entry == kNone)
        return place;
    place.source = batch.list.source;
    place.sheet = batch.list.sheet(entry);
    place.line = batch.list.row_line(entry);
    return place;
}

// An intake note (its index is the detail of column and file findings that intake caused).
FindingPlace at_note(const IntakeNote& note, const batch::Batch& batch) {
    FindingPlace place;
    if (note.list.empty())
        place.file = note.file;
    place.source = note.list.empty() ? batch.readings.files[note.file].source : note.list;
    place.sheet = note.sheet;
    place.line = note.line;
    place.column = note.heading;
    if (note.column > 0)
        place.position = note.column - 1;
    return place;
}

} // namespace

FindingPlace place_of(const Finding& finding, const batch::Batch& batch) {
    if (finding.row != kNone)
        return at_reading(finding.row, finding.constituent, batch);
    switch (finding.about) {
    case About::sample:
        return at_entry(finding.subject, batch);
    case About::column:
    case About::file: {
        const auto& notes = batch.readings.notes;
        if (catalogue()[finding.code].phase == Phase::intake && finding.detail < notes.size())
            return at_note(notes[finding.detail], batch);
        FindingPlace place;
        place.file = finding.subject;
        place.source = batch.readings.files[finding.subject].source;
        return place;
    }
    default:
        return {};
    }
}

} // namespace thresh::rules
