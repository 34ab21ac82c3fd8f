// Every usable value falls into a fine bin (a hundredth of its unit); the fine bins are joined to a round
// width once all are known. Whole numbers are added, so that no cut of the readings can change the result,
// and a million readings need no copy. Values far from the rest (six quartile distances beyond the quartiles)
// stand in the outer bins, counted.
#include "summary/page/parts.hpp"

#include "summary/material_order.hpp"

#include <thresh/basis/convert.hpp>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <numeric>

namespace thresh::summary {

namespace {

constexpr double kFinest = 0.01, kLowest = -50, kHighest = 450;
constexpr auto kFineBins = static_cast<std::size_t>((kHighest - kLowest) / kFinest);
constexpr std::size_t kMostBins = 24;
constexpr double kRounding = 1e-9; // of values and limits, converted by themselves

std::size_t fine_bin(double value) {
    const double at = std::floor((std::clamp(value, kLowest, kHighest) - kLowest) / kFinest + 1e-6);
    return std::min(kFineBins - 1, static_cast<std::size_t>(at));
}
double start_of(std::size_t fine) {
    return kLowest + static_cast<double>(fine) * kFinest;
}

// The range for an oil type: its own, else the one for any.
const rules::Range* range_for(const std::vector<rules::Range>& ranges, PartOf part,
                              std::string_view oil_type) {
    const rules::Range* any = nullptr;
    for (const rules::Range& range : ranges) {
        if (range.part_of != part)
            continue;
        if (!range.oil_type.empty() && batch::same_word(range.oil_type, oil_type))
            return &range;
        if (range.oil_type.empty())
            any = &range;
    }
    return any;
}

struct Key {
    std::string material;
    std::size_t slot;
    std::string oil_type;
    std::uint8_t index; // of the material
    friend bool operator<(const Key& a, const Key& b) {
        return std::tie(a.material, a.slot, a.oil_type) < std::tie(b.material, b.slot, b.oil_type);
    }
};

class Counter {
  public:
    Counter(const Season& season, const SampleMeans& means)
        : season_(season), means_(means), values_(means.constituents().size()),
          scratch_(means.values().scratch()) {
        const std::size_t slots = means.constituents().size();
        for (unsigned material = 0; material < 256; ++material) {
            const rules::Material* about = season.rules.material(static_cast<std::uint8_t>(material));
            if (about == nullptr)
                continue;
            by_oil_type_[material].assign(slots, false);
            for (std::size_t slot = 0; slot < slots; ++slot) {
                const auto found = about->expected.find(means.constituents()[slot]);
                if (found != about->expected.end())
                    by_oil_type_[material][slot] =
                        std::any_of(found->second.begin(), found->second.end(),
                                    [](const rules::Range& range) { return !range.oil_type.empty(); });
            }
        }
    }

    void add(RowId row) {
        const std::uint8_t material = season_.batch.material[row];
        const std::uint32_t sample = season_.batch.sample[row];
        if (last_ == nullptr || material != last_material_ || sample != last_sample_) {
            oil_type_ = sample == kNone || !season_.batch.list.given()
                            ? std::string_view()
                            : sample_attribute(season_.batch, sample, "oil_type");
            last_ = &bins_of(material, oil_type_);
            last_material_ = material;
            last_sample_ = sample;
        }
        std::vector<Bins*>& bins = *last_;
        means_.values().usable(row, scratch_, values_.data());
        for (std::size_t slot = 0; slot < values_.size(); ++slot) {
            if (std::isnan(values_[slot]))
                continue;
            if (bins[slot] == nullptr)
                bins[slot] = &make_bins(material, slot, oil_type_);
            ++bins[slot]->counts[fine_bin(values_[slot])];
            bins[slot]->below += values_[slot] < bins[slot]->low - kRounding ? 1U : 0U;
            bins[slot]->above += values_[slot] > bins[slot]->high + kRounding ? 1U : 0U;
        }
    }

    std::vector<page::Distribution> distributions() const {
        std::vector<page::Distribution> made;
        for (const auto& [key, bins] : all_)
            made.push_back(distribution(key, bins));
        return made;
    }

  private:
    struct Bins {
        std::vector<std::uint32_t> counts = std::vector<std::uint32_t>(kFineBins, 0);
        std::size_t below = 0, above = 0;
        double low = -std::numeric_limits<double>::infinity(), high = -low; // expected
    };

