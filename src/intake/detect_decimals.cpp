// One decimal mark for a whole column. A cell proves the mark when it can be read in no other way: 12.5,
// 0.123, 1234.567; `1.234` alone proves nothing. Two marks in one cell (1.234,5) or several equal ones
// (1,234,567) prove thousands marks. A column without proof follows the table's; a table without any is
// decided only when the values are plausible shares in percent, for the other reading would be beyond 1000.
// What stays open is doubtful: 1,234 is neither 1.234 nor 1234 until somebody says so. Numbers of a workbook
// have no spelling: they prove nothing and are never in doubt; what was typed as text among them is judged.
#include "intake/settle.hpp"

#include "intake/decimal_shape.hpp"
#include "intake/side_places.hpp"
#include <thresh/core/parallel.hpp>

#include <algorithm>
#include <fmt/format.h>

namespace thresh::intake {

namespace {

struct Evidence {
    std::size_t own = 0, other = 0;           // cells that prove the mark they were read with, or the other
    std::size_t own_open = 0, other_open = 0; // 1.234 with either mark
    std::size_t groups_other = 0, groups_own = 0; // thousands marks proven: the other mark, the own mark
    std::size_t groups_plain = 0;                 // blanks or apostrophes between groups
    char plain = ' ';                             // which of them, by the first
    std::string example, open_example, other_example;
    std::uint32_t open_line = 0, other_line = 0;
};

class ColumnMarks {
  public:
    ColumnMarks(TableData& table, std::size_t column)
        : table_(table), column_(column), width_(table.plan.numbers.size()),
          shift_(table.plan.numbers[column].shift), own_(table.styles[column].mark),
          other_(own_ == ',' ? '.' : ',') {}

    // What cells prove: those that stand beside the decimals, and the decimals (added to `e`).
    Evidence gather_beside(const std::vector<SidePlace>& beside) const;
    void gather_decimals(Evidence& e) const;
    // Whether a decimal of the first so many rows proves the mark that it was read with.
    bool own_proven(std::size_t rows) const;
    // Reads the cells that were kept as text anew, and decimals that were thousands.
    void reread(NumberStyle style);
    // Makes cells in question doubtful: spelled with the own mark (all or only the open ones), with the
    // other.
    void doubt(bool own_open, bool own_proof, bool other);
    // Numbers with the own mark become unreadable: a few strays in a column of the other mark.
    void reject_own();
    char own() const { return own_; }
    char other() const { return other_; }

