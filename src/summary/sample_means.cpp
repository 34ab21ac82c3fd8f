// A sample is summed whole, by one thread, over its readings in canonical order: no cut of the data and no
// number of threads can change a digit. Nothing is stored; means are made when
// they are asked for, which costs less than keeping ten million of them.
#include <thresh/summary/sample_means.hpp>

#include "summary/material_order.hpp"
#include "summary/slot_sums.hpp"
#include "summary/workspace.hpp"

#include <algorithm>
#include <cmath>
#include <thresh/core/parallel.hpp>

namespace thresh::summary {

namespace {

constexpr std::uint32_t kSamplesAPiece = 8192;

} // namespace

std::vector<RowState> row_states(const Season& season) {
    constexpr std::size_t kRowsAPiece = 1 << 16;
    const std::size_t rows = season.batch.kind.size();
    std::vector<RowState> states(rows);
    parallel_for((rows + kRowsAPiece - 1) / kRowsAPiece, season.threads, [&](std::size_t piece) {
        const std::size_t last = std::min(rows, (piece + 1) * kRowsAPiece);
        for (std::size_t row = piece * kRowsAPiece; row < last; ++row)
            states[row] = RowState(season, static_cast<RowId>(row));
    });
    return states;
}

std::shared_ptr<const SampleMeans> sample_means(const Season& season) {
    return std::make_shared<const SampleMeans>(season);
}

SampleMeans::SampleMeans(const Season& season)
    : season_(season), values_(std::make_unique<ReadingValues>(season)), states_(row_states(season)) {}
SampleMeans::~SampleMeans() = default;

const std::vector<ConstituentId>& SampleMeans::constituents() const {
    return values_->constituents();
}
PartOf SampleMeans::part_of(std::size_t slot) const {
    return values_->part_of(constituents()[slot]);
}

std::string SampleMeans::basis_of(std::size_t slot, std::uint8_t material) const {
    const ConstituentId id = constituents()[slot];
    if (part_of(slot) != PartOf::sample)
        return {};
    return to_text(id == constituent::moisture ? Basis::as_is() : season_.rules.wanted_basis(material));
}

std::vector<SampleMeans::Group> SampleMeans::list_groups() const {
    const batch::Batch& batch = season_.batch;
    const auto samples = static_cast<std::uint32_t>(batch.samples.size());
    const std::size_t pieces = (samples + kSamplesAPiece - 1) / kSamplesAPiece;
    std::vector<std::vector<Group>> found(pieces);
    parallel_for(pieces, season_.threads, [&](std::size_t piece) {
        const auto first = static_cast<std::uint32_t>(piece) * kSamplesAPiece;
        for (std::uint32_t sample = first; sample < std::min(samples, first + kSamplesAPiece); ++sample)
            for_each_material(batch, sample, [&](std::uint8_t material) {
                found[piece].push_back({sample, material});
            });
    });
    const MaterialOrder order(batch);
    std::vector<std::vector<Group>> by_rank(order.size());
    for (const auto& piece : found)
        for (const Group group : piece)
            by_rank[order.rank(group.material)].push_back(group);
    std::vector<Group> groups;
    for (const auto& of_rank : by_rank)
        groups.insert(groups.end(), of_rank.begin(), of_rank.end());
    return groups;
}

namespace {

// The sums of one sample, made where the values of its readings' table stand. With another table they move:
// every sum stays one sum over the readings in their order.
class Sums {
  public:
    Sums(Workspace& workspace, SampleNumbers& into) : workspace_(workspace), into_(into) {}
    void add(const ReadingValues::InLayout& reading) {
        if (&reading.layout != layout_)
            move_to(reading.layout);
        add_values(reading.values, reading.layout.width, workspace_.sum.data(), workspace_.n.data());
    }
    // Sums and counts by slot. Precondition: they were 0.
    void finish() const {
        if (layout_ == nullptr)
            return;
        for (const auto& place : layout_->places) {
            into_.mean[place.slot] = workspace_.sum[place.at];
            into_.n[place.slot] = workspace_.n[place.at];
        }
    }

  private:
    void move_to(const ReadingValues::Layout& layout) {
        const bool moves = layout_ != nullptr;
        finish();
        layout_ = &layout;
        std::fill_n(workspace_.sum.begin(), layout.width, 0.0);
        std::fill_n(workspace_.n.begin(), layout.width, 0U);
        if (!moves)
            return;
        for (const auto& place : layout.places) {
            workspace_.sum[place.at] = into_.mean[place.slot];
            workspace_.n[place.at] = into_.n[place.slot];
        }
    }

    Workspace& workspace_;
    SampleNumbers& into_;
    const ReadingValues::Layout* layout_ = nullptr; // of the readings so far
};

} // namespace

void SampleMeans::compute(Group group, Workspace& workspace, SampleNumbers& into, Of of, Each* each) const {
    const std::size_t slots = values_->slots();
    into.readings = into.used = into.review = 0;
    into.mean.assign(slots, 0.0);
    into.n.assign(slots, 0);
    if (each != nullptr)
        each->values.clear();
    Sums sums(workspace, into);
    for (const RowId row : season_.batch.rows_of(group.sample)) {
        const RowState state = states_[row];
        if (state.material() != group.material)
            continue;
        const Verdict verdict = state.verdict();
        const bool used = verdict == Verdict::use || verdict == Verdict::review;
        ++into.readings;
        into.used += used ? 1U : 0U;
        into.review += verdict == Verdict::review ? 1U : 0U;
        if (used != (of != Of::excluded) || (of == Of::certain && verdict == Verdict::review))
            continue;
        const ReadingValues::InLayout reading =
            of == Of::certain ? values_->certain_in_layout(row, state, workspace.scratch)
                              : values_->usable_in_layout(row, state, workspace.scratch);
        sums.add(reading);
        if (each != nullptr)
            for (const std::size_t slot : each->slots)
                each->values.push_back(reading.of(slot));
    }
    sums.finish();
    divide_sums(into.n.data(), slots, into.mean.data());
    fill_ratios(*values_, into.mean, into.n);
}

void fill_ratios(const ReadingValues& values, std::vector<double>& mean, std::vector<std::uint32_t>& n) {
    for (const ReadingValues::Ratio& ratio : values.ratios()) {
        const std::size_t slot = ratio.slot;
        values.set_ratio(ratio, mean);
        n[slot] = std::numeric_limits<std::uint32_t>::max();
        for (const std::size_t input : ratio.inputs)
            n[slot] = std::min(n[slot], n[input]);
        if (std::isnan(mean[slot]))
            n[slot] = 0;
    }
}

std::unique_ptr<Workspace, void (*)(Workspace*)> SampleMeans::workspace() const {
    return {new Workspace(*values_), [](Workspace* w) { delete w; }};
}

void SampleMeans::prefetch(std::uint32_t sample) const {
    for (const RowId row : season_.batch.rows_of(sample)) {
        values_->prefetch(row);
        __builtin_prefetch(&states_[row]);
    }
}

} // namespace thresh::summary
