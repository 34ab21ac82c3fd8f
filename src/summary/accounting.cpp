// Every record below a heading is counted exactly once: as a reading by its kind or verdict, as rejected, or
// as not a reading.
#include <thresh/summary/tables.hpp>

namespace thresh::summary {

namespace {

void count(RowId row, const Season& season, Accounting::Counts& counts) {
    switch (season.batch.kind[row]) {
    case Kind::standard:
        ++counts.standard;
        return;
    case Kind::control:
        ++counts.control;
        return;
    case Kind::repeated:
        ++counts.repeated;
        return;
    case Kind::ignored:
        ++counts.ignored;
        return;
    case Kind::outside_selection:
        ++counts.outside_selection;
        return;
    case Kind::seed:
        break;
    }
    switch (season.judgement.verdict[row]) {
    case Verdict::use:
        ++counts.use;
        return;
    case Verdict::review:
        ++counts.review;
        return;
    case Verdict::exclude:
        ++counts.exclude;
        return;
    case Verdict::superseded:
        ++counts.superseded;
        return;
    }
}

void add(Accounting::Counts& total, const Accounting::Counts& file) {
    using Field = std::size_t Accounting::Counts::*;
    for (const Field field :
         {&Accounting::Counts::rows, &Accounting::Counts::use, &Accounting::Counts::review,
          &Accounting::Counts::exclude, &Accounting::Counts::superseded, &Accounting::Counts::standard,
          &Accounting::Counts::control, &Accounting::Counts::repeated, &Accounting::Counts::ignored,
          &Accounting::Counts::outside_selection, &Accounting::Counts::rejected,
          &Accounting::Counts::not_a_reading, &Accounting::Counts::lines_skipped})
        total.*field += file.*field;
}

} // namespace

bool Accounting::Counts::adds_up() const {
    return rows == use + review + exclude + superseded + standard + control + repeated + ignored +
                       outside_selection + rejected + not_a_reading;
}

Accounting account(const Season& season) {
    Accounting made;
    for (const SourceFile& file : season.batch.readings.files) {
        Accounting::Counts counts;
        counts.source = file.source;
        counts.rows = file.records;
        counts.rejected = file.rejected;
        counts.not_a_reading = file.not_a_reading;
        counts.lines_skipped = file.lines_skipped;
        counts.refused = file.refused;
        made.files.push_back(std::move(counts));
    }
    for (const Block& block : season.batch.readings.blocks)
        for (std::size_t row = 0; row < block.rows; ++row)
            count(static_cast<RowId>(block.first + row), season, made.files[block.file]);
    for (const Accounting::Counts& file : made.files)
        add(made.total, file);
    return made;
}

} // namespace thresh::summary
