// The steps of assemble(), in the order in which they run. Each fills its part of the batch.
#pragma once

#include <thresh/batch/batch.hpp>

namespace thresh::batch {

class ReadingComparer;

// Rows grouped by sample ID, in canonical order within each; blank IDs form the last group.
struct SampleGroups {
    std::vector<std::uint32_t> begin; // by TextId of the sample pool, then blank, then the end
    std::vector<RowId> rows;
    std::vector<std::uint32_t> time_key;  // of each of `rows`, see repeats.cpp
    std::vector<std::uint32_t> of_sample; // rows of each sample of the batch; from make_samples on
};

// Gives readings the IDs that decisions say. Fills `targets` of renames.
void rename_samples(Batch& batch);
// Fills the rows in `targets` of keep and drop.
void find_target_rows(Batch& batch);
// Fills block_hint.
void index_blocks(Batch& batch);
// Fills kind (standard, control, ignored, else seed) and own_material.
void classify(Batch& batch, const Settings& settings);
// Needs the blocks only.
SampleGroups group_by_sample(const Batch& batch);
// Marks repeated rows; fills repeats and overlaps.
void find_repeats(Batch& batch, const SampleGroups& groups, unsigned threads);
// Two steps of it. Files whose times show minutes only and that are predictions of the same readings: adds to
// repeats, which stay sorted by row. `shown`: see shown_precision.
void pair_predicted_again(Batch& batch, const SampleGroups& groups, const std::vector<Time::Precision>& shown,
                          ReadingComparer& comparer);
// Lets readings of the later calibration stand where a file was predicted again. Needs overlaps, which are to
// be counted anew after it.
void let_later_calibration_count(Batch& batch);
// Lets rows count of whose reading another row was dropped; true when that changed repeats, and overlaps are
// to be counted anew. Needs the rows of the decisions' targets.
bool let_others_count(Batch& batch, ReadingComparer& comparer);
// Fills samples (id, entry, original), the rows' sample, and the groups' of_sample.
void make_samples(Batch& batch, SampleGroups& groups, unsigned threads);
// Fills material, and marks seed outside the selection.
void settle_material(Batch& batch, const Settings& settings);
// Marks standards and controls of sessions that lie outside the selected time as a whole. Those of a session
// that begins before it and reaches into it stay: what was read in it rests on them.
void select_standards(Batch& batch, const Settings& settings);
// Fills sample_begin and sample_rows; takes the groups' memory.
void list_seed_rows(Batch& batch, SampleGroups groups);
// Fills lines, plots, and the samples' places in them.
void make_lines(Batch& batch, const Settings& settings);
// Fills sessions and the rows' session.
void make_sessions(Batch& batch, const Settings& settings);
// Fills the sample and the file in `targets` of keep and drop.
void find_targets(Batch& batch);

} // namespace thresh::batch
