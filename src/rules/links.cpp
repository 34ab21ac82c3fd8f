// Most samples are read in one session, so they are passed over by a look at their sessions alone.
#include "rules/links.hpp"

#include "rules/repeatability_sd.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>
#include <thresh/rules/control_series.hpp>
#include <thresh/stats/summary.hpp>
#include <tuple>

namespace thresh::rules {

namespace {

// Controls that are judged by a chart do not link: what they show is told already.
std::set<std::uint32_t> charted_controls(const Evidence& evidence) {
    std::set<std::uint32_t> charted;
    for (const ControlSeries& series : control_series(evidence.batch, evidence.rules))
        if (series.charted())
            charted.insert(series.sample);
    return charted;
}

void add(const Evidence& evidence, std::uint32_t sample, std::vector<RowId>& rows, std::vector<Link>& found) {
    const batch::Batch& batch = evidence.batch;
    const auto key = [&](RowId row) { return std::tuple(batch.material[row], batch.session[row], row); };
    std::sort(rows.begin(), rows.end(), [&](RowId a, RowId b) { return key(a) < key(b); });
    for (std::size_t first = 0, last = 0; first < rows.size(); first = last) {
        while (last < rows.size() && batch.material[rows[last]] == batch.material[rows[first]])
            ++last;
        if (batch.session[rows[first]] == batch.session[rows[last - 1]])
            continue;
        const std::size_t begin = found.size();
        std::vector<double> moistures;
        for (std::size_t i = first; i < last; ++i) {
            const Block& block = batch.block_of(rows[i]);
            const auto moisture = basis::moisture_of(block, rows[i] - block.first);
            if (moisture)
                moistures.push_back(*moisture);
            found.push_back({batch.material[rows[i]],
                             block.text_of(TextField::instrument, rows[i] - block.first), sample,
                             batch.session[rows[i]], rows[i], true,
                             moisture.value_or(std::numeric_limits<double>::quiet_NaN())});
        }
        const auto middle = stats::median(moistures);
        for (std::size_t i = begin; i < found.size(); ++i)
            found[i].stable =
                std::isnan(found[i].moisture) || std::abs(found[i].moisture - *middle) <= kMoistureChange;
    }
}

} // namespace

std::vector<Link> links(const Evidence& evidence) {
    const batch::Batch& batch = evidence.batch;
    std::set<std::uint32_t> reused; // IDs that stand for two seeds
    const auto code = code_index("id-reused");
    for (const Finding& finding : evidence.so_far.findings)
        if (finding.code == *code && !finding.settled)
            reused.insert(finding.subject);
    std::vector<Link> found;
    std::vector<RowId> rows;
    const auto usable = [&](RowId row) {
        return evidence.so_far.verdict[row] <= Verdict::review && batch.session[row] != kNone &&
               batch.material[row] != batch::kNoMaterial;
    };
    for (std::uint32_t sample = 0; sample < batch.samples.size(); ++sample) {
        const auto all = batch.rows_of(sample);
        if (all.size() < 2 || reused.contains(sample) || std::all_of(all.begin(), all.end(), [&](RowId row) {
                return batch.session[row] == batch.session[all.front()];
            }))
            continue;
        rows.clear();
        std::copy_if(all.begin(), all.end(), std::back_inserter(rows), usable);
        if (rows.size() > 1)
            add(evidence, sample, rows, found);
    }
    std::map<std::uint32_t, std::vector<RowId>> controls;
    std::optional<std::set<std::uint32_t>> charted;
    for (const batch::Session& session : batch.sessions)
        for (const RowId row : session.rows) {
            if (batch.kind[row] != Kind::control || batch.sample[row] == kNone || !usable(row))
                continue;
            if (!charted)
                charted = charted_controls(evidence);
            if (!charted->contains(batch.sample[row]))
                controls[batch.sample[row]].push_back(row);
        }
    for (auto& [sample, of_control] : controls)
        add(evidence, sample, of_control, found);
    std::sort(found.begin(), found.end(), [](const Link& a, const Link& b) {
        return std::tuple(a.material, a.sample, a.session, a.row) <
               std::tuple(b.material, b.sample, b.session, b.row);
    });
    return found;
}

Disagreeing disagreeing(const Judgement& judgement) {
    Disagreeing found;
    const auto code = code_index("repeats-disagree");
    for (const Finding& finding : judgement.findings)
        if (finding.code == *code)
            found.emplace(finding.subject, finding.constituent);
    return found;
}

std::vector<ConstituentId> drift_constituents(const Evidence& evidence, std::uint8_t material) {
    std::vector<ConstituentId> wanted;
    if (const Material* about = evidence.rules.material(material))
        std::copy_if(about->key.begin(), about->key.end(), std::back_inserter(wanted),
                     [](ConstituentId id) { return id != constituent::moisture; });
    std::sort(wanted.begin(), wanted.end());
    return wanted;
}

double LeastShift::operator()(std::uint8_t material, ConstituentId constituent) {
    if (!sd_) {
        sd_.emplace();
        for (const auto& [key, known] : repeatability_in_force(evidence_, repeat_groups(evidence_)))
            (*sd_)[key] = known.sd;
    }
    const auto at = sd_->find({material, constituent});
    return at == sd_->end() ? 0 : at->second;
}

} // namespace thresh::rules