  private:
    void gather_text(const Block& block, std::size_t row, const std::string& text, Evidence& e) const;
    template <typename F>
    void each(F f) {
        for (Part& part : table_.parts)
            for (std::size_t b = 0; b < part.blocks.size(); ++b)
                for (std::size_t row = 0; row < part.blocks[b].rows; ++row)
                    if (const std::size_t at = row * width_ + column_; !part.is_native(b, at))
                        f(part.blocks[b], row, part.blocks[b].cells[at]);
    }
    TableData& table_;
    std::size_t column_, width_;
    int shift_;
    char own_, other_;
};

void ColumnMarks::gather_text(const Block& block, std::size_t row, const std::string& text,
                              Evidence& e) const {
    const auto groups = [&](NumberStyle style) {
        return read_number_cell(text, style, 0).kind != NumberCell::Kind::unreadable;
    };
    switch (shape(text, own_)) {
    case Shape::proof:
        ++e.own;
        return;
    case Shape::open:
        ++e.own_open;
        return;
    case Shape::whole:
        return;
    case Shape::none:
        break;
    }
    const auto remember = [&](std::string& example, std::uint32_t& line) {
        if (example.empty()) {
            example = text;
            line = block.line[row];
        }
    };
    const Shape with_other = shape(text, other_);
    if (with_other == Shape::open) {
        ++e.other_open;
        remember(e.open_example, e.open_line);
    } else if (with_other == Shape::proof) {
        ++e.other;
        remember(e.other_example, e.other_line);
    } else if (groups({own_, other_})) {
        ++e.groups_other;
    } else if (groups({other_, own_})) {
        ++e.groups_own;
    } else if (groups({own_, ' '}) || groups({own_, '\''}) || groups({other_, ' '}) ||
               groups({other_, '\''})) {
        const bool blank = groups({own_, ' '}) || groups({other_, ' '});
        if (e.groups_plain++ == 0)
            e.plain = blank ? ' ' : '\'';
        if (!groups({own_, blank ? ' ' : '\''}))
            ++e.other;
    }
}

Evidence ColumnMarks::gather_beside(const std::vector<SidePlace>& beside) const {
    Evidence e;
    for (const SidePlace& at : beside) {
        const Block& block = table_.parts[at.part].blocks[at.block];
        gather_text(block, at.row, block.side[block.cells[at.row * width_ + column_].side()].text, e);
    }
    return e;
}

void ColumnMarks::gather_decimals(Evidence& e) const {
    for (const Part& part : table_.parts)
        for (std::size_t b = 0; b < part.blocks.size(); ++b) {
            const Block& block = part.blocks[b];
            for (std::size_t row = 0; row < block.rows; ++row) {
                const Cell cell = block.cells[row * width_ + column_];
                if (!cell.is_decimal() || part.is_native(b, row * width_ + column_))
                    continue;
                const Shape s = shape(cell, shift_);
                e.own += s == Shape::proof;
                e.own_open += s == Shape::open;
                if (s == Shape::open && e.example.empty())
                    e.example = exported_text(cell, shift_, own_);
            }
        }
}

bool ColumnMarks::own_proven(std::size_t rows) const {
    for (const Part& part : table_.parts)
        for (std::size_t b = 0; b < part.blocks.size(); ++b) {
            const Block& block = part.blocks[b];
            for (std::size_t row = 0; row < block.rows; ++row) {
                if (rows-- == 0)
                    return false;
                const Cell cell = block.cells[row * width_ + column_];
                if (cell.is_decimal() && !part.is_native(b, row * width_ + column_) &&
                    shape(cell, shift_) == Shape::proof)
                    return true;
            }
        }
    return false;
}

void ColumnMarks::reread(NumberStyle style) {
    each([&](Block& block, std::size_t, Cell& cell) {
        std::string text;
        std::optional<std::uint32_t> side;
        if (cell.state() == CellState::doubtful)
            return;
        if (has_side(cell)) {
            side = cell.side();
            text = block.side[*side].text;
        } else if (cell.is_decimal() && style.mark != own_) {
            text = exported_text(cell, shift_, own_);
        } else {
            return;
        }
        const NumberCell number = read_number_cell(text, style, shift_);
        const auto beside = [&]() {
            if (!side) {
                block.side.push_back({0, text});
                side = static_cast<std::uint32_t>(block.side.size() - 1);
            }
            block.side[*side].value = number.value;
            return *side;
        };
        switch (number.kind) {
        case NumberCell::Kind::decimal:
            cell = Cell::decimal(number.digits, number.decimals);
            break;
        case NumberCell::Kind::wide:
            cell = Cell::wide(beside());
            break;
        case NumberCell::Kind::below_limit:
            cell = Cell::below_limit(beside());
            break;
        case NumberCell::Kind::missing:
            cell = {};
            break;
        case NumberCell::Kind::unreadable:
            cell = Cell::unreadable(beside());
            break;
        }
    });
    table_.styles[column_] = style;
}

void ColumnMarks::doubt(bool own_open, bool own_proof, bool other) {
    each([&](Block& block, std::size_t, Cell& cell) {
        if (has_side(cell)) {
            const std::string& text = block.side[cell.side()].text;
            const Shape with_own = shape(text, own_), with_other = shape(text, other_);
            if ((own_open && with_own == Shape::open) || (own_proof && with_own == Shape::proof) ||
                (other && with_own == Shape::none &&
                 (with_other == Shape::open || with_other == Shape::proof)))
                cell = Cell::doubtful(cell.side());
        } else if (cell.is_decimal()) {
            const Shape s = shape(cell, shift_);
            if ((own_open && s == Shape::open) || (own_proof && s == Shape::proof))
                make_doubtful(block, cell, shift_, own_);
        }
    });
}

void ColumnMarks::reject_own() {
    each([&](Block& block, std::size_t, Cell& cell) {
        if (!cell.is_decimal() || shape(cell, shift_) == Shape::whole)
            return;
        block.side.push_back({0, exported_text(cell, shift_, own_)});
        cell = Cell::unreadable(static_cast<std::uint32_t>(block.side.size() - 1));
    });
}

const char* mark_name(char mark) {
    return mark == ',' ? "comma" : "point";
}

// The decisions for one table.
class DecimalSettler {
  public:
    DecimalSettler(TableData& table, const ExportOptions& options, std::vector<IntakeNote>& notes)
        : table_(table), options_(options), notes_(notes) {}

