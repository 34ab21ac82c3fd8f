// Drift is a mean over the samples that sessions share. Millions of them tell no more than thousands do, and
// take most of the time; a pair of sessions that shares few keeps them all. So every sample is looked at
// once, to count who shares what, and again only those that stay.
#include "rules/chosen_links.hpp"

#include "rules/key_values.hpp"
#include "rules/limits.hpp"
#include "rules/link_kinds.hpp"
#include "rules/reading_order.hpp"

#include <algorithm>
#include <cassert>
#include <limits>
#include <map>
#include <thresh/core/nothing.hpp>
#include <thresh/core/parallel.hpp>
#include <thresh/rules/control_series.hpp>
#include <thresh/rules/drift.hpp>

namespace thresh::rules {

namespace {

constexpr std::uint32_t kSamplesAPiece = 8192;
constexpr std::uint32_t kAhead = 32; // readings that are asked for ahead where they lie far apart
// A sample read in more sessions than this links so many that it always stays.
constexpr std::size_t kMostSessions = 6;

// Readings of one sample.
struct Readings {
    std::uint32_t sample;
    std::span<const RowId> rows; // in order
    std::uint32_t first_place;   // of them in Batch::sample_rows; kNone for controls

    std::uint32_t place(std::size_t nth) const {
        return first_place == kNone ? kNone : first_place + static_cast<std::uint32_t>(nth);
    }
};

Readings seed_readings(const batch::Batch& batch, std::uint32_t sample) {
    return {sample, batch.rows_of(sample), batch.sample_begin[sample]};
}

// What the choice asks of readings: from KeyValues, where they lie in the order of the samples, or where
// there are none (and of controls) from the batch, where they lie far apart.
class Usable {
  public:
    explicit Usable(const Evidence& evidence) : evidence_(evidence) {
        assert(evidence.batch.sessions.size() < (1U << OrderedReading::kSessionBits));
    }
    // The usable readings in order of material, session, row; in memory that is used again.
    std::span<const OrderedReading> operator()(const Readings& of) {
        const batch::Batch& batch = evidence_.batch;
        assert(of.rows.size() < (std::size_t{1} << OrderedReading::kNthBits));
        if (of.rows.size() < 2)
            return {};
        sorter_.begin(of.rows.size());
        const auto add = [&](std::uint8_t material, std::uint32_t session, std::size_t nth) {
            sorter_.add(OrderedReading::by_material(material, session, nth),
                        static_cast<bool>(static_cast<int>(session != kNone) &
                                          static_cast<int>(material != batch::kNoMaterial)));
        };
        if (evidence_.key_values != nullptr && of.first_place != kNone) {
            for (std::size_t nth = 0; nth < of.rows.size(); ++nth)
                add(evidence_.key_values->material(of.place(nth)),
                    evidence_.key_values->session(of.place(nth)), nth);
        } else {
            for (std::size_t nth = 0; nth < of.rows.size(); ++nth) {
                const RowId row = of.rows[nth];
                const bool usable = evidence_.so_far.verdict[row] <= Verdict::review;
                add(usable ? batch.material[row] : batch::kNoMaterial, batch.session[row], nth);
            }
        }
        return sorter_.sorted();
    }

