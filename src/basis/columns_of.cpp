// A reading costs one division for its factor and one for each number. What is not a plain decimal is rare
// and looked up beside.
#include <thresh/basis/columns_of.hpp>

#include "basis/factor.hpp"
#include "basis/number_or_nan.hpp"

#include <algorithm>
#include <cassert>
#include <thresh/basis/convert.hpp>
#include <thresh/core/nothing.hpp>

namespace thresh::basis {

ColumnsOf::ColumnsOf(const TableColumns& table, Basis wanted, std::span<const ConstituentId> ids)
    : table_(&table), percent_(wanted.percent), wanted_(ids.size()) {
    assert(wanted.kind == Basis::Kind::fixed && valid_moisture(wanted.percent));
    bool by_row = false;
    for (std::size_t k = 0; k < ids.size(); ++k) {
        const auto at = table.find(ids[k]);
        if (!at)
            continue;
        wanted_[k].column = static_cast<std::uint32_t>(*at);
        const Column& column = table.numbers[*at];
        if (column.part_of != PartOf::sample || column.constituent == constituent::moisture)
            continue;
        if (column.basis.kind == Basis::Kind::fixed)
            wanted_[k].factor = factor(column.basis.percent, percent_);
        else
            by_row = wanted_[k].by_row = true;
    }
    if (by_row)
        moisture_ = table.find(constituent::moisture);
}

void ColumnsOf::convert(const Block& block, std::size_t first, std::size_t rows, std::size_t width,
                        double* values) const {
    assert(block.table.get() == table_ && width >= wanted_.size());
    const std::size_t columns = table_->numbers.size();
    const Cell* cells = block.cells.data() + first * columns;
    for (std::size_t i = 0; i < rows; ++i, cells += columns, values += width) {
        double of_row = kNothing;
        if (moisture_) {
            const double moisture = number_or_nan(block, cells[*moisture_]);
            of_row = valid_moisture(moisture) ? factor(moisture, percent_) : kNothing;
        }
        for (std::size_t k = 0; k < wanted_.size(); ++k) {
            const Wanted& of = wanted_[k];
            values[k] = of.column == kNoColumn
                            ? kNothing
                            : number_or_nan(block, cells[of.column]) * (of.by_row ? of_row : of.factor);
        }
        std::fill(values + wanted_.size(), values + width, kNothing);
    }
}

} // namespace thresh::basis
