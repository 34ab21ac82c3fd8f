// Repeatability is pooled within sample and session. Between sessions of one instrument the sums of squares
// of a nested layout with unequal numbers are set equal to their expectations (ISO 5725-3 in the simplest
// case: sessions are the only factor that changes); a negative component counts as 0.
#include "rules/limits.hpp"
#include "rules/links.hpp"
#include "rules/repeatability_sd.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <tuple>

namespace thresh::rules {

namespace {

struct SquareSums {
    double within = 0, within_df = 0;
    double between = 0, between_df = 0, weight = 0; // weight: coefficient of the component in E(between)
    std::size_t samples = 0;
    std::uint32_t last_sample = kNone; // counted: one read on two instruments is one sample
};

struct Cell {
    double mean = 0, n = 0;
};

// What one instrument read of a sample.
void add_sample(std::uint32_t sample, const std::vector<Cell>& cells, SquareSums& sums) {
    if (cells.size() < 2)
        return;
    double total = 0, squares = 0, mean = 0;
    for (const Cell& cell : cells) {
        total += cell.n;
        squares += cell.n * cell.n;
        mean += cell.n * cell.mean;
    }
    mean /= total;
    for (const Cell& cell : cells)
        sums.between += cell.n * (cell.mean - mean) * (cell.mean - mean);
    sums.between_df += static_cast<double>(cells.size() - 1);
    sums.weight += total - squares / total;
    sums.samples += sums.last_sample != sample ? 1U : 0U;
    sums.last_sample = sample;
}

struct Row {
    std::uint8_t material;
    TextId instrument;
    std::uint32_t session;
    RowId row;
    bool stable;
};

// Usable readings of a sample in order of material, instrument, session.
void gather(const Evidence& evidence, std::uint32_t sample, std::vector<Row>& rows) {
    const batch::Batch& batch = evidence.batch;
    rows.clear();
    for (const RowId row : batch.rows_of(sample)) {
        if (evidence.so_far.verdict[row] > Verdict::review || batch.session[row] == kNone ||
            batch.material[row] == batch::kNoMaterial)
            continue;
        const Block& block = batch.block_of(row);
        rows.push_back({batch.material[row], block.text_of(TextField::instrument, row - block.first),
                        batch.session[row], row, true});
    }
    std::sort(rows.begin(), rows.end(), [](const Row& a, const Row& b) {
        return std::tuple(a.material, a.instrument, a.session, a.row) <
               std::tuple(b.material, b.instrument, b.session, b.row);
    });
    if (rows.empty())
        return;
    const Row* of_instrument = &rows.front(); // its first
    auto first = moisture_of(evidence, of_instrument->row);
    for (Row& row : rows) {
        const auto moisture = moisture_of(evidence, row.row);
        if (row.material != of_instrument->material || row.instrument != of_instrument->instrument) {
            of_instrument = &row;
            first = moisture;
        }
        row.stable = !first || !moisture || std::abs(*moisture - *first) <= kMoistureChange;
    }
}

} // namespace

std::vector<Precision> precision_found(const batch::Batch& batch, const Ruleset& rules,
                                       const Judgement& judgement) {
    const Evidence evidence{batch, rules, judgement};
    std::vector<ConstituentId> ids;
    for (const Block& block : batch.readings.blocks)
        for (const Column& column : block.table->numbers)
            if (column.part_of != PartOf::none)
                ids.push_back(column.constituent);
    std::sort(ids.begin(), ids.end());
    ids.erase(std::unique(ids.begin(), ids.end()), ids.end());
    std::vector<ComparableValues> values;
    for (const ConstituentId id : ids)
        values.emplace_back(evidence, id);
    const auto left_out = disagreeing(judgement);
    const auto reused = reused_samples(judgement);

    std::map<std::pair<std::uint8_t, ConstituentId>, SquareSums> all;
    std::vector<Row> rows;
    std::vector<Cell> cells;
    for (std::uint32_t sample = 0; sample < batch.samples.size(); ++sample) {
        if (batch.rows_of(sample).size() < 2)
            continue;
        gather(evidence, sample, rows);
        for (std::size_t c = 0; c < ids.size(); ++c) {
            if (left_out.contains({sample, ids[c]}))
                continue;
            cells.clear();
            for (std::size_t i = 0; i < rows.size();) {
                SquareSums& sums = all[{rows[i].material, ids[c]}];
                const std::size_t begin = i;
                Cell cell;
                double sum = 0;
                std::vector<double> read;
                for (; i < rows.size() && rows[i].material == rows[begin].material &&
                       rows[i].instrument == rows[begin].instrument && rows[i].session == rows[begin].session;
                     ++i)
                    if (const auto value = values[c](rows[i].row)) {
                        read.push_back(*value);
                        sum += *value;
                    }
                if (!read.empty()) {
                    cell.n = static_cast<double>(read.size());
                    cell.mean = sum / cell.n;
                    for (const double value : read)
                        sums.within += (value - cell.mean) * (value - cell.mean);
                    sums.within_df += cell.n - 1;
                    // Moisture itself changes while seed lies, so only stable seed tells of sessions.
                    if (rows[begin].stable && !reused.contains(sample))
                        cells.push_back(cell);
                }
                if (i == rows.size() || rows[i].material != rows[begin].material ||
                    rows[i].instrument != rows[begin].instrument) {
                    add_sample(sample, cells, sums);
                    cells.clear();
                }
            }
        }
    }

    std::vector<Precision> found;
    for (const auto& [place, sums] : all) {
        Precision precision{place.first, place.second, {}, sums.within_df, {}, sums.samples};
        const double within = sums.within_df > 0 ? sums.within / sums.within_df : 0;
        if (sums.within_df > 0)
            precision.repeatability = std::sqrt(within);
        if (sums.between_df > 0)
            precision.intermediate =
                sums.within_df > 0
                    ? std::sqrt(within +
                                std::max(0.0, (sums.between - sums.between_df * within) / sums.weight))
                    : std::sqrt(sums.between / sums.between_df);
        if (precision.repeatability || precision.intermediate)
            found.push_back(precision);
    }
    return found;
}

} // namespace thresh::rules
