// The sample list and the decisions file as the batch sees them.
#pragma once

#include <thresh/core/finding.hpp>
#include <thresh/core/result.hpp>
#include <thresh/core/time.hpp>

#include <array>
#include <cstdint>
#include <memory>
#include <memory_resource>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace thresh::batch {

// The texts that a row of the sample list may state.
enum class ListText : std::uint8_t {
    sample,
    line,
    trial,
    environment,
    year,
    rep,
    block,
    plot,
    material,
    kind,
    generation,
    oil_type,
    seed_coat,
    location,
    due,
    duplicate_of,
    count
};

// One row of the sample list on its way there. Empty text = not stated.
struct ListEntry {
    std::uint32_t row_line = 0; // physical line in the list
    std::string sheet;
    std::string sample, line, trial, environment, year, rep, block, plot, material, kind, generation,
        oil_type, seed_coat, location, due, duplicate_of;
    std::optional<double> mass_g;
    bool keep_whole = false, treated = false;
    bool is_check = false; // its kind, or a yes word or a check's name in the column `check`

    std::string& text(ListText which);
    const std::string& text(ListText which) const;
};

// The list, column by column: it may be as long as the season, and most lists fill few of the columns. A row
// that is kNone (a sample that is not listed) states nothing.
class SampleList {
  public:
    std::string source; // empty: no list was given
    bool has_trial = false, has_plot = false, has_rep = false, has_environment = false;
    bool given() const { return !source.empty(); }

    // Rows keep the order in which they are added. What text() gives lives as long as the list, moved or not.
    void add(const ListEntry& entry);
    void reserve(std::size_t rows);

    std::size_t size() const { return row_line_.size(); }
    bool empty() const { return row_line_.empty(); }
    // Whether any row states it.
    bool states(ListText which) const { return !column(which).empty(); }
    std::string_view text(std::uint32_t row, ListText which) const { return at(column(which), row); }
    std::string_view sheet(std::uint32_t row) const { return at(sheet_, row); }
    std::uint32_t row_line(std::uint32_t row) const { return row_line_[row]; } // never of kNone
    std::optional<double> mass_g(std::uint32_t row) const {
        return row == kNone || mass_g_.empty() ? std::nullopt : mass_g_[row];
    }
    bool keep_whole(std::uint32_t row) const { return says(row, kKeepWhole); }
    bool treated(std::uint32_t row) const { return says(row, kTreated); }
    bool is_check(std::uint32_t row) const { return says(row, kCheck); }

  private:
    using Column = std::vector<std::string_view>; // by row; empty when no row states it
    static constexpr std::uint8_t kKeepWhole = 1, kTreated = 2, kCheck = 4;

    const Column& column(ListText which) const { return columns_[static_cast<std::size_t>(which)]; }
    static std::string_view at(const Column& column, std::uint32_t row) {
        return row == kNone || column.empty() ? std::string_view() : column[row];
    }
    bool says(std::uint32_t row, std::uint8_t what) const { return row != kNone && (said_[row] & what) != 0; }
    void put(Column& column, std::string_view text);

    std::array<Column, static_cast<std::size_t>(ListText::count)> columns_;
    Column sheet_;
    std::vector<std::uint32_t> row_line_;
    std::vector<std::optional<double>> mass_g_; // empty when no row states one
    std::vector<std::uint8_t> said_;
    std::unique_ptr<std::pmr::monotonic_buffer_resource> texts_; // where the columns point to
};

// One row of the decisions file.
struct Decision {
    enum class Action : std::uint8_t { keep, drop, rename };
    std::uint32_t row_line = 0;
    std::string sample, source, constituent, code, to, reason, initials, date;
    std::optional<std::uint32_t> row;
    Time time;
    Action action = Action::keep;
};

} // namespace thresh::batch
