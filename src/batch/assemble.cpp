// The order of the steps. All of them walk rows in canonical order or sample by sample; none depends on the
// number of threads, because every thread writes only what belongs to its own rows.
#include <thresh/batch/batch.hpp>

#include "batch/stages.hpp"

#include <algorithm>
#include <cassert>
#include <thresh/core/parallel.hpp>

namespace thresh::batch {

void index_blocks(Batch& batch) {
    const auto& blocks = batch.readings.blocks;
    batch.block_hint.clear();
    for (std::uint32_t block = 0; block < blocks.size(); ++block)
        while (batch.block_hint.size() * Batch::kHintRows < blocks[block].first + blocks[block].rows)
            batch.block_hint.push_back(block);
}

Batch assemble(Readings readings, SampleList list, std::vector<Decision> decisions,
               const Settings& settings) {
    assert(settings.material_names.size() < kNoMaterial);
    Batch batch;
    batch.readings = std::move(readings);
    batch.list = std::move(list);
    batch.decisions = std::move(decisions);
    batch.material_names = settings.material_names;
    batch.targets.resize(batch.decisions.size());

    index_blocks(batch);
    rename_samples(batch);
    find_target_rows(batch);
    // Here and below two steps that touch nothing of each other's.
    SampleGroups groups;
    parallel_for(2, settings.threads, [&](std::size_t step) {
        if (step == 0)
            groups = group_by_sample(batch);
        else
            classify(batch, settings);
    });
    parallel_for(2, settings.threads, [&](std::size_t step) {
        if (step == 0)
            make_samples(batch, groups, settings.threads);
        else
            find_repeats(batch, groups, settings.threads);
    });
    settle_material(batch, settings);
    parallel_for(2, settings.threads, [&](std::size_t step) {
        if (step == 0) {
            make_sessions(batch, settings);
        } else {
            list_seed_rows(batch, std::move(groups));
            make_lines(batch, settings);
        }
    });
    select_standards(batch, settings);
    batch.has_oil_types = batch.list.states(ListText::oil_type);
    find_targets(batch);
    return batch;
}

} // namespace thresh::batch