    // Where the values of a reading go, by slot; filled as values turn up.
    std::vector<Bins*>& bins_of(std::uint8_t material, std::string_view oil_type) {
        auto& bins = found_[{material, std::string(oil_type)}];
        if (bins.empty())
            bins.assign(values_.size(), nullptr);
        return bins;
    }
    Bins& make_bins(std::uint8_t material, std::size_t slot, std::string_view oil_type) {
        const bool split = !by_oil_type_[material].empty() && by_oil_type_[material][slot];
        const Key key{std::string(material_name(season_.batch, material)), slot,
                      split ? std::string(oil_type) : std::string(), material};
        const auto [at, fresh] = all_.try_emplace(key);
        if (fresh) {
            page::Distribution range;
            add_range(key, range);
            at->second.low = range.low.value_or(at->second.low);
            at->second.high = range.high.value_or(at->second.high);
        }
        return at->second;
    }

    page::Distribution distribution(const Key& key, const Bins& bins) const {
        page::Distribution made;
        made.material = key.material;
        made.oil_type = key.oil_type;
        made.quantity = page_quantity(means_, key.slot, key.index);
        made.below = bins.below;
        made.above = bins.above;
        made.readings = std::accumulate(bins.counts.begin(), bins.counts.end(), std::size_t{0});
        join(bins.counts, made);
        add_range(key, made);
        return made;
    }

    static std::size_t quantile(const std::vector<std::uint32_t>& counts, std::size_t rank) {
        std::size_t seen = 0;
        for (std::size_t bin = 0; bin < counts.size(); ++bin)
            if ((seen += counts[bin]) > rank)
                return bin;
        return counts.size() - 1;
    }

    static void join(const std::vector<std::uint32_t>& counts, page::Distribution& made) {
        const std::size_t n = made.readings;
        const std::size_t lowest = quantile(counts, 0), highest = quantile(counts, n - 1);
        const std::size_t q1 = quantile(counts, n / 4), q3 = quantile(counts, std::min(n - 1, 3 * n / 4));
        const std::size_t reach = q3 > q1 ? 6 * (q3 - q1) : kFineBins;
        const std::size_t first = std::max(lowest, q1 > reach ? q1 - reach : 0);
        const std::size_t last = std::min(highest, q3 + reach);
        constexpr std::size_t kSteps[] = {1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000};
        std::size_t step = kSteps[0];
        for (const std::size_t wider : kSteps) {
            step = wider;
            if (last / step - first / step < kMostBins)
                break;
        }
        const std::size_t origin = first / step; // kLowest is a multiple of every step
        made.first = start_of(origin * step);
        made.step = static_cast<double>(step) * kFinest;
        made.counts.assign(last / step - origin + 1, 0);
        for (std::size_t bin = lowest; bin <= highest; ++bin) {
            const std::size_t at = std::clamp(bin / step, origin, last / step) - origin;
            made.counts[at] += counts[bin];
            made.below_bins += bin / step < origin ? counts[bin] : 0U;
            made.above_bins += bin / step > last / step ? counts[bin] : 0U;
        }
    }

    // The expected range on the basis of the values.
    void add_range(const Key& key, page::Distribution& made) const {
        const rules::Material* about = season_.rules.material(key.index);
        const ConstituentId id = means_.constituents()[key.slot];
        if (about == nullptr)
            return;
        const PartOf part = means_.part_of(key.slot);
        const auto ranges = about->expected.find(id);
        const rules::Range* range =
            ranges == about->expected.end() ? nullptr : range_for(ranges->second, part, key.oil_type);
        if (range == nullptr) {
            if (id == constituent::moisture) {
                made.low = about->window.low;
                made.high = about->window.high;
            }
            return;
        }
        const Basis wanted = season_.rules.wanted_basis(key.index);
        const bool converts = part == PartOf::sample && id != constituent::moisture;
        for (const auto& [from, to] :
             {std::pair(&range->low, &made.low), std::pair(&range->high, &made.high)})
            if (*from)
                *to = converts ? basis::restate(**from, range->basis, wanted, std::nullopt) : *from;
        if ((range->low && !made.low) || (range->high && !made.high))
            made.remark = "the expected range is on " + to_text(range->basis) +
                          " basis and differs with each reading's moisture: it is not drawn";
    }

    const Season& season_;
    const SampleMeans& means_;
    std::vector<double> values_;
    ReadingValues::Scratch scratch_;
    std::array<std::vector<bool>, 256> by_oil_type_;
    std::map<std::pair<std::uint8_t, std::string>, std::vector<Bins*>> found_;
    std::map<Key, Bins> all_;
    // Of the reading before: a packet's readings often lie together.
    std::vector<Bins*>* last_ = nullptr;
    std::uint8_t last_material_ = 0;
    std::uint32_t last_sample_ = kNone;
    std::string_view oil_type_;
};

} // namespace

std::vector<page::Distribution> page_distributions(const Season& season, const SampleMeans& means) {
    Counter counter(season, means);
    for (RowId row = 0; row < season.batch.kind.size(); ++row)
        if (season.batch.kind[row] == Kind::seed && season.judgement.verdict[row] <= Verdict::review)
            counter.add(row);
    return counter.distributions();
}

} // namespace thresh::summary
