// Drift is a mean over the samples that sessions share. Millions of them tell no more than thousands do, and
// take most of the time; a pair of sessions that shares few keeps them all. So every sample is looked at
// once, to count who shares what, and again only those that stay.
#include "rules/chosen_links.hpp"

#include "rules/key_values.hpp"
#include "rules/limits.hpp"
#include "rules/link_kinds.hpp"

#include <algorithm>
#include <cassert>
#include <limits>
#include <map>
#include <thresh/core/parallel.hpp>
#include <thresh/rules/control_series.hpp>
#include <thresh/rules/drift.hpp>

namespace thresh::rules {

namespace {

constexpr std::uint32_t kSamplesAPiece = 8192;
constexpr std::uint32_t kAhead = 32; // readings whose verdicts and sessions are asked for ahead
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

// A usable reading of a sample as one number, so that numbers in order are readings in order of material,
// session, row: a season has a million of them, and nearly all are only counted.
using Ordered = std::uint64_t;
constexpr unsigned kNthBits = 29, kSessionBits = 27;

Ordered ordered(std::uint8_t material, std::uint32_t session, std::size_t nth) {
    return Ordered{material} << (kNthBits + kSessionBits) | Ordered{session} << kNthBits | nth;
}
std::size_t nth_of(Ordered reading) {
    return reading & ((Ordered{1} << kNthBits) - 1);
}
std::uint32_t session_of(Ordered reading) {
    return static_cast<std::uint32_t>(reading >> kNthBits & ((1U << kSessionBits) - 1));
}
std::uint8_t read_as(Ordered reading) { // material
    return static_cast<std::uint8_t>(reading >> (kNthBits + kSessionBits));
}

// Samples have few readings in no order that a processor could guess, so a few are sorted without branches.
void sort_readings(std::span<Ordered> readings) {
    constexpr std::size_t kFew = 6;
    if (readings.size() > kFew) {
        std::sort(readings.begin(), readings.end());
        return;
    }
    for (std::size_t last = 1; last < readings.size(); ++last)
        for (std::size_t i = last; i > 0; --i) {
            const Ordered a = readings[i - 1], b = readings[i];
            readings[i - 1] = std::min(a, b);
            readings[i] = std::max(a, b);
        }
}

// The usable readings in order, none where one session read all; in memory that is used again.
std::span<const Ordered> usable(const Evidence& evidence, std::span<const RowId> rows,
                                std::vector<Ordered>& memory) {
    const batch::Batch& batch = evidence.batch;
    assert(rows.size() < (std::size_t{1} << kNthBits) && batch.sessions.size() < (1U << kSessionBits));
    if (rows.size() < 2)
        return {};
    memory.resize(std::max(memory.size(), rows.size()));
    const std::uint32_t first_session = batch.session[rows.front()];
    bool several = false;
    std::size_t n = 0;
    for (std::size_t nth = 0; nth < rows.size(); ++nth) {
        const RowId row = rows[nth];
        const std::uint32_t session = batch.session[row];
        const std::uint8_t material = batch.material[row];
        several |= session != first_session;
        memory[n] = ordered(material, session, nth); // the next one takes its place when it is not usable
        n += static_cast<std::size_t>(evidence.so_far.verdict[row] <= Verdict::review) &
             static_cast<std::size_t>(session != kNone) &
             static_cast<std::size_t>(material != batch::kNoMaterial);
    }
    const std::span<Ordered> found = std::span(memory).first(several ? n : 0);
    sort_readings(found);
    return found;
}

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
void for_materials(std::span<const Ordered> readings, const Take& take) {
    for (std::size_t first = 0, last = 0; first < readings.size(); first = last) {
        while (last < readings.size() && read_as(readings[last]) == read_as(readings[first]))
            ++last;
        if (session_of(readings[first]) != session_of(readings[last - 1]))
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
    void count(const Readings& of, std::span<const Ordered> readings, LinkKinds& kinds) const {
        const std::uint8_t material = read_as(readings.front());
        std::array<std::uint32_t, kMostSessions> sessions;
        std::size_t known = 0;
        for (std::size_t i = 0; i < readings.size(); ++i) {
            const std::uint32_t session = session_of(readings[i]);
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

    bool changed(const Readings& of, std::span<const Ordered> readings) const {
        double low = std::numeric_limits<double>::infinity(), high = -low;
        for (const Ordered reading : readings) {
            const double moisture = moisture_in(of, nth_of(reading), read_as(reading));
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
        return moisture_of(evidence_, of.rows[nth]).value_or(std::numeric_limits<double>::quiet_NaN());
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
    RowsOfControls controls; // the last piece
    std::vector<LinkKinds> counted(of_seed + 1);
    parallel_for(counted.size(), threads, [&](std::size_t p) {
        std::vector<Ordered> memory;
        const auto count = [&](const Readings& of) {
            for_materials(usable(evidence, of.rows, memory), [&](std::span<const Ordered> readings) {
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
            ask_ahead(evidence, sample);
            if (!reused.contains(sample))
                count(seed_readings(batch, sample));
        }
    });
    const Totals totals = totals_of(counted);
    std::vector<std::vector<ChosenLink>> chosen(counted.size());
    parallel_for(counted.size(), threads, [&](std::size_t p) {
        std::vector<Ordered> memory;
        for_staying(batch, counted[p], totals, [&](std::uint32_t sample, std::uint8_t material) {
            const Readings of =
                p < of_seed ? seed_readings(batch, sample) : Readings{sample, controls.at(sample), kNone};
            for (const Ordered reading : usable(evidence, of.rows, memory))
                if (read_as(reading) == material)
                    chosen[p].push_back({sample, of.rows[nth_of(reading)], of.place(nth_of(reading)),
                                         session_of(reading), material});
        });
    });
    return chosen;
}

} // namespace thresh::rules
