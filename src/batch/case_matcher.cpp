// One 64-bit mask of cases for each distinct text; a row's cases are the intersection over its fields. What
// is tried only where a case asks for the field.
#include "batch/case_matcher.hpp"

#include <algorithm>
#include <bit>
#include <thresh/core/time_span.hpp>

namespace thresh::batch {

namespace {

constexpr std::size_t kSource = 0, kSample = 1;

const std::vector<std::string>& patterns_of(const When& when, std::size_t field) {
    const std::vector<std::string>* const fields[] = {&when.source,   &when.sample,      &when.instrument,
                                                      &when.analysis, &when.calibration, &when.material};
    return *fields[field];
}

bool any_matches(const std::vector<std::string>& patterns, std::string_view text) {
    return std::ranges::any_of(patterns, [&](const std::string& p) {
        // Most of many IDs begin otherwise. A letter differs from itself in the other case by one bit.
        const bool other =
            !p.empty() && p[0] != '*' && p[0] != '?' && !text.empty() && ((p[0] ^ text[0]) & ~0x20) != 0;
        return !other && matches(p, text);
    });
}

// The distinct texts of a field of the matcher, blank excluded.
std::size_t count_of(const Readings& readings, std::size_t field) {
    static constexpr TextField kText[] = {TextField::sample,   TextField::sample,      TextField::instrument,
                                          TextField::analysis, TextField::calibration, TextField::material};
    return field == kSource ? readings.files.size() : readings.pool(kText[field]).size();
}

std::string_view text_at(const Readings& readings, std::size_t field, std::size_t id) {
    static constexpr TextField kText[] = {TextField::sample,   TextField::sample,      TextField::instrument,
                                          TextField::analysis, TextField::calibration, TextField::material};
    return field == kSource ? std::string_view(readings.files[id].source)
                            : readings.pool(kText[field])[static_cast<TextId>(id)];
}

} // namespace

bool TimeWindow::admits(Time time) const {
    if (open())
        return true;
    if (time.missing())
        return false;
    const std::int64_t at = time.seconds();
    if (!from.missing() && at + length_of(time) <= from.seconds())
        return false;
    return to.missing() || at < to.seconds() + length_of(to);
}

CaseMatcher::CaseMatcher(std::span<const When> cases, const Readings& readings) {
    groups_.resize((cases.size() + 63) / 64);
    for (std::size_t c = 0; c < cases.size(); ++c) {
        Group& group = groups_[c / 64];
        const std::uint64_t bit = std::uint64_t{1} << (c % 64);
        windows_.push_back({cases[c].from, cases[c].to});
        if (!cases[c].empty())
            group.all |= bit;
        if (!windows_.back().open()) {
            group.timed |= bit;
            untimed_ = false;
        }
    }
    for (std::size_t field = 0; field < kFields; ++field)
        for (std::size_t g = 0; g < groups_.size(); ++g) {
            std::uint64_t whatever = 0; // cases that do not look at the field
            bool any_looks = false;
            for (std::size_t c = g * 64; c < std::min(cases.size(), (g + 1) * 64); ++c)
                if (patterns_of(cases[c], field).empty())
                    whatever |= std::uint64_t{1} << (c % 64);
                else
                    any_looks = true;
            if (any_looks)
                groups_[g].mask[field].assign(count_of(readings, field) + 1, whatever);
        }
    for (std::size_t c = 0; c < cases.size(); ++c)
        for (std::size_t field = 0; field < kFields; ++field)
            fill_mask(cases[c], c, field, readings);
}

void CaseMatcher::fill_mask(const When& when, std::size_t index, std::size_t field,
                            const Readings& readings) {
    std::vector<std::uint64_t>& mask = groups_[index / 64].mask[field];
    const std::uint64_t bit = std::uint64_t{1} << (index % 64);
    const std::vector<std::string>& patterns = patterns_of(when, field);
    if (patterns.empty())
        return; // the mask knows
    for (std::size_t id = 0; id < mask.size(); ++id) {
        const bool blank = id + 1 == mask.size();
        if (!any_matches(patterns, blank ? std::string_view{} : text_at(readings, field, id)))
            continue;
        mask[id] |= bit;
        if (field == kSample) {
            singled_out_.resize(mask.size());
            singled_out_[id] = true;
        }
    }
}

std::size_t CaseMatcher::first(const RowTexts& row) const {
    const std::array<std::uint32_t, kFields> ids = {row.file,     row.sample,      row.instrument,
                                                    row.analysis, row.calibration, row.material};
    for (std::size_t g = 0; g < groups_.size(); ++g) {
        const Group& group = groups_[g];
        std::uint64_t open = group.all;
        for (std::size_t field = 0; field < kFields && open != 0; ++field) {
            const std::vector<std::uint64_t>& mask = group.mask[field];
            if (!mask.empty())
                open &= mask[std::min<std::size_t>(ids[field], mask.size() - 1)]; // kNoText: blank
        }
        while (open != 0) {
            const auto bit = static_cast<std::size_t>(std::countr_zero(open));
            if ((group.timed >> bit & 1) == 0 || windows_[g * 64 + bit].admits(row.time))
                return g * 64 + bit;
            open &= open - 1;
        }
    }
    return none();
}

} // namespace thresh::batch
