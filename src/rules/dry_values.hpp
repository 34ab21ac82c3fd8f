// Several values of a reading at once, as ComparableValues has them: shares of the sample on dry basis, all
// else as read.
#pragma once

#include "rules/rule.hpp"

#include <optional>
#include <span>
#include <thresh/basis/values.hpp>
#include <thresh/core/nothing.hpp>
#include <vector>

namespace thresh::rules {

// For one thread. Columns are looked up once a table. What is given must outlive it.
class DryValues {
  public:
    DryValues(const batch::Batch& batch, const Judgement& so_far, std::span<const ConstituentId> ids)
        : batch_(batch), so_far_(so_far), ids_(ids), columns_(ids.size()) {}

    // into[i]: the value of ids[i]; NaN when it is absent, of another share than in results, marked to be
    // excluded, or needs a moisture that is absent.
    void read(RowId row, double* into) {
        const Block& block = batch_.block_of(row);
        if (!dry_ || block.table.get() != table_)
            look_up(*block.table);
        dry_->convert_some(block, row - block.first, columns_, into);
        for (const auto& mark : so_far_.marks_of(row))
            for (std::size_t i = 0; i < ids_.size() && mark.mark == Mark::exclude; ++i)
                if (mark.constituent == ids_[i])
                    into[i] = kNothing;
    }

  private:
    void look_up(const TableColumns& table) {
        table_ = &table;
        dry_.emplace(table, Basis::dry());
        for (std::size_t i = 0; i < ids_.size(); ++i)
            columns_[i] = static_cast<std::uint32_t>(
                comparable_column(so_far_, table, ids_[i]).value_or(basis::Plan::kNoColumn));
    }
    const batch::Batch& batch_;
    const Judgement& so_far_;
    std::span<const ConstituentId> ids_;
    const TableColumns* table_ = nullptr; // that the columns below belong to
    std::optional<basis::Plan> dry_;
    std::vector<std::uint32_t> columns_;
};

} // namespace thresh::rules
