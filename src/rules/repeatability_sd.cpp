// The season's own SD is estimated robustly, by the median of the ranges of re-read samples over the median
// range of normals: a few bad repeats, which it is meant to find, must not widen it.
#include "rules/repeatability_sd.hpp"

#include "rules/limits.hpp"
#include "rules/reading_order.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <thresh/core/parallel.hpp>
#include <thresh/stats/repeatability.hpp>
#include <thresh/stats/summary.hpp>

namespace thresh::rules {

void ComparableValues::look_up(const TableColumns& table) {
    table_ = &table;
    column_ = comparable_column(evidence_.so_far, table, constituent_);
    moisture_ = table.find(constituent::moisture);
    as_read_ = constituent_ == constituent::moisture ||
               (column_ && table.numbers[*column_].part_of != PartOf::sample);
}

std::optional<double> ComparableValues::value(const Block& block, std::size_t row) const {
    const auto raw = basis::raw_value(block, row, *column_);
    if (!raw || as_read_)
        return raw;
    return basis::restate(*raw, table_->numbers[*column_].basis, Basis::dry(),
                          moisture_ ? basis::raw_value(block, row, *moisture_) : std::nullopt);
}

namespace {

// Adds a spread for each key constituent of the group that was added last; its readings are those of a sample
// whose first has the place `begin`.
void add_spreads(const KeyValues& values, std::uint32_t begin, std::span<const OrderedReading> readings,
                 RepeatPiece& into) {
    for (std::size_t k = 0; k < into.width; ++k) {
        double low = std::numeric_limits<double>::infinity(), high = -low;
        std::uint32_t n = 0;
        for (const OrderedReading reading : readings) {
            const double value = values.of(begin + reading.nth())[k];
            low = value < low ? value : low; // false for NaN
            high = value > high ? value : high;
            n += std::isnan(value) ? 0U : 1U;
        }
        into.add_spread(n, n == 0 ? 0 : high - low);
    }
}

// Splits a sample's usable readings by session and material; most samples have one of each. `sorter` is room
// to work in.
void add_groups(const Evidence& evidence, std::uint32_t sample, ReadingSorter& sorter, RepeatPiece& into) {
    const KeyValues& values = *evidence.key_values;
    const std::uint32_t begin = evidence.batch.sample_begin[sample];
    const std::size_t rows = evidence.batch.sample_begin[sample + 1] - begin;
    if (rows < 2)
        return;
    sorter.begin(rows);
    for (std::size_t nth = 0; nth < rows; ++nth) {
        const std::uint32_t session = values.session(begin + nth);
        const std::uint8_t material = values.material(begin + nth);
        sorter.add(OrderedReading::by_session(session, material, nth),
                   static_cast<bool>(static_cast<int>(session != kNone) &
                                     static_cast<int>(material != batch::kNoMaterial)));
    }
    const std::span<const OrderedReading> readings = sorter.sorted();
    for (std::size_t first = 0, last = 0; first < readings.size(); first = last) {
        while (last < readings.size() && readings[last].group() == readings[first].group())
            ++last;
        if (last - first < 2)
            continue;
        const std::size_t place = begin + readings[first].nth();
        into.groups.push_back({static_cast<std::uint16_t>(sample - into.first_sample), values.material(place),
                               evidence.batch.sample_rows[place]});
        add_spreads(values, begin, readings.subspan(first, last - first), into);
    }
}

RepeatGroups repeat_groups(const Evidence& evidence) {
    const auto samples = static_cast<std::uint32_t>(evidence.batch.samples.size());
    RepeatGroups pieces((samples + RepeatPiece::kSamples - 1) / RepeatPiece::kSamples);
    parallel_for(pieces.size(), evidence.rules.batch.threads, [&](std::size_t piece) {
        ReadingSorter sorter;
        RepeatPiece& into = pieces[piece];
        into.width = evidence.key_values->width();
        into.first_sample = static_cast<std::uint32_t>(piece * RepeatPiece::kSamples);
        const std::uint32_t last = std::min(samples, into.first_sample + RepeatPiece::kSamples);
        const std::vector<std::uint32_t>& begin = evidence.batch.sample_begin;
        into.reserve((begin[last] - begin[into.first_sample]) / 2);
        for (std::uint32_t sample = into.first_sample; sample < last; ++sample)
            add_groups(evidence, sample, sorter, into);
    });
    return pieces;
}

// By number of values: the median range of so many normals, where counts has it.
std::vector<double> median_ranges(const RepeatCounts& counts, unsigned threads) {
    std::set<std::uint32_t> met;
    for (const auto& [material, n] : counts)
        met.insert(n);
    const std::vector<std::uint32_t> wanted(met.begin(), met.end());
    std::vector<double> ranges(wanted.empty() ? 0 : wanted.back() + 1);
    parallel_for(wanted.size(), threads, [&](std::size_t i) {
        ranges[wanted[i]] = stats::critical_range_factor(static_cast<int>(wanted[i]), 0.5);
    });
    return ranges;
}

// What the ranges of a piece are, by material and key constituent (material * width + key).
struct KnownRanges {
    std::vector<std::size_t> count;      // of at least two values
    std::vector<std::vector<bool>> many; // by material: the numbers of values met
};

KnownRanges ranges_of(const RepeatPiece& piece, std::size_t materials) {
    KnownRanges ranges{std::vector<std::size_t>(materials * piece.width),
                       std::vector<std::vector<bool>>(materials)};
    for (std::size_t g = 0; g < piece.groups.size(); ++g)
        for (std::size_t k = 0; k < piece.width; ++k) {
            const std::uint32_t n = piece.n(g, k);
            if (n < 2)
                continue;
            const std::uint8_t material = piece.groups[g].material;
            ++ranges.count[material * piece.width + k];
            std::vector<bool>& many = ranges.many[material];
            if (many.size() <= n)
                many.resize(n + 1);
            many[n] = true;
        }
    return ranges;
}

RepeatCounts counts_met(const std::vector<KnownRanges>& pieces) {
    RepeatCounts counts;
    for (const KnownRanges& ranges : pieces)
        for (std::size_t m = 0; m < ranges.many.size(); ++m)
            for (std::size_t n = 0; n < ranges.many[m].size(); ++n)
                if (ranges.many[m][n])
                    counts.emplace(static_cast<std::uint8_t>(m), static_cast<std::uint32_t>(n));
    return counts;
}

// Each re-read sample gives one estimate: its range over the median range of so many normals. By material and
// key constituent.
std::vector<std::vector<double>> estimates(const RepeatGroups& groups, const std::vector<KnownRanges>& pieces,
                                           const std::vector<double>& median_range, unsigned threads) {
    std::vector<std::vector<double>> found(pieces.empty() ? 0 : pieces.front().count.size());
    std::vector<std::vector<std::size_t>> begin(pieces.size(), std::vector<std::size_t>(found.size()));
    for (std::size_t of = 0; of < found.size(); ++of) {
        std::size_t next = 0;
        for (std::size_t p = 0; p < pieces.size(); ++p) {
            begin[p][of] = next;
            next += pieces[p].count[of];
        }
        found[of].resize(next); // they are too many to let the array grow
    }
    parallel_for(groups.size(), threads, [&](std::size_t p) {
        const RepeatPiece& piece = groups[p];
        for (std::size_t g = 0; g < piece.groups.size(); ++g)
            for (std::size_t k = 0; k < piece.width; ++k)
                if (const std::uint32_t n = piece.n(g, k); n >= 2) {
                    const std::size_t of = piece.groups[g].material * piece.width + k;
                    found[of][begin[p][of]++] = piece.range(g, k) / median_range[n];
                }
    });
    return found;
}

// `own`: the season's estimates, of which it takes the median in place.
std::optional<RepeatabilitySd> in_force_of(const Material& material, ConstituentId id, const Ruleset& rules,
                                           std::span<double> own) {
    const auto given = material.repeatability_sd.find(id);
    const bool is_given = given != material.repeatability_sd.end();
    if (is_given && material.repeatability_sd_given.contains(id))
        return RepeatabilitySd{given->second, 0};
    // Where most repeats are equal as far as digits go, the median is 0: no estimate, for the digits hide the
    // rest.
    if (!own.empty() && static_cast<int>(own.size()) >= rules.tests.repeats_own_sd)
        if (const double median = *stats::median_in_place(own); median > 0)
            return RepeatabilitySd{median, own.size()};
    return is_given ? std::optional(RepeatabilitySd{given->second, 0}) : std::nullopt;
}

} // namespace

void RepeatPiece::add_spread(std::uint32_t n, double range) {
    if (n >= kMany)
        many_[n_.size()] = n;
    n_.push_back(static_cast<std::uint16_t>(std::min<std::uint32_t>(n, kMany)));
    range_.push_back(range);
}

void RepeatPiece::reserve(std::size_t most) {
    groups.reserve(most);
    n_.reserve(most * width);
    range_.reserve(most * width);
}

std::vector<RowId> repeated_rows(const Evidence& evidence, std::uint32_t sample, const RepeatGroup& group) {
    const batch::Batch& batch = evidence.batch;
    const std::uint32_t session = batch.session[group.first];
    std::vector<RowId> rows;
    for (std::size_t place = batch.sample_begin[sample]; place < batch.sample_begin[sample + 1]; ++place)
        if (evidence.key_values->material(place) == group.material &&
            evidence.key_values->session(place) == session)
            rows.push_back(batch.sample_rows[place]);
    return rows;
}

RepeatEvidence::RepeatEvidence(const Evidence& evidence) : groups(repeat_groups(evidence)) {
    const Ruleset& rules = evidence.rules;
    const unsigned threads = rules.batch.threads;
    std::vector<KnownRanges> pieces(groups.size());
    parallel_for(groups.size(), threads,
                 [&](std::size_t p) { pieces[p] = ranges_of(groups[p], rules.batch.material_names.size()); });
    counts = counts_met(pieces);
    std::vector<std::vector<double>> own = estimates(groups, pieces, median_ranges(counts, threads), threads);
    const std::size_t width = evidence.key_values->width();
    own.resize(rules.batch.material_names.size() * width); // none where there is no sample at all
    std::vector<std::pair<SdKey, std::optional<RepeatabilitySd>>> known(own.size());
    parallel_for(own.size(), threads, [&](std::size_t of) {
        const auto m = static_cast<std::uint8_t>(of / width);
        const Material* material = rules.material(m);
        if (material == nullptr || of % width >= material->key.size())
            return;
        const ConstituentId id = material->key[of % width];
        known[of] = {{m, id}, in_force_of(*material, id, rules, own[of])};
    });
    for (const auto& [key, sd] : known)
        if (sd)
            in_force[key] = *sd;
}

} // namespace thresh::rules
