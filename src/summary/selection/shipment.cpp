// A shipment is a function of picks and seed. Batches hold one material, because a laboratory sets up for it.
#include <thresh/summary/picks.hpp>

#include "summary/cells.hpp"
#include "summary/line_groups.hpp"
#include "summary/material_order.hpp"
#include "summary/workspace.hpp"

#include <thresh/stats/random.hpp>

#include <algorithm>
#include <fmt/format.h>

namespace thresh::summary {

namespace {

const char* why_word(PickedFor why) {
    static constexpr const char* kWords[] = {"outside calibration", "extreme", "spread", "random"};
    return kWords[static_cast<std::size_t>(why)];
}

// The bytewise first sample that was read as a control of the material; empty when there is none.
std::string control_of(const Season& season, std::uint8_t material) {
    const batch::Batch& batch = season.batch;
    std::string_view first;
    for (RowId row = 0; row < batch.kind.size(); ++row)
        if (batch.kind[row] == Kind::control && batch.material[row] == material &&
            batch.sample[row] != kNone) {
            const std::string_view id = batch.samples[batch.sample[row]].id;
            if (first.empty() || id < first)
                first = id;
        }
    return std::string(first);
}

template <typename T>
std::vector<T> shuffled(const std::vector<T>& items, std::uint64_t seed, std::uint64_t stream) {
    std::vector<T> made;
    for (const std::size_t i : stats::random_order(items.size(), seed, stream))
        made.push_back(items[i]);
    return made;
}

// Streams of random numbers, so that no order leans on another: one for each purpose, material and batch.
std::uint64_t stream(std::uint64_t purpose, std::uint64_t material, std::uint64_t batch = 0) {
    return (purpose << 48) + (material << 32) + batch;
}

class Shipment {
  public:
    Shipment(const Season& season, const ShipmentOptions& options) : season_(season), options_(options) {}

    Result<void> add(std::uint8_t material, const std::vector<std::string>& samples) {
        const std::string check = options_.check.empty() ? control_of(season_, material) : options_.check;
        const std::string name(material_name(season_.batch, material));
        if (check.empty())
            return fail(fmt::format("no control of {} was read, so there is no check for its batches", name),
                        "name a sample with known values with --batch-check SAMPLE");
        const std::vector<std::string> order = shuffled(samples, options_.seed, stream(1, material));
        const std::size_t batches = (order.size() + options_.batch - 1) / options_.batch;
        // Batches of nearly equal size.
        std::size_t at = 0;
        for (std::size_t b = 0; b < batches; ++b) {
            const std::size_t size = order.size() / batches + (b < order.size() % batches ? 1 : 0);
            std::vector<ShippedPacket> packets;
            for (std::size_t i = at; i < at + size; ++i)
                packets.push_back({"", order[i], "sample", name, 0, 0});
            add_duplicates(order, at, size, material, b, packets);
            packets.push_back({"", check, "check", name, 0, 0});
            at += size;
            ++batch_;
            std::size_t position = 0;
            for (ShippedPacket& packet : shuffled(packets, options_.seed, stream(3, material, b))) {
                packet.batch = batch_;
                packet.position = ++position;
                packets_.push_back(std::move(packet));
            }
        }
        return {};
    }

    std::vector<ShippedPacket> finish() {
        const int width = std::max(3, static_cast<int>(std::to_string(packets_.size()).size()));
        for (std::size_t i = 0; i < packets_.size(); ++i)
            packets_[i].code = fmt::format("{}{:0{}}", options_.prefix, i + 1, width);
        return std::move(packets_);
    }

