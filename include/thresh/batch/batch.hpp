// One ordered batch: every reading with its kind, material, sample, line and session, and the indices by
// which rules and tables walk over it. Nothing here judges a value.
#pragma once

#include <thresh/batch/sample_list.hpp>
#include <thresh/batch/settings.hpp>
#include <thresh/core/finding.hpp>
#include <thresh/core/readings.hpp>

#include <cstdint>
#include <span>
#include <string>
#include <vector>

namespace thresh::batch {

inline constexpr std::uint8_t kNoMaterial = 255;

// A sample as read (or only listed). Indices are dense; order: bytewise by ID.
struct Sample {
    std::string_view id;         // stable storage in the batch
    std::uint32_t entry = kNone; // row of the list; kNone: not listed
    std::uint32_t line = kNone;  // index into Batch::lines; kNone: unlisted although a list was given, or
                                 // neither listed nor read as seed (a control's ID): in no table of samples
    std::uint32_t plot = kNone;  // index into Batch::plots; never kNone when line is not
    std::uint32_t original = kNone; // the sample that this one is a duplicate_of
};

// Where plots lie within a trial, empty where the list or pattern does not tell.
struct Place {
    std::string_view environment, rep, block, plot, year; // stable storage in the batch
    friend bool operator==(const Place&, const Place&) = default;
};

// Where and when plots stood: a site in two years is two environments.
struct Environment {
    std::string_view site, year;
    friend auto operator<=>(const Environment&, const Environment&) = default;
};
inline Environment environment_of(const Place& place) {
    return {place.environment, place.year};
}
// Its name for people: `HILL 2026`.
std::string name_of(const Environment& environment);

// A field plot: the unit that a line's mean counts once. Without plots in the list each sample is its own.
struct Plot {
    std::uint32_t line = kNone;             // the trial is the line's
    std::uint32_t place = kNone;            // index into Batch::places; several plots may have one place
    std::span<const std::uint32_t> samples; // indices, in ID order
};

struct Line {
    std::string_view trial, name; // trial empty when the list has none
    bool check = false;
    std::uint32_t listed_plots = 0; // plots (or samples) the list promises
    std::span<const std::uint32_t>
        plots; // indices, in order of environment, rep, block, plot, first sample ID
};

// Readings of one instrument without a gap above session_gap_hours; without times: of one file.
struct Session {
    std::string label; // `INSTRUMENT@2026-08-03T07:41`, or `INSTRUMENT@source` without times
    TextId instrument = kNoText;
    Time start, end;
    std::vector<RowId> rows;  // in time order, then canonical
    bool rows_ascend = false; // certain that time order is canonical order
};

// A reading exported again: `row` is repeated, `first` stands for it: the one with more constituents, then
// more decimals, then earlier; or the one of the later calibration where a whole file was predicted again.
struct Repeat {
    RowId row = kNone;
    RowId first = kNone;
    bool changed = false; // same reading, other values
};

// How two files overlap: which of their readings are the same. All of them `changed` with another calibration
// is a file that was predicted again.
struct Overlap {
    std::uint32_t first_file = 0, file = 0; // of the readings that stand, of the repeated ones; may be equal
    std::uint32_t repeated = 0;             // readings of `file` that repeat one of `first_file`
    std::uint32_t changed = 0;              // of these: with other values
    // Calibrations of the changed readings where they are one each; kNoText otherwise.
    TextId first_calibration = kNoText, calibration = kNoText;
    // All changed readings of the two files differ by the same calibrations.
    bool predicted_again() const {
        return changed > 1 && first_calibration != kNoText && calibration != kNoText &&
               first_calibration != calibration;
    }
};

// What a decision turned out to be about. It narrows down: sample, source, row and time must all fit.
struct DecisionTarget {
    std::vector<RowId> rows;      // readings of any kind; of a rename: those that got the new ID
    std::uint32_t sample = kNone; // the sample it names, read or only listed
    std::uint32_t file = kNone;   // the file it names
    bool found() const { return !rows.empty() || sample != kNone || file != kNone; }
};

// Which kind a row is, first that applies: standard, control, ignored (by the rules' patterns), repeated,
// outside_selection, seed. A reading exported again is repeated whatever it was, ignored rows excepted:
// those neither repeat nor stand for a reading. --from and --to leave out standards and controls too; a
// selected material leaves out seed only, because standards and controls vouch for every material.
// The material is the list's, else that of the reading itself: its material column, else the rules' patterns,
// else the assumed one. Where the list names only the crop (`soybean`) and the reading itself a presentation
// of it (`soybean-ground`), the presentation holds.
struct Batch {
    Batch() = default;
    Batch(Batch&&) = default; // not copied: parts refer to each other
    Batch& operator=(Batch&&) = default;

    Readings readings; // sample IDs as renamed by decisions
    SampleList list;
    std::vector<Decision> decisions;
    std::vector<std::string> material_names; // of Settings

    // By RowId.
    std::vector<Kind> kind;
    std::vector<std::uint8_t> material;     // index into material_names, kNoMaterial
    std::vector<std::uint8_t> own_material; // what the reading itself says, kNoMaterial: nothing
    std::vector<std::uint32_t> sample;      // index into samples, kNone for a blank ID
    std::vector<std::uint32_t> session;     // index into sessions, kNone

    std::vector<Sample> samples;
    std::vector<Plot> plots;
    std::vector<Place> places;
    std::vector<Line> lines;             // order: trial, name, bytewise
    std::vector<Session> sessions;       // order: instrument bytewise, start, source
    std::vector<Repeat> repeats;         // by row
    std::vector<Overlap> overlaps;       // by first_file, file
    std::vector<DecisionTarget> targets; // of each decision
    bool has_trials = false;             // the list (or sample_id pattern) knows trials
    bool has_oil_types = false;          // the list names the oil type of some sample
    bool has_plots = false;

    // Rows of kind seed, sample by sample, each in canonical order.
    std::vector<std::uint32_t> sample_begin; // size samples.size() + 1
    std::vector<RowId> sample_rows;

    std::span<const RowId> rows_of(std::uint32_t sample_index) const {
        return std::span(sample_rows)
            .subspan(sample_begin[sample_index], sample_begin[sample_index + 1] - sample_begin[sample_index]);
    }
    const Place& place_of(const Plot& plot) const { return places[plot.place]; }
    // The block of a row, in constant time.
    const Block& block_of(RowId row) const {
        std::size_t block = block_hint[row / kHintRows];
        while (row >= readings.blocks[block].first + readings.blocks[block].rows)
            ++block;
        return readings.blocks[block];
    }
    std::size_t in_block(RowId row) const { return row - block_of(row).first; }

    static constexpr std::size_t kHintRows = 256;
    std::vector<std::uint32_t> block_hint; // row / kHintRows -> block of the first such row, for block_of
    // Where the spans of plots and lines point to.
    std::vector<std::uint32_t> plot_samples, line_plots;
};

// Puts readings in order. Expects blocks and pools as intake delivers them (canonical order, ids bytewise).
// The result does not depend on settings.threads. Findings that this step meets (one sample in two lines,
// decision without match) are left to the rules; an impossible list is an Error before this point.
Batch assemble(Readings readings, SampleList list, std::vector<Decision> decisions, const Settings& settings);

} // namespace thresh::batch
