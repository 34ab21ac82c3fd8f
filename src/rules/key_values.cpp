// Readings are decoded in the order of the files, where their cells lie one after the other, and written to
// the places of their samples: writing far apart waits for nothing, reading would.
#include "rules/key_values.hpp"

#include "rules/rule.hpp"

#include <algorithm>
#include <array>
#include <cassert>
#include <memory>
#include <optional>
#include <thresh/basis/columns_of.hpp>
#include <thresh/core/nothing.hpp>
#include <thresh/core/parallel.hpp>

namespace thresh::rules {

namespace {

constexpr std::size_t kPlacesAPiece = 32768;
constexpr std::size_t kRowsAPiece = 16384;
constexpr std::size_t kRowsAtOnce = 128; // decoded before they are written
constexpr std::size_t kAhead = 32;
constexpr std::size_t kCacheLine = 64;
constexpr std::uint32_t kNoPlace = static_cast<std::uint32_t>(-1);

// The place of each row in Batch::sample_rows. Not cleared beforehand, as the values.
std::unique_ptr<std::uint32_t[]> places_by_row(const batch::Batch& batch, unsigned threads) {
    const std::size_t rows = batch.kind.size(), places = batch.sample_rows.size();
    auto place_of = std::make_unique_for_overwrite<std::uint32_t[]>(rows);
    if (places < rows)
        parallel_for((rows + kPlacesAPiece - 1) / kPlacesAPiece, threads, [&](std::size_t piece) {
            std::fill(place_of.get() + piece * kPlacesAPiece,
                      place_of.get() + std::min(rows, (piece + 1) * kPlacesAPiece), kNoPlace);
        });
    parallel_for((places + kPlacesAPiece - 1) / kPlacesAPiece, threads, [&](std::size_t piece) {
        const std::size_t last = std::min(places, (piece + 1) * kPlacesAPiece);
        for (std::size_t place = piece * kPlacesAPiece; place < last; ++place)
            place_of[batch.sample_rows[place]] = static_cast<std::uint32_t>(place);
    });
    return place_of;
}

// The same constituents, none in place of those that the table has no comparable column of.
std::vector<ConstituentId> comparable(const Judgement& so_far, const TableColumns& table,
                                      std::vector<ConstituentId> ids) {
    for (ConstituentId& id : ids)
        if (!comparable_column(so_far, table, id))
            id = kNoConstituent;
    return ids;
}

void leave_marked_out(const Judgement& so_far, RowId row, std::span<const ConstituentId> ids,
                      double* values) {
    for (const auto& mark : so_far.marks_of(row))
        for (std::size_t k = 0; k < ids.size() && mark.mark == Mark::exclude; ++k)
            if (mark.constituent == ids[k])
                values[k] = kNothing;
}

} // namespace

KeyValues::KeyValues(const batch::Batch& batch, const Ruleset& rules, const Judgement& so_far)
    : verdict_(so_far.verdict) {
    for (std::uint8_t m = 0; m < batch.material_names.size(); ++m)
        if (const Material* material = rules.material(m))
            width_ = std::max(width_, material->key.size());
    constexpr std::size_t kLine = kCacheLine / sizeof(double);
    std::size_t room = batch.sample_rows.size() * stride() + kLine;
    memory_ = std::make_unique_for_overwrite<double[]>(room);
    room *= sizeof(double);
    void* aligned = memory_.get();
    records_ = static_cast<double*>(std::align(kCacheLine, room - kCacheLine, aligned, room));
    assert(records_ != nullptr);
    const auto place_of = places_by_row(batch, rules.batch.threads);
    const auto& blocks = batch.readings.blocks;
    std::vector<std::pair<std::size_t, std::size_t>> pieces; // block, first row in it
    for (std::size_t b = 0; b < blocks.size(); ++b)
        for (std::size_t first = 0; first < blocks[b].rows; first += kRowsAPiece)
            pieces.emplace_back(b, first);
    parallel_for(pieces.size(), rules.batch.threads, [&](std::size_t piece) {
        const auto [block, first] = pieces[piece];
        fill(batch, rules, so_far, place_of.get(), block, first,
             std::min(blocks[block].rows, first + kRowsAPiece));
    });
}

// Rows [first, last) of a block, readings of one material after the other at once.
void KeyValues::fill(const batch::Batch& batch, const Ruleset& rules, const Judgement& so_far,
                     const std::uint32_t* place_of, std::size_t block, std::size_t first, std::size_t last) {
    const Block& of = batch.readings.blocks[block];
    std::vector<std::optional<basis::ColumnsOf>> columns(batch.material_names.size());
    // The values of each begin behind its head; one more for those of the last, which are as far apart.
    std::vector<double> records(kRowsAtOnce * stride() + 1, kNothing);
    for (std::size_t from = first, to = first; from < last; from = to) {
        const std::uint8_t material = batch.material[of.first + from];
        while (to < std::min(last, from + kRowsAtOnce) && batch.material[of.first + to] == material)
            ++to;
        const Material* about = material == batch::kNoMaterial ? nullptr : rules.material(material);
        if (about != nullptr) {
            if (!columns[material])
                columns[material].emplace(*of.table, Basis::dry(), comparable(so_far, *of.table, about->key));
            columns[material]->convert(of, from, to - from, stride(), records.data() + 1);
        } else {
            std::fill(records.begin(), records.end(), kNothing);
        }
        for (std::size_t i = from; i < to; ++i) {
            const std::size_t row = of.first + i;
            if (i + kAhead < last && place_of[row + kAhead] != kNoPlace)
                __builtin_prefetch(records_ + place_of[row + kAhead] * stride(), 1);
            const std::uint32_t place = place_of[row];
            if (place == kNoPlace)
                continue;
            double* const record = records.data() + (i - from) * stride();
            if ((so_far.row_flags[row] & Judgement::kHasExclude) != 0 && about != nullptr)
                leave_marked_out(so_far, static_cast<RowId>(row), about->key, record + 1);
            const bool usable = so_far.verdict[row] <= Verdict::review;
            const Head head = {batch.session[row], usable ? material : batch::kNoMaterial};
            std::memcpy(record, &head, sizeof head);
            if (stride() == 4) // moisture, protein and oil: most materials
                std::memcpy(records_ + place * 4, record, 4 * sizeof(double));
            else
                std::copy_n(record, stride(), records_ + place * stride());
        }
    }
}

void KeyValues::follow(const batch::Batch& batch, const std::vector<Verdict>& verdict, unsigned threads) {
    assert(verdict.size() == verdict_.size());
    const std::size_t rows = verdict.size();
    parallel_for((rows + kRowsAPiece - 1) / kRowsAPiece, threads, [&](std::size_t piece) {
        const std::size_t last = std::min(rows, (piece + 1) * kRowsAPiece);
        for (std::size_t row = piece * kRowsAPiece; row < last; ++row) {
            const bool usable = verdict[row] <= Verdict::review;
            if (usable == (verdict_[row] <= Verdict::review) || batch.kind[row] != Kind::seed ||
                batch.sample[row] == kNone)
                continue;
            const std::uint32_t sample = batch.sample[row];
            const auto of_sample = batch.rows_of(sample);
            const auto at = std::lower_bound(of_sample.begin(), of_sample.end(), row);
            assert(at != of_sample.end() && *at == row);
            const std::size_t place =
                batch.sample_begin[sample] + static_cast<std::size_t>(at - of_sample.begin());
            set_head(place, {session(place), usable ? batch.material[row] : batch::kNoMaterial});
        }
    });
    verdict_ = verdict;
}

} // namespace thresh::rules
