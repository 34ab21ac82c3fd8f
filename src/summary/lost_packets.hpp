// Packets whose readings were all left out, some of them for a fault of their session: nothing is wrong with
// the packet, and yet it must be read again.
#pragma once

#include <thresh/summary/tables.hpp>

#include <compare>
#include <vector>

namespace thresh::summary {

struct LostPacket {
    std::uint32_t sample;
    std::uint8_t material; // as it was read
    std::uint32_t finding; // about the session: into Judgement::findings
    auto operator<=>(const LostPacket&) const = default;
};

// By sample, material and finding, each once. A packet with a usable reading of the same material, in
// whatever session, is not lost, and neither is one whose readings in the session a person dropped.
std::vector<LostPacket> packets_lost_to_sessions(const Season& season);

} // namespace thresh::summary
