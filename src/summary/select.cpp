// Conditions are read against the columns of the table, so that each compares in its column's own type. Only
// the wanted rows are copied: the table is walked in pieces.
#include <thresh/summary/select.hpp>

#include <thresh/batch/settings.hpp> // patterns
#include <thresh/core/nearest.hpp>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <compare>
#include <fmt/format.h>
#include <numeric>

namespace thresh::summary {

namespace {

enum class Operator { equal, unequal, less, at_most, more, at_least };

struct Condition {
    std::size_t column = 0;
    Operator op = Operator::equal;
    bool missing = false; // compares with `missing`
    double number = 0;
    Time time;
    std::string text;
};

std::string_view trimmed(std::string_view text) {
    const auto first = text.find_first_not_of(' ');
    if (first == std::string_view::npos)
        return {};
    return text.substr(first, text.find_last_not_of(' ') - first + 1);
}

Result<std::size_t> column_of(std::string_view name, const std::vector<OutColumn>& columns) {
    std::vector<std::string> names;
    for (std::size_t i = 0; i < columns.size(); ++i) {
        if (columns[i].name == name)
            return i;
        names.push_back(columns[i].name);
    }
    return fail(fmt::format("there is no column `{}`", name), nearest_hint(name, names, "columns are"));
}

// The first operator outside quotes.
struct OperatorAt {
    std::size_t at = std::string_view::npos;
    std::size_t length = 0;
    Operator op = Operator::equal;
};
OperatorAt find_operator(std::string_view text) {
    struct Spelling {
        std::string_view sign;
        Operator op;
    };
    static constexpr Spelling kSpellings[] = {{"<=", Operator::at_most}, {">=", Operator::at_least},
                                              {"!=", Operator::unequal}, {"==", Operator::equal},
                                              {"<", Operator::less},     {">", Operator::more},
                                              {"=", Operator::equal}};
    for (std::size_t at = 0; at < text.size(); ++at)
        for (const Spelling& spelling : kSpellings)
            if (text.substr(at).starts_with(spelling.sign))
                return {at, spelling.sign.size(), spelling.op};
    return {};
}

std::string_view without_quotes(std::string_view text) {
    if (text.size() >= 2 && (text.front() == '\'' || text.front() == '"') && text.back() == text.front())
        return text.substr(1, text.size() - 2);
    return text;
}

Result<Condition> read_condition(std::string_view text, const std::vector<OutColumn>& columns) {
    const OperatorAt found = find_operator(text);
    if (found.at == std::string_view::npos)
        return fail(fmt::format("`{}` is no condition", text),
                    "write COLUMN OPERATOR VALUE, such as `protein > 36`; operators: = != < <= > >=");
    const auto column = column_of(trimmed(text.substr(0, found.at)), columns);
    if (!column)
        return tl::unexpected(column.error());
    const std::string_view written = trimmed(text.substr(found.at + found.length));
    const std::string value(without_quotes(written));
    Condition condition;
    condition.column = *column;
    condition.op = found.op;
    condition.text = value;
    const OutColumn& declared = columns[*column];
    if (written == "missing") {
        condition.missing = true;
        if (found.op != Operator::equal && found.op != Operator::unequal)
            return fail(fmt::format("`{}`: missing has no order", text), "use = or !=");
    } else if (declared.type == ColumnType::number || declared.type == ColumnType::integer) {
        const auto [end, error] =
            std::from_chars(value.data(), value.data() + value.size(), condition.number);
        if (error != std::errc{} || end != value.data() + value.size() || !std::isfinite(condition.number))
            return fail(fmt::format("`{}` is no number, as column `{}` needs one", value, declared.name),
                        "write it with a decimal point, such as 36.5");
    } else if (declared.type == ColumnType::time) {
        condition.time = time_from_iso(value);
        if (condition.time.missing())
            return fail(fmt::format("`{}` is no time, as column `{}` needs one", value, declared.name),
                        "write 2026-08-03 or 2026-08-03T07:41");
    }
    return condition;
}

// Cuts at ` and ` outside quotes. A quote opens where a value begins; elsewhere it is an apostrophe.
Result<std::vector<std::string_view>> cut_at_and(std::string_view text) {
    std::vector<std::string_view> parts;
    std::size_t start = 0;
    char quote = 0;
    bool value_begins = false;
    for (std::size_t at = 0; at < text.size(); ++at) {
        if (quote != 0)
            quote = text[at] == quote ? '\0' : quote;
        else if (value_begins && (text[at] == '\'' || text[at] == '"'))
            quote = text[at];
        else if (text.substr(at).starts_with(" and ")) {
            parts.push_back(text.substr(start, at - start));
            start = at + 5;
        }
        value_begins = std::string_view("=<>").find(text[at]) != std::string_view::npos ||
                       (value_begins && text[at] == ' ');
    }
    if (quote != 0)
        return fail(fmt::format("in `{}` a quote is opened and never closed", text),
                    "close it behind the value; an apostrophe within a value needs no quotes");
    parts.push_back(text.substr(start));
    return parts;
}

bool agrees(std::partial_ordering order, Operator op) {
    switch (op) {
    case Operator::equal:
        return order == 0;
    case Operator::unequal:
        return order != 0;
    case Operator::less:
        return order < 0;
    case Operator::at_most:
        return order <= 0;
    case Operator::more:
        return order > 0;
    case Operator::at_least:
        return order >= 0;
    }
    return false;
}

// A time against one of coarser precision: `time <= 2026-08-03` means the whole day.
std::partial_ordering compare_times(Time cell, Time wanted) {
    constexpr std::int64_t kSeconds[] = {1, 86400, 60, 1};
    const std::int64_t step = kSeconds[static_cast<std::size_t>(wanted.precision())];
    const auto floor_to = [step](std::int64_t s) { return s / step - (s % step < 0 ? 1 : 0); };
    return floor_to(cell.seconds()) <=> floor_to(wanted.seconds());
}

bool is_missing(const Value& value) {
    return value.value.index() == 0 || only_for_people(value.shown);
}

bool holds(const Condition& condition, const Value& value) {
    if (condition.missing)
        return is_missing(value) == (condition.op == Operator::equal);
    if (is_missing(value))
        return false;
    if (const auto* text = std::get_if<std::string>(&value.value)) {
        if (condition.op == Operator::equal || condition.op == Operator::unequal) {
            const bool same = condition.text.find_first_of("*?") != std::string::npos
                                  ? batch::matches(condition.text, *text)
                                  : condition.text == *text;
            return same == (condition.op == Operator::equal);
        }
        return agrees(*text <=> condition.text, condition.op);
    }
    if (const auto* integer = std::get_if<std::int64_t>(&value.value))
        return agrees(static_cast<double>(*integer) <=> condition.number, condition.op);
    if (const auto* number = std::get_if<double>(&value.value))
        return agrees(*number <=> condition.number, condition.op);
    return agrees(compare_times(std::get<Time>(value.value), condition.time), condition.op);
}

struct SortKey {
    std::size_t column = 0;
    bool falling = false;
};

Result<std::vector<SortKey>> read_sort(std::string_view text, const std::vector<OutColumn>& columns) {
    std::vector<SortKey> keys;
    while (!text.empty()) {
        const std::size_t comma = std::min(text.find(','), text.size());
        std::string_view name = trimmed(text.substr(0, comma));
        text.remove_prefix(std::min(text.size(), comma + 1));
        SortKey key;
        key.falling = name.starts_with('-');
        if (key.falling)
            name.remove_prefix(1);
        const auto column = column_of(name, columns);
        if (!column)
            return tl::unexpected(column.error());
        key.column = *column;
        keys.push_back(key);
    }
    return keys;
}

bool before(const std::vector<Value>& a, const std::vector<Value>& b, const std::vector<SortKey>& keys) {
    for (const SortKey& key : keys) {
        const Value &x = a[key.column], &y = b[key.column];
        if (is_missing(x) || is_missing(y)) {
            if (is_missing(x) != is_missing(y))
                return is_missing(y);
            continue;
        }
        if (x.value == y.value)
            continue;
        return (x.value < y.value) != key.falling;
    }
    return false;
}

void keep_where(StoredTable& piece, const std::vector<Condition>& conditions) {
    std::erase_if(piece.data(), [&](const std::vector<Value>& row) {
        return !std::all_of(conditions.begin(), conditions.end(),
                            [&](const Condition& c) { return holds(c, row[c.column]); });
    });
}

// A range of rows of another table, as a table.
class Rows final : public Table {
  public:
    Rows(const Table& whole, std::size_t first, std::size_t last)
        : whole_(whole), first_(first), last_(last) {
        columns_ = whole.columns();
    }
    std::size_t rows() const override { return last_ - first_; }
    void write(std::size_t first, std::size_t last, RowSink& sink) const override {
        whole_.write(first_ + first, first_ + last, sink);
    }

