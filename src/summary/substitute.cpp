// Only what the sample list says counts; a packet without stated mass is taken to be enough.
#include "summary/substitute.hpp"

#include <fmt/format.h>

namespace thresh::summary {

std::string why_not_used_up(const batch::Batch& batch, std::uint32_t sample) {
    const std::uint32_t entry = sample == kNone ? kNone : batch.samples[sample].entry;
    if (batch.list.treated(entry))
        return "treated";
    if (batch.list.keep_whole(entry))
        return "to be kept whole";
    if (const auto mass = batch.list.mass_g(entry); mass && *mass < kGramsNeeded)
        return fmt::format("only {:g} g left", *mass);
    return {};
}

std::uint32_t substitute_for(const batch::Batch& batch, std::uint32_t sample) {
    if (sample == kNone || batch.samples[sample].line == kNone)
        return kNone;
    const auto usable = [&](std::uint32_t other) {
        return other != sample && batch.samples[other].entry != kNone &&
               why_not_used_up(batch, other).empty();
    };
    for (const std::uint32_t other : batch.plots[batch.samples[sample].plot].samples)
        if (usable(other))
            return other;
    for (const std::uint32_t plot : batch.lines[batch.samples[sample].line].plots)
        for (const std::uint32_t other : batch.plots[plot].samples)
            if (usable(other))
                return other;
    return kNone;
}

} // namespace thresh::summary
