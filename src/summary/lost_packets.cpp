// Only findings that exclude whole sessions are followed to their readings, and these are few. A superseded
// reading is no loss: the one that replaced it can be used.
#include "summary/lost_packets.hpp"

#include "summary/nothing_left.hpp"

#include <thresh/rules/session_findings.hpp>

#include <algorithm>

namespace thresh::summary {

namespace {

bool has_usable_reading(const Season& season, std::uint32_t sample, std::uint8_t material) {
    const auto rows = season.batch.rows_of(sample);
    return std::any_of(rows.begin(), rows.end(), [&](RowId row) {
        return season.batch.kind[row] == Kind::seed && season.batch.material[row] == material &&
               season.judgement.verdict[row] != Verdict::exclude;
    });
}

} // namespace

std::vector<LostPacket> packets_lost_to_sessions(const Season& season) {
    const batch::Batch& batch = season.batch;
    std::vector<LostPacket> lost;
    const auto& of_sessions = season.judgement.by_session;
    for (std::uint32_t i = of_sessions.front(); i < of_sessions.back(); ++i) {
        const Finding& finding = season.judgement.findings[i];
        if (!rules::about_whole_session(finding, Severity::exclude, season.rules))
            continue;
        for (const RowId row : batch.sessions[finding.subject].rows)
            if (batch.kind[row] == Kind::seed && batch.sample[row] != kNone &&
                season.judgement.verdict[row] == Verdict::exclude &&
                !is_dropped(season.judgement, row, kNoConstituent))
                lost.push_back({batch.sample[row], batch.material[row], i});
    }
    std::sort(lost.begin(), lost.end());
    lost.erase(std::unique(lost.begin(), lost.end()), lost.end());
    std::erase_if(lost, [&](const LostPacket& packet) {
        return has_usable_reading(season, packet.sample, packet.material);
    });
    return lost;
}

} // namespace thresh::summary