  private:
    const Table& whole_;
    std::size_t first_, last_;
};

} // namespace

Result<std::unique_ptr<Table>> select_rows(const Table& table, const Selection& selection) {
    std::vector<Condition> conditions;
    for (const std::string& text : selection.where) {
        const auto parts = cut_at_and(text);
        if (!parts)
            return tl::unexpected(parts.error());
        for (const std::string_view part : *parts) {
            auto condition = read_condition(part, table.columns());
            if (!condition)
                return tl::unexpected(condition.error());
            conditions.push_back(std::move(*condition));
        }
    }
    const auto keys = read_sort(selection.sort, table.columns());
    if (!keys)
        return tl::unexpected(keys.error());

    constexpr std::size_t kRowsAPiece = 4096;
    auto chosen = std::make_unique<StoredTable>(table.name(), table.columns());
    const std::size_t enough = keys->empty() && selection.top > 0 ? selection.top : table.rows();
    for (std::size_t first = 0; first < table.rows() && chosen->rows() < enough; first += kRowsAPiece) {
        StoredTable piece(Rows(table, first, std::min(table.rows(), first + kRowsAPiece)));
        keep_where(piece, conditions);
        std::move(piece.data().begin(), piece.data().end(), std::back_inserter(chosen->data()));
    }
    std::stable_sort(chosen->data().begin(), chosen->data().end(),
                     [&](const auto& a, const auto& b) { return before(a, b, *keys); });
    if (selection.top > 0 && chosen->rows() > selection.top)
        chosen->data().resize(selection.top);
    return chosen;
}

} // namespace thresh::summary
