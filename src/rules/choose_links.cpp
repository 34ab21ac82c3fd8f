// Drift is a mean over the samples that sessions share. Millions of them tell no more than thousands do, and
// take most of the time; a pair of sessions that shares few keeps them all. So every sample is looked at
// once, to count who shares what, and again only those that stay.
#include "rules/chosen_links.hpp"

#include "rules/key_values.hpp"
#include "rules/limits.hpp"
#include "rules/link_kinds.hpp"

#include <algorithm>
#include <limits>
#include <map>
#include <thresh/core/parallel.hpp>
#include <thresh/rules/control_series.hpp>
#include <thresh/rules/drift.hpp>
#include <tuple>

namespace thresh::rules {

namespace {

constexpr std::uint32_t kSamplesAPiece = 8192;
constexpr std::uint32_t kAhead = 32; // readings whose verdicts and sessions are asked for ahead
// A sample read in more sessions than this links so many that it always stays.
constexpr std::size_t kMostSessions = 6;

using OfControls = std::map<std::uint32_t, std::vector<ChosenLink>>; // by sample

void add_usable(const Evidence& evidence, std::uint32_t sample, RowId row, std::uint32_t place,
                std::vector<ChosenLink>& links) {
    const batch::Batch& batch = evidence.batch;
    if (evidence.so_far.verdict[row] <= Verdict::review && batch.session[row] != kNone &&
        batch.material[row] != batch::kNoMaterial)
        links.push_back({sample, row, place, batch.session[row], batch.material[row]});
}

// The usable readings of a sample, none where one session read it.
void gather(const Evidence& evidence, std::uint32_t sample, std::vector<ChosenLink>& links) {
    const batch::Batch& batch = evidence.batch;
    links.clear();
    const auto rows = batch.rows_of(sample);
    if (rows.size() < 2 || std::all_of(rows.begin(), rows.end(), [&](RowId row) {
            return batch.session[row] == batch.session[rows.front()];
        }))
        return;
    for (std::uint32_t place = batch.sample_begin[sample]; place < batch.sample_begin[sample + 1]; ++place)
        add_usable(evidence, sample, batch.sample_rows[place], place, links);
}

// Controls that are judged by a chart do not link: what they show is told already.
std::set<std::uint32_t> charted_controls(const Evidence& evidence) {
    std::set<std::uint32_t> charted;
    for (const ControlSeries& series : control_series(evidence.batch, evidence.rules))
        if (series.charted())
            charted.insert(series.sample);
    return charted;
}

OfControls gather_controls(const Evidence& evidence) {
    const batch::Batch& batch = evidence.batch;
    OfControls controls;
    if (std::find(batch.kind.begin(), batch.kind.end(), Kind::control) == batch.kind.end())
        return controls;
    const std::set<std::uint32_t> charted = charted_controls(evidence);
    for (RowId row = 0; row < batch.kind.size(); ++row)
        if (batch.kind[row] == Kind::control && batch.sample[row] != kNone &&
            !charted.contains(batch.sample[row]))
            add_usable(evidence, batch.sample[row], row, kNone, controls[batch.sample[row]]);
    return controls;
}

// Puts readings of a sample in order and calls take(links) for each material that several sessions read.
template <typename Take>
void for_materials(std::vector<ChosenLink>& links, const Take& take) {
    std::sort(links.begin(), links.end(), [](const ChosenLink& a, const ChosenLink& b) {
        return std::tuple(a.material, a.session, a.row) < std::tuple(b.material, b.session, b.row);
    });
    for (std::size_t first = 0, last = 0; first < links.size(); first = last) {
        while (last < links.size() && links[last].material == links[first].material)
            ++last;
        if (links[first].session != links[last - 1].session)
            take(std::span<const ChosenLink>(links).subspan(first, last - first));
    }
}

class Counting {
  public:
    explicit Counting(const Evidence& evidence) : evidence_(evidence) {
        for (std::uint8_t m = 0; m < evidence.batch.material_names.size(); ++m) {
            const Material* about = evidence.rules.material(m);
            const auto at = about == nullptr
                                ? std::size_t{0}
                                : static_cast<std::size_t>(
                                      std::find(about->key.begin(), about->key.end(), constituent::moisture) -
                                      about->key.begin());
            moisture_.push_back(about == nullptr || at == about->key.size() ? kNoPlace : at);
        }
    }

    // Adds the kinds of a sample's readings in one material.
    void count(std::span<const ChosenLink> links, LinkKinds& kinds) const {
        std::array<std::uint32_t, kMostSessions> sessions;
        std::size_t known = 0;
        for (std::size_t i = 0; i < links.size(); ++i) {
            if (i > 0 && links[i].session == links[i - 1].session)
                continue;
            if (known == kMostSessions) {
                kinds.add(links[i].sample, always_kind(links[i].material));
                return;
            }
            sessions[known++] = links[i].session;
        }
        const bool moved = changed(links);
        for (std::size_t a = 0; a < known; ++a)
            for (std::size_t b = a + 1; b < known; ++b)
                kinds.add(links[0].sample, link_kind(links[0].material, sessions[a], sessions[b], moved));
    }

  private:
    static constexpr std::size_t kNoPlace = static_cast<std::size_t>(-1);