  private:
    void add_duplicates(const std::vector<std::string>& order, std::size_t first, std::size_t size,
                        std::uint8_t material, std::size_t batch, std::vector<ShippedPacket>& packets) {
        std::vector<std::string> others, own;
        for (std::size_t i = 0; i < order.size(); ++i)
            (i >= first && i < first + size ? own : others).push_back(order[i]);
        std::vector<std::string> from = shuffled(others, options_.seed, stream(2, material, batch));
        for (std::string& sample : shuffled(own, options_.seed, stream(4, material, batch)))
            from.push_back(std::move(sample));
        // Those that have no duplicate yet come first.
        std::stable_partition(from.begin(), from.end(), [&](const std::string& sample) {
            return std::find(duplicated_.begin(), duplicated_.end(), sample) == duplicated_.end();
        });
        for (std::size_t d = 0; d < std::min(options_.duplicates, from.size()); ++d) {
            packets.push_back({"", from[d], "duplicate", packets.front().material, 0, 0});
            duplicated_.push_back(from[d]);
        }
    }

    Season season_;
    const ShipmentOptions& options_;
    std::vector<ShippedPacket> packets_;
    std::vector<std::string> duplicated_;
    std::size_t batch_ = 0;
};

} // namespace

Result<std::vector<ShippedPacket>> make_shipment(const Season& season, const Picks& picks,
                                                 const ShipmentOptions& options) {
    if (options.batch == 0)
        return fail("a batch holds no sample", "use --batch 20, or any number from 1");
    Shipment shipment(season, options);
    for (std::size_t first = 0; first < picks.samples.size();) {
        std::size_t last = first;
        std::vector<std::string> samples;
        for (; last < picks.samples.size() && picks.samples[last].material == picks.samples[first].material;
             ++last)
            samples.emplace_back(season.batch.samples[picks.samples[last].sample].id);
        if (auto added = shipment.add(picks.samples[first].material, samples); !added)
            return tl::unexpected<Error>(added.error());
        first = last;
    }
    return shipment.finish();
}

std::unique_ptr<Table> picks_table(const SampleMeans& means, const Picks& picks) {
    const Season season = means.season();
    std::vector<OutColumn> columns = all_columns("picks");
    for (const ConstituentId id : picks.on)
        columns.push_back(declared_column("samples", "{c}", id, season.rules.constituents[id]));
    auto table = std::make_unique<StoredTable>("picks", std::move(columns));
    const auto workspace = means.workspace();
    SampleNumbers numbers;
    std::size_t order = 0;
    for (const PickedSample& picked : picks.samples) {
        const auto attribute = [&](const char* name) {
            return cell(std::string(sample_attribute(season.batch, picked.sample, name)));
        };
        std::vector<Value> row = {count(++order),
                                  cell(std::string(material_name(season.batch, picked.material))),
                                  cell(std::string(season.batch.samples[picked.sample].id)),
                                  attribute("oil_type"),
                                  attribute("line"),
                                  attribute("trial"),
                                  attribute("environment"),
                                  attribute("location"),
                                  cell(std::string(why_word(picked.why))),
                                  cell(picked.reason),
                                  picked.why == PickedFor::spread ? cell(picked.distance) : Value{}};
        means.compute({picked.sample, picked.material}, *workspace, numbers);
        for (const ConstituentId id : picks.on)
            row.push_back(cell(numbers.mean[means.values().slot_of(id)]));
        table->add(std::move(row));
    }
    return table;
}

std::unique_ptr<Table> shipment_table(const std::vector<ShippedPacket>& packets) {
    auto table = std::make_unique<StoredTable>("shipment", all_columns("shipment"));
    for (const ShippedPacket& packet : packets)
        table->add({cell(packet.code), count(packet.batch), count(packet.position), cell(packet.material)});
    return table;
}

std::unique_ptr<Table> shipment_key_table(const std::vector<ShippedPacket>& packets) {
    auto table = std::make_unique<StoredTable>("shipment_key", all_columns("shipment_key"));
    for (const ShippedPacket& packet : packets)
        table->add({cell(packet.code), cell(packet.sample), cell(packet.role), cell(packet.material),
                    count(packet.batch), count(packet.position)});
    return table;
}

} // namespace thresh::summary
