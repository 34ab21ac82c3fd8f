// Local time is what people compare with their notes, so times keep the clock that they were exported with.
// An export that crosses the end of summer time, or that mixes local time and UTC, has two clocks; its order
// is only right on one of them, and the first row's is as good as any: readings before the change stay as
// shown.
#include "intake/time_offsets.hpp"

#include "intake/each_time.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace thresh::intake {

namespace {

// Calls `f` with every time that has a clock, its line and its offset.
template <typename F>
void for_each_offset(TableData& table, std::size_t which, F f) {
    const Part* at = nullptr;
    std::size_t next = 0;
    std::int16_t offset = kNoOffset;
    for_each_time(table, [&](Part& part, std::size_t block, std::size_t row, Time& time) {
        if (at != &part) {
            at = &part;
            next = 0;
            offset = kNoOffset;
        }
        const auto& runs = part.offsets[which];
        if (next < runs.size() && runs[next].block == block && runs[next].row == row)
            offset = runs[next++].offset;
        if (time.precision() > Time::Precision::day)
            f(time, part.blocks[block].line[row], offset);
    });
}

std::string offset_text(std::int16_t offset) {
    const int minutes = offset < 0 ? -offset : offset;
    return fmt::format("{}{:02}:{:02}", offset < 0 ? '-' : '+', minutes / 60, minutes % 60);
}

} // namespace

OffsetsFound settle_offsets(TableData& table, std::size_t which) {
    OffsetsFound found;
    if (std::all_of(table.parts.begin(), table.parts.end(),
                    [&](const Part& part) { return part.offsets[which].empty(); }))
        return found;
    struct Seen {
        std::uint32_t line = 0;
        std::int16_t offset = kNoOffset;
    } first, other, none;
    for_each_offset(table, which, [&](Time&, std::uint32_t line, std::int16_t offset) {
        Seen& seen = offset == kNoOffset ? none : first.line == 0 || offset == first.offset ? first : other;
        if (seen.line == 0)
            seen = {line, offset};
    });
    if (first.line != 0 && none.line != 0) {
        found.line = std::max(first.line, none.line);
        found.doubt =
            fmt::format("some times state an offset from UTC ({}, line {}), others none (line {}): they "
                        "cannot be put in order",
                        offset_text(first.offset), first.line, none.line);
        found.help = "export all times with an offset, or all without";
    } else if (other.line != 0) {
        for_each_offset(table, which, [&](Time& time, std::uint32_t, std::int16_t offset) {
            time = Time::of(time.seconds() + (first.offset - offset) * 60, time.precision());
        });
        found.line = other.line;
        found.note =
            fmt::format("times state different offsets from UTC: {} (line {}), {} (line {}); all are put "
                        "on {}, that of the first",
                        offset_text(first.offset), first.line, offset_text(other.offset), other.line,
                        offset_text(first.offset));
        found.help = "nothing; for another clock export all times with its offset";
    }
    return found;
}

} // namespace thresh::intake