    bool changed(std::span<const ChosenLink> links) const {
        double low = std::numeric_limits<double>::infinity(), high = -low;
        for (const ChosenLink& link : links) {
            const double moisture = moisture_of_link(link);
            low = moisture < low ? moisture : low; // false for NaN
            high = moisture > high ? moisture : high;
        }
        return high - low > kMoistureChange;
    }
    double moisture_of_link(const ChosenLink& link) const {
        if (evidence_.key_values != nullptr && link.place != kNone && moisture_[link.material] != kNoPlace &&
            evidence_.key_values->material(link.place) == link.material)
            return evidence_.key_values->of(link.place)[moisture_[link.material]];
        return moisture_of(evidence_, link.row).value_or(std::numeric_limits<double>::quiet_NaN());
    }

    const Evidence& evidence_;
    std::vector<std::size_t> moisture_; // of each material: its place among the key constituents
};

void ask_ahead(const Evidence& evidence, std::uint32_t sample) {
    const batch::Batch& batch = evidence.batch;
    for (std::uint32_t place = batch.sample_begin[sample]; place < batch.sample_begin[sample + 1]; ++place)
        if (place + kAhead < batch.sample_rows.size()) {
            const RowId row = batch.sample_rows[place + kAhead];
            __builtin_prefetch(&batch.session[row]);
            __builtin_prefetch(&evidence.so_far.verdict[row]);
            __builtin_prefetch(&batch.material[row]);
        }
}

// Whether a sample stays, with the rarest of its kinds shared by `rarest` samples.
bool stays(const batch::Batch& batch, std::uint32_t sample, std::size_t rarest) {
    if (rarest <= kEnoughSamples)
        return true;
    const double share = static_cast<double>(kEnoughSamples) / static_cast<double>(rarest);
    return static_cast<double>(hash_bytes(batch.samples[sample].id) >> 11) * 0x1.0p-53 < share;
}

using Totals = std::unordered_map<LinkKind, std::size_t>; // samples of each kind

Totals totals_of(const std::vector<LinkKinds>& pieces) {
    Totals totals;
    for (const LinkKinds& piece : pieces)
        for (std::size_t number = 0; number < piece.kinds().size(); ++number)
            totals[piece.kinds()[number]] += piece.counts()[number];
    for (auto& [kind, samples] : totals)
        if (kind == always_kind(material_of(kind)))
            samples = 0;
    return totals;
}

// Calls take(sample, material) for all that stay.
template <typename Take>
void for_staying(const batch::Batch& batch, const LinkKinds& piece, const Totals& totals, const Take& take) {
    const auto& entries = piece.entries();
    std::vector<std::size_t> shared; // by number of the kind
    for (const LinkKind kind : piece.kinds())
        shared.push_back(totals.at(kind));
    for (std::size_t first = 0, last = 0; first < entries.size(); first = last) {
        const std::uint8_t material = material_of(piece.kinds()[entries[first].kind]);
        std::size_t rarest = std::numeric_limits<std::size_t>::max();
        for (; last < entries.size() && entries[last].sample == entries[first].sample &&
               material_of(piece.kinds()[entries[last].kind]) == material;
             ++last)
            rarest = std::min(rarest, shared[entries[last].kind]);
        if (stays(batch, entries[first].sample, rarest))
            take(entries[first].sample, material);
    }
}

} // namespace

std::vector<std::vector<ChosenLink>> choose_links(const Evidence& evidence,
                                                  const std::set<std::uint32_t>& reused) {
    const batch::Batch& batch = evidence.batch;
    const unsigned threads = evidence.rules.batch.threads;
    const auto samples = static_cast<std::uint32_t>(batch.samples.size());
    const std::size_t of_seed = (samples + kSamplesAPiece - 1) / kSamplesAPiece;
    const Counting counting(evidence);
    OfControls controls; // the last piece
    std::vector<LinkKinds> counted(of_seed + 1);
    parallel_for(counted.size(), threads, [&](std::size_t p) {
        const auto count = [&](std::span<const ChosenLink> links) { counting.count(links, counted[p]); };
        if (p == of_seed) {
            controls = gather_controls(evidence);
            for (auto& [sample, links] : controls)
                for_materials(links, count);
            return;
        }
        const auto first = static_cast<std::uint32_t>(p * kSamplesAPiece);
        std::vector<ChosenLink> links;
        for (std::uint32_t sample = first; sample < std::min(samples, first + kSamplesAPiece); ++sample) {
            ask_ahead(evidence, sample);
            if (!reused.contains(sample)) {
                gather(evidence, sample, links);
                for_materials(links, count);
            }
        }
    });
    const Totals totals = totals_of(counted);
    std::vector<std::vector<ChosenLink>> chosen(counted.size());
    parallel_for(counted.size(), threads, [&](std::size_t p) {
        std::vector<ChosenLink> links;
        for_staying(batch, counted[p], totals, [&](std::uint32_t sample, std::uint8_t material) {
            if (p < of_seed)
                gather(evidence, sample, links);
            else
                links = controls.at(sample);
            for_materials(links, [&](std::span<const ChosenLink> of_material) {
                if (of_material.front().material == material)
                    chosen[p].insert(chosen[p].end(), of_material.begin(), of_material.end());
            });
        });
    });
    return chosen;
}

} // namespace thresh::rules