    void run() {
        std::size_t rows = 0;
        for (const Part& part : table_.parts)
            rows += part.rows();
        // Small tables are settled side by side already.
        const unsigned threads = rows > Block::kMaxRows ? options_.threads : 1;
        evidence_.resize(table_.plan.numbers.size());
        const std::vector<std::vector<SidePlace>> beside = side_places(table_, threads);
        for (std::size_t c = 0; c < evidence_.size(); ++c)
            evidence_[c] = ColumnMarks(table_, c).gather_beside(beside[c]);
        if (plainly_as_read())
            return;
        parallel_for(evidence_.size(), threads,
                     [&](std::size_t c) { ColumnMarks(table_, c).gather_decimals(evidence_[c]); });
        find_table_mark();
        for (std::size_t c = 0; c < table_.plan.numbers.size(); ++c)
            decide(c);
    }

  private:
    bool plainly_as_read() const;
    void find_table_mark();
    void decide(std::size_t column);
    void decide_given(ColumnMarks& column, const Evidence& e);
    void decide_mixture(std::size_t c, ColumnMarks& column, const Evidence& e);
    void note(std::size_t column, bool doubt, std::string message, std::uint32_t line = 0);

    TableData& table_;
    const ExportOptions& options_;
    std::vector<IntakeNote>& notes_;
    std::vector<Evidence> evidence_;
    char mark_ = '\0'; // of the table; '\0' = not proven
};

// No cell speaks for another mark, and one of the first rows proves the mark they were read with: then
// nothing is left to settle, and most tables need no look at all their cells. The first column nearly always
// holds the proof, so that many small files are settled at once.
bool DecimalSettler::plainly_as_read() const {
    constexpr std::size_t kFirstRows = 100;
    for (std::size_t c = 0; c < evidence_.size(); ++c) {
        const Evidence& e = evidence_[c];
        if (e.other + e.other_open + e.groups_other + e.groups_own + e.groups_plain > 0 ||
            table_.styles[c].mark != table_.plan.style.mark)
            return false;
    }
    for (std::size_t c = 0; c < evidence_.size(); ++c)
        if (evidence_[c].own > 0 || ColumnMarks(table_, c).own_proven(kFirstRows))
            return true;
    return false;
}

void DecimalSettler::note(std::size_t column, bool doubt, std::string message, std::uint32_t line) {
    IntakeNote made = column_note(table_, table_.plan.numbers[column].position, "decimal-doubtful", doubt,
                                  std::move(message), "--decimal . or --decimal ,");
    if (line != 0)
        made.line = line;
    notes_.push_back(std::move(made));
}

void DecimalSettler::find_table_mark() {
    const char own = table_.plan.style.mark, other = own == ',' ? '.' : ',';
    if (table_.mark_proven) {
        mark_ = own;
        return;
    }
    std::size_t for_own = 0, for_other = 0;
    for (const Evidence& e : evidence_) {
        for_own += e.own + e.groups_other > e.other + e.groups_own;
        for_other += e.own + e.groups_other < e.other + e.groups_own;
    }
    if (for_own != for_other) {
        mark_ = for_own > for_other ? own : other;
        return;
    }
    if (for_own > 0)
        return; // as many columns for either
    if (table_.comma_delimited && own == '.') {
        mark_ = own;
        return;
    }
    for (std::size_t c = 0; c < evidence_.size(); ++c)
        if (evidence_[c].own_open > 0 && looks_plausible(table_, c))
            mark_ = own;
}

// With the mark given, the other one can only part thousands.
void DecimalSettler::decide_given(ColumnMarks& column, const Evidence& e) {
    const char own = column.own();
    if (e.other == 0 && (e.groups_other > 0 || e.other_open > 0))
        column.reread({own, column.other()});
    else if (e.groups_plain > 0)
        column.reread({own, e.plain});
}

void DecimalSettler::decide_mixture(std::size_t c, ColumnMarks& column, const Evidence& e) {
    const std::size_t few = std::min(e.own, e.other), many = std::max(e.own, e.other);
    const std::string& heading = table_.plan.table->numbers[c].heading;
    if (10 * few < many && e.other > e.own) {
        column.reject_own();
        column.reread({column.other(), '\0'});
    } else if (10 * few >= many) {
        column.doubt(true, true, true);
        note(c, true,
             fmt::format("`{}` holds numbers with a decimal point and with a decimal comma (`{}`)", heading,
                         e.other_example),
             e.other_line);
    } else if (e.other_open > 0) {
        column.doubt(false, false, true);
    }
}

void DecimalSettler::decide(std::size_t c) {
    const Evidence& e = evidence_[c];
    ColumnMarks column(table_, c);
    const char own = column.own(), other = column.other();
    const std::string& heading = table_.plan.table->numbers[c].heading;
    const auto both_ways = [&](std::string_view example) {
        return fmt::format("`{}` in `{}` may be a decimal or a number with a thousands mark", example,
                           heading);
    };
    if (options_.decimal) {
        decide_given(column, e);
    } else if (e.groups_other > 0 && e.groups_own == 0 && e.other == 0) {
        column.reread({own, other});
    } else if (e.groups_own > 0 && e.groups_other == 0 && e.own == 0) {
        column.reread({other, own});
    } else if (e.groups_own + e.groups_other > 0) {
        column.doubt(true, true, true);
        note(c, true,
             fmt::format("`{}` holds numbers whose decimal and thousands marks contradict each other",
                         heading));
    } else if (e.groups_plain > 0) {
        column.reread({e.other > e.own ? other : own, e.plain});
    } else if (e.own > 0 && e.other > 0) {
        decide_mixture(c, column, e);
    } else if (e.other > 0) {
        if (e.own_open > 0) {
            column.doubt(true, false, false);
            note(c, true, both_ways(e.example));
        }
        // Cells in doubt hold no number any more, so that the rest can be read with the other mark.
        column.reread({other, '\0'});
        if (mark_ != '\0' && mark_ != other)
            note(c, false,
                 fmt::format("`{}` has a decimal {}, other columns a decimal {}", heading, mark_name(other),
                             mark_name(own)));
    } else if (e.other_open > 0 && (mark_ != other || e.own > 0 || e.own_open > 0)) {
        column.doubt(e.own == 0 && mark_ != own, false, true);
        note(c, true, both_ways(e.open_example), e.open_line);
    } else if (e.other_open > 0) {
        column.reread({other, '\0'});
    } else if (e.own_open > 0 && e.own == 0 && mark_ != own) {
        column.doubt(true, false, false);
        note(c, true, both_ways(e.example));
    }
}

} // namespace

void settle_decimals(TableData& table, const ConstituentTable& /*constituents*/, const ExportOptions& options,
                     std::vector<IntakeNote>& notes) {
    DecimalSettler(table, options, notes).run();
}

} // namespace thresh::intake
