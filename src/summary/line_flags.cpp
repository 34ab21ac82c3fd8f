#include "summary/line_flags.hpp"

#include "summary/reading_values.hpp"

#include <algorithm>
#include <array>
#include <numeric>
#include <thresh/core/parallel.hpp>

namespace thresh::summary {

namespace {

enum What : std::uint32_t { flagged, low, high, kWhats };

struct Tally {
    std::uint32_t group, what; // what: slot * kWhats + What
};

// The line of each sample, for readings of each material: a sample read as two is a member of two lines.
class GroupOf {
  public:
    GroupOf(const batch::Batch& batch, const LineGroups& groups) : batch_(batch) {
        for (std::size_t g = 0; g < groups.groups.size(); ++g) {
            const LineGroup& group = groups.groups[g];
            auto& of_sample = of_sample_[group.material_index];
            if (of_sample.empty() && group.first < group.last)
                of_sample.assign(batch.samples.size(), kNone);
            for (std::uint32_t i = group.first; i < group.last; ++i)
                of_sample[groups.members[i].sample] = static_cast<std::uint32_t>(g);
        }
    }
    // kNone: the reading is in no line.
    std::uint32_t of(RowId row) const {
        const auto& of_sample = of_sample_[batch_.material[row]];
        if (of_sample.empty() || batch_.kind[row] != Kind::seed || batch_.sample[row] == kNone)
            return kNone;
        return of_sample[batch_.sample[row]];
    }

  private:
    const batch::Batch& batch_;
    std::array<std::vector<std::uint32_t>, 256> of_sample_;
};

class Gatherer {
  public:
    Gatherer(const SampleMeans& means, const LineGroups& groups)
        : season_(means.season()), values_(means.values()), group_of_(season_.batch, groups),
          below_(rules::code_index("below-expected")), above_(rules::code_index("above-expected")) {}

    void add(const Finding& finding, std::vector<Tally>& into) const {
        if (finding.code != below_ && finding.code != above_)
            return;
        if (finding.row != kNone && !finding.settled &&
            season_.judgement.verdict[finding.row] <= Verdict::review)
            add(finding.row, finding.constituent, finding.code == below_ ? low : high, into);
    }
    void add(const rules::Judgement::ValueMark& mark, std::vector<Tally>& into) const {
        add(mark.row, mark.constituent, flagged, into);
    }

  private:
    void add(RowId row, ConstituentId id, What what, std::vector<Tally>& into) const {
        const std::size_t slot = values_.slot_of(id);
        if (slot == kNoSlot)
            return;
        if (const std::uint32_t group = group_of_.of(row); group != kNone)
            into.push_back({group, static_cast<std::uint32_t>(slot) * kWhats + what});
    }

    Season season_;
    const ReadingValues& values_;
    GroupOf group_of_;
    std::optional<std::uint16_t> below_, above_;
};

// Piece by piece of findings and marks.
std::vector<std::vector<Tally>> gather(const SampleMeans& means, const LineGroups& groups) {
    constexpr std::size_t kAPiece = 1 << 16;
    const Season& season = means.season();
    const auto& findings = season.judgement.findings;
    const auto& marks = season.judgement.marks;
    const Gatherer gatherer(means, groups);
    const std::size_t of_findings = (findings.size() + kAPiece - 1) / kAPiece;
    const std::size_t of_marks = (marks.size() + kAPiece - 1) / kAPiece;
    std::vector<std::vector<Tally>> pieces(of_findings + of_marks);
    const auto look = [&](const auto& all, std::size_t piece, std::vector<Tally>& into) {
        for (std::size_t i = piece * kAPiece; i < std::min(all.size(), (piece + 1) * kAPiece); ++i)
            gatherer.add(all[i], into);
    };
    parallel_for(pieces.size(), season.threads, [&](std::size_t piece) {
        if (piece < of_findings)
            look(findings, piece, pieces[piece]);
        else
            look(marks, piece - of_findings, pieces[piece]);
    });
    return pieces;
}

} // namespace

LineFlags::LineFlags(const SampleMeans& means, const LineGroups& groups)
    : slots_(means.values().slots()), begin_(groups.groups.size() + 1, 0) {
    const std::vector<std::vector<Tally>> pieces = gather(means, groups);
    for (const auto& piece : pieces)
        for (const Tally& tally : piece)
            ++begin_[tally.group];
    std::exclusive_scan(begin_.begin(), begin_.end(), begin_.begin(), 0U);
    tallies_.resize(begin_.back());
    std::vector<std::uint32_t> next(begin_.begin(), begin_.end() - 1);
    for (const auto& piece : pieces)
        for (const Tally& tally : piece)
            tallies_[next[tally.group]++] = tally.what;
}

void LineFlags::count(std::size_t group, FlagCounts& into) const {
    std::array<std::vector<std::uint32_t>*, kWhats> counts = {&into.flagged, &into.low, &into.high};
    for (auto* of_slot : counts)
        of_slot->assign(slots_, 0);
    for (std::uint32_t i = begin_[group]; i < begin_[group + 1]; ++i)
        ++(*counts[tallies_[i] % kWhats])[tallies_[i] / kWhats];
}

Shown shown_mean(std::uint32_t low, std::uint32_t high, std::uint32_t flagged, std::uint32_t values) {
    if (2 * low > values)
        return Shown::low;
    if (2 * high > values)
        return Shown::high;
    return flagged > 0 ? Shown::review : Shown::plain;
}

} // namespace thresh::summary