  private:
    const Evidence& evidence_;
    ReadingSorter sorter_;
};

// Controls that are judged by a chart do not link: what they show is told already.
std::set<std::uint32_t> charted_controls(const Evidence& evidence) {
    std::set<std::uint32_t> charted;
    for (const ControlSeries& series : control_series(evidence.batch, evidence.rules))
        if (series.charted())
            charted.insert(series.sample);
    return charted;
}

using RowsOfControls = std::map<std::uint32_t, std::vector<RowId>>; // by sample

RowsOfControls rows_of_controls(const Evidence& evidence) {
    const batch::Batch& batch = evidence.batch;
    RowsOfControls controls;
    if (std::find(batch.kind.begin(), batch.kind.end(), Kind::control) == batch.kind.end())
        return controls;
    const std::set<std::uint32_t> charted = charted_controls(evidence);
    for (RowId row = 0; row < batch.kind.size(); ++row)
        if (batch.kind[row] == Kind::control && batch.sample[row] != kNone &&
            !charted.contains(batch.sample[row]))
            controls[batch.sample[row]].push_back(row);
    return controls;
}

// Calls take(readings) for each material that several sessions read.
template <typename Take>
void for_materials(std::span<const OrderedReading> readings, const Take& take) {
    for (std::size_t first = 0, last = 0; first < readings.size(); first = last) {
        while (last < readings.size() && readings[last].material() == readings[first].material())
            ++last;
        if (readings[first].session() != readings[last - 1].session())
            take(readings.subspan(first, last - first));
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

    // Adds the kinds of a sample's `readings` in one material.
    void count(const Readings& of, std::span<const OrderedReading> readings, LinkKinds& kinds) const {
        const std::uint8_t material = readings.front().material();
        std::array<std::uint32_t, kMostSessions> sessions;
        std::size_t known = 0;
        for (std::size_t i = 0; i < readings.size(); ++i) {
            const std::uint32_t session = readings[i].session();
            if (known > 0 && session == sessions[known - 1])
                continue;
            if (known == kMostSessions) {
                kinds.add(of.sample, always_kind(material));
                return;
            }
            sessions[known++] = session;
        }
        const bool moved = changed(of, readings);
        for (std::size_t a = 0; a < known; ++a)
            for (std::size_t b = a + 1; b < known; ++b)
                kinds.add(of.sample, link_kind(material, sessions[a], sessions[b], moved));
    }

  private:
    static constexpr std::size_t kNoPlace = static_cast<std::size_t>(-1);

    bool changed(const Readings& of, std::span<const OrderedReading> readings) const {
        double low = std::numeric_limits<double>::infinity(), high = -low;
        for (const OrderedReading reading : readings) {
            const double moisture = moisture_in(of, reading.nth(), reading.material());
            low = moisture < low ? moisture : low; // false for NaN
            high = moisture > high ? moisture : high;
        }
        return high - low > kMoistureChange;
    }
    double moisture_in(const Readings& of, std::size_t nth, std::uint8_t material) const {
        const std::uint32_t place = of.place(nth);
        if (evidence_.key_values != nullptr && place != kNone && moisture_[material] != kNoPlace &&
            evidence_.key_values->material(place) == material)
            return evidence_.key_values->of(place)[moisture_[material]];
        return moisture_of(evidence_, of.rows[nth]).value_or(kNothing);
    }

    const Evidence& evidence_;
    std::vector<std::size_t> moisture_; // of each material: its place among the key constituents
};

// Inline as Block::prefetch_cells.
[[gnu::always_inline]] inline void ask_ahead(const Evidence& evidence, std::uint32_t sample) {
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
    RowsOfControls controls; // the last piece
    std::vector<LinkKinds> counted(of_seed + 1);
    parallel_for(counted.size(), threads, [&](std::size_t p) {
        Usable usable(evidence);
        const auto count = [&](const Readings& of) {
            for_materials(usable(of), [&](std::span<const OrderedReading> readings) {
                counting.count(of, readings, counted[p]);
            });
        };
        if (p == of_seed) {
            controls = rows_of_controls(evidence);
            for (const auto& [sample, rows] : controls)
                count({sample, rows, kNone});
            return;
        }
        const auto first = static_cast<std::uint32_t>(p * kSamplesAPiece);
        for (std::uint32_t sample = first; sample < std::min(samples, first + kSamplesAPiece); ++sample) {
            if (evidence.key_values == nullptr)
                ask_ahead(evidence, sample);
            if (!reused.contains(sample))
                count(seed_readings(batch, sample));
        }
    });
    const Totals totals = totals_of(counted);
    std::vector<std::vector<ChosenLink>> chosen(counted.size());
    parallel_for(counted.size(), threads, [&](std::size_t p) {
        Usable usable(evidence);
        for_staying(batch, counted[p], totals, [&](std::uint32_t sample, std::uint8_t material) {
            const Readings of =
                p < of_seed ? seed_readings(batch, sample) : Readings{sample, controls.at(sample), kNone};
            for (const OrderedReading reading : usable(of))
                if (reading.material() == material)
                    chosen[p].push_back({sample, of.rows[reading.nth()], of.place(reading.nth()),
                                         reading.session(), material});
        });
    });
    return chosen;
}

} // namespace thresh::rules
