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

// Sums become means.
void divide(const std::uint32_t* n, std::size_t slots, double* sum) {
    for (std::size_t slot = 0; slot < slots; ++slot) {
        const double mean = sum[slot] / n[slot]; // without a branch; 0 / 0 is not used
        sum[slot] = n[slot] > 0 ? mean : kNothing;
    }
}

} // namespace

std::shared_ptr<const SampleMeans> sample_means(const Season& season) {
    return std::make_shared<const SampleMeans>(season);
}

SampleMeans::SampleMeans(const Season& season)
    : season_(season), values_(std::make_unique<ReadingValues>(season)) {}
SampleMeans::~SampleMeans() = default;

const std::vector<ConstituentId>& SampleMeans::constituents() const {
    return values_->constituents();
}
PartOf SampleMeans::part_of(std::size_t slot) const {
    return values_->part_of(constituents()[slot]);
}
std::vector<std::string> SampleMeans::other_shares() const {
    return values_->other_shares();
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

void SampleMeans::compute(Group group, Workspace& workspace, SampleNumbers& into, Of of,
                          std::vector<double>* each) const {
    const std::size_t slots = values_->slots();
    into.readings = into.used = into.review = 0;
    into.mean.assign(slots, 0.0);
    into.n.assign(slots, 0);
    const batch::Batch& batch = season_.batch;
    for (const RowId row : batch.rows_of(group.sample)) {
        if (batch.material[row] != group.material)
            continue;
        const Verdict verdict = season_.judgement.verdict[row];
        const bool used = verdict == Verdict::use || verdict == Verdict::review;
        ++into.readings;
        into.used += used ? 1U : 0U;
        into.review += verdict == Verdict::review ? 1U : 0U;
        if (used != (of != Of::excluded) || (of == Of::certain && verdict == Verdict::review))
            continue;
        if (of == Of::certain)
            values_->certain(row, workspace.scratch, workspace.values.data());
        else
            values_->usable(row, workspace.scratch, workspace.values.data());
        if (each != nullptr)
            each->insert(each->end(), workspace.values.begin(), workspace.values.end());
        add_values(workspace.values.data(), slots, into.mean.data(), into.n.data());
    }
    divide(into.n.data(), slots, into.mean.data());
    fill_ratios(*values_, into.mean, into.n);
}

void fill_ratios(const ReadingValues& values, std::vector<double>& mean, std::vector<std::uint32_t>& n) {
    for (const ReadingValues::Ratio& ratio : values.ratios()) {
        const std::size_t slot = ratio.slot;
        mean[slot] = values.of_means(ratio, mean.data());
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
    for (const RowId row : season_.batch.rows_of(sample))
        values_->prefetch(row);
}

} // namespace thresh::summary
