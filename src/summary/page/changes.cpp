// Three means of a line: as `lines` has it, without what is under review, and with all that was left out
// (readings that are excluded or superseded; values that are excluded themselves stay out of all three). They
// are taken alike: readings to samples to plots to line, each counted once.
#include "summary/page/parts.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace thresh::summary {

namespace {

// Means of a line in which nothing is left out, by slot.
class Complete {
  public:
    explicit Complete(const SampleMeans& means) : means_(means), workspace_(means.workspace()) {}

    std::vector<double> compute(const LineGroups& groups, const LineGroup& group) {
        const std::size_t slots = means_.constituents().size();
        std::vector<double> sum(slots, 0.0), plot_sum(slots);
        std::vector<std::uint32_t> n(slots, 0), plot_n(slots);
        for (std::uint32_t i = group.first; i < group.last;) {
            const std::uint32_t plot = groups.members[i].plot;
            std::fill(plot_sum.begin(), plot_sum.end(), 0.0);
            std::fill(plot_n.begin(), plot_n.end(), 0U);
            for (; i < group.last && groups.members[i].plot == plot; ++i)
                add_sample({groups.members[i].sample, group.material_index}, plot_sum, plot_n);
            for (std::size_t slot = 0; slot < slots; ++slot)
                if (plot_n[slot] > 0) {
                    sum[slot] += plot_sum[slot] / plot_n[slot];
                    ++n[slot];
                }
        }
        for (std::size_t slot = 0; slot < slots; ++slot)
            sum[slot] = n[slot] > 0 ? sum[slot] / n[slot] : kNothing;
        return sum;
    }

  private:
    void add_sample(SampleMeans::Group sample, std::vector<double>& sum, std::vector<std::uint32_t>& n) {
        means_.compute(sample, *workspace_, used_, SampleMeans::Of::usable);
        means_.compute(sample, *workspace_, left_out_, SampleMeans::Of::excluded);
        for (std::size_t slot = 0; slot < sum.size(); ++slot) {
            const double a = used_.n[slot], b = left_out_.n[slot];
            if (a + b == 0)
                continue;
            sum[slot] +=
                ((a > 0 ? used_.mean[slot] * a : 0) + (b > 0 ? left_out_.mean[slot] * b : 0)) / (a + b);
            ++n[slot];
        }
    }

    const SampleMeans& means_;
    std::unique_ptr<Workspace, void (*)(Workspace*)> workspace_;
    SampleNumbers used_, left_out_;
};

bool anything_marked(const Season& season, const LineGroups& groups, const LineGroup& group) {
    for (std::uint32_t i = group.first; i < group.last; ++i)
        for (const RowId row : season.batch.rows_of(groups.members[i].sample))
            if (season.batch.material[row] == group.material_index &&
                (season.judgement.verdict[row] != Verdict::use || season.judgement.has_marks(row)))
                return true;
    return false;
}

std::optional<double> number(double value) {
    return std::isnan(value) ? std::nullopt : std::optional(value);
}

double distance(std::optional<double> a, std::optional<double> b) {
    return a && b ? std::abs(*a - *b) : 0;
}

// The constituents that decide: the material's key ones, without moisture.
std::vector<std::size_t> watched(const SampleMeans& means, std::uint8_t material) {
    std::vector<std::size_t> slots;
    const rules::Material* about = means.season().rules.material(material);
    for (std::size_t slot = 0; slot < means.constituents().size(); ++slot) {
        const ConstituentId id = means.constituents()[slot];
        const bool key =
            about != nullptr && std::find(about->key.begin(), about->key.end(), id) != about->key.end();
        if (id != constituent::moisture && (key || (about == nullptr && slot < 3)))
            slots.push_back(slot);
    }
    return slots;
}

} // namespace

void add_page_changes(const Season& season, const SampleMeans& means, const LineGroups& groups,
                      SeasonPage& page) {
    LineArithmetic arithmetic(means), without_review(means);
    Complete complete(means);
    const Reasons reasons(season);
    const Adjuster& adjuster = means.values().adjuster();
    for (const LineGroup& group : groups.groups) {
        const bool marked = anything_marked(season, groups, group);
        if (!marked && !adjuster.active())
            continue;
        const LineNumbers& now = arithmetic.compute(groups, group);
        page.adjusted_lines += now.adjusted.empty() ? 0U : 1U;
        if (!marked || now.provisional)
            continue;
        const LineNumbers& certain = without_review.compute_certain(groups, group);
        const std::vector<double> all = complete.compute(groups, group);
        std::string why;
        for (const std::size_t slot : watched(means, group.material_index)) {
            page::ChangedMean made;
            made.quantity = page_quantity(means, slot, group.material_index);
            made.now = number(now.mean[slot]);
            made.certain = number(certain.mean[slot]);
            made.all = number(all[slot]);
            made.moved = std::max(distance(made.now, made.certain), distance(made.now, made.all));
            const double unit = std::pow(10.0, -static_cast<double>(made.quantity.decimals));
            if (made.moved < unit / 2 && made.now.has_value() == made.certain.has_value())
                continue;
            if (why.empty())
                why = reasons.words(groups, group, {});
            made.material = group.material;
            made.trial = group.key.size() > 1 ? group.key.front() : "";
            made.line = group.key.back();
            made.why = why;
            page.changes.push_back(std::move(made));
        }
    }
    std::stable_sort(page.changes.begin(), page.changes.end(),
                     [](const auto& a, const auto& b) { return a.moved > b.moved; });
}

} // namespace thresh::summary
