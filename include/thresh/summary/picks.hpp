// Which samples to send to wet chemistry, why each of them, and the shipment under neutral codes.
#pragma once

#include <thresh/summary/sample_means.hpp>

#include <cstdint>
#include <memory>
#include <set>
#include <string>
#include <utility>
#include <vector>

namespace thresh::summary {

struct PickOptions {
    std::size_t count = 0;          // over all materials
    double random_percent = 20;     // share drawn at random
    std::uint64_t seed = 1;         // of the random share and of shipments
    std::vector<ConstituentId> on;  // span these; empty: the material's key constituents, else its proximates
    std::set<std::string> analysed; // samples with reference results already: left out
};

enum class PickedFor : std::uint8_t { calibration, extreme, spread, random };

struct PickedSample {
    std::uint32_t sample = kNone;
    std::uint8_t material = 0;
    PickedFor why = PickedFor::spread;
    double distance = 0; // in standard deviations, to the nearest sample picked before; spread only
    std::string reason;  // in words
};

struct Picks {
    std::vector<PickedSample> samples; // by material and oil type, in the order of picking
    std::vector<ConstituentId> on;     // every constituent that some material was spanned by, in table order
    std::vector<std::string> notes;    // what was left out and why, in words
};

// The count is shared out evenly over the materials that have candidates, and a material's share over its oil
// types, as they are compared with the reference. Within one of these: samples outside the
// calibration, then extremes (beyond the expected range), together at most half; then Kennard and Stone
// (1969) on standardised constituents, those counting as picked; then the random share. No candidates are
// samples without a usable reading or with any other open finding at review or above, irreplaceable
// (keep_whole) and treated seed, single plants, unlisted samples, duplicates of others, and those analysed
// already. Errors: a count of 0; no candidate at all.
Result<Picks> pick_samples(const SampleMeans& means, const PickOptions& options);
std::unique_ptr<Table> picks_table(const SampleMeans& means, const Picks& picks);

struct ShipmentOptions {
    std::size_t batch = 20;     // samples in a batch, its duplicates and check not counted
    std::size_t duplicates = 1; // blind duplicates in each batch
    std::string check;          // sample for the check in every batch; empty: a control read as the material
    std::string prefix = "W";   // of the codes
    std::uint64_t seed = 1;
};

struct ShippedPacket {
    std::string code, sample, role; // role: sample, duplicate, check
    std::string material;
    std::size_t batch = 0, position = 0; // from 1
};

// Packets in the order of shipping: batches of one material each, random order within, codes numbered in that
// order so that they tell nothing. A duplicate is of a sample of another batch where there is one. Error: a
// material without control and no check named.
Result<std::vector<ShippedPacket>> make_shipment(const Season& season, const Picks& picks,
                                                 const ShipmentOptions& options);
std::unique_ptr<Table> shipment_table(const std::vector<ShippedPacket>& packets);
std::unique_ptr<Table> shipment_key_table(const std::vector<ShippedPacket>& packets);

} // namespace thresh::summary
