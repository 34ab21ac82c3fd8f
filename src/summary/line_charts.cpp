// The table is read once, keeping only the cells that are drawn.
#include <thresh/core/nothing.hpp>
#include <thresh/summary/line_charts.hpp>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

namespace thresh::summary {

namespace {

constexpr std::size_t kAbsent = std::numeric_limits<std::size_t>::max();
constexpr std::size_t kMostCandidates =
    8; // of a material; the first two that two lines have a number for are drawn

std::size_t column_named(const Table& table, std::string_view name) {
    for (std::size_t i = 0; i < table.columns().size(); ++i)
        if (table.columns()[i].name == name)
            return i;
    return kAbsent;
}

// A line's cells that may be drawn. Numbers by column; NaN = missing.
struct Row {
    std::string material, trial, line, basis;
    std::map<std::size_t, double> numbers;
    double at(std::size_t column) const {
        const auto found = numbers.find(column);
        return found == numbers.end() ? kNothing : found->second;
    }
};

class Picker final : public RowSink {
  public:
    Picker(const Table& table, std::vector<std::size_t> wanted) : wanted_(std::move(wanted)) {
        texts_ = {column_named(table, "material"), column_named(table, "trial"), column_named(table, "line"),
                  column_named(table, "basis")};
    }
    void begin_row() override {
        rows.emplace_back();
        column_ = 0;
    }
    void text(std::string_view value) override {
        std::string* const into[] = {&rows.back().material, &rows.back().trial, &rows.back().line,
                                     &rows.back().basis};
        for (std::size_t i = 0; i < texts_.size(); ++i)
            if (texts_[i] == column_)
                *into[i] = value;
        ++column_;
    }
    void integer(std::int64_t) override { ++column_; }
    void number(double value, Shown shown) override {
        if (!only_for_people(shown) && std::isfinite(value) &&
            std::find(wanted_.begin(), wanted_.end(), column_) != wanted_.end())
            rows.back().numbers[column_] = value;
        ++column_;
    }
    void time(Time) override { ++column_; }
    void missing() override { ++column_; }
    void end_row() override {}

    std::vector<Row> rows;

  private:
    std::vector<std::size_t> wanted_, texts_;
    std::size_t column_ = 0;
};

// Which constituents a material's pictures may show: key constituents of the rules, then others of the table.
std::vector<std::string> candidates(const Season& season, const Table& lines, const std::string& material) {
    std::vector<std::string> names;
    const auto& known = season.batch.material_names;
    const auto at = std::find(known.begin(), known.end(), material);
    if (at != known.end())
        if (const rules::Material* rules =
                season.rules.material(static_cast<std::uint8_t>(at - known.begin())))
            for (const ConstituentId id : rules->key)
                names.push_back(season.rules.constituents[id].name);
    for (const OutColumn& column : lines.columns())
        if (column.constituent != kNoConstituent && column.type == ColumnType::number &&
            column.name == season.rules.constituents[column.constituent].name)
            names.push_back(column.name);
    std::erase(names, "moisture");
    if (names.size() > kMostCandidates)
        names.resize(kMostCandidates);
    return names;
}

LineChart draw(const std::vector<const Row*>& rows, const std::vector<std::string>& names,
               const Table& table) {
    LineChart chart;
    chart.material = rows.front()->material;
    chart.basis = rows.front()->basis;
    std::size_t first = kAbsent, second = kAbsent;
    for (const std::string& name : names) {
        const std::size_t column = column_named(table, name);
        const auto with = std::count_if(rows.begin(), rows.end(),
                                        [&](const Row* row) { return !std::isnan(row->at(column)); });
        if (with < 2 || column == first)
            continue;
        (first == kAbsent ? first : second) = column;
        if (second != kAbsent)
            break;
    }
    if (first == kAbsent)
        return chart;
    chart.ranked = table.columns()[first].name;
    chart.other = second == kAbsent ? "" : table.columns()[second].name;
    std::map<std::string_view, std::size_t> namesakes; // in other trials
    for (const Row* row : rows)
        ++namesakes[row->line];
    const std::size_t own = column_named(table, chart.ranked + "_adj");
    chart.adjusted = own != kAbsent && std::count_if(rows.begin(), rows.end(), [&](const Row* row) {
                                           return !std::isnan(row->at(first)) && !std::isnan(row->at(own));
                                       }) >= 2;
    const std::size_t drawn = chart.adjusted ? own : first;
    const std::size_t error = column_named(table, table.columns()[drawn].name + "_se");
    for (const Row* row : rows) {
        const double mean = row->at(drawn), se = row->at(error);
        if (std::isnan(row->at(first)))
            continue;
        LineChart::Ranked made;
        made.line =
            row->trial.empty() || namesakes[row->line] == 1 ? row->line : row->trial + " " + row->line;
        made.mean = mean;
        if (!std::isnan(se)) {
            made.se = se;
            made.low = mean - se;
            made.high = mean + se;
        }
        if (const double other = row->at(second);
            !std::isnan(other) && chart.pairs.size() < LineChart::kMostPairs)
            chart.pairs.push_back({made.line, row->at(first), other});
        if (std::isnan(mean)) { // without adjusted mean: a plain one beside adjusted ones would mislead
            ++chart.not_drawn;
            continue;
        }
        ++chart.lines;
        chart.best.push_back(std::move(made));
    }
    std::stable_sort(chart.best.begin(), chart.best.end(),
                     [](const auto& a, const auto& b) { return a.mean > b.mean; });
    if (chart.best.size() > LineChart::kMostRanked)
        chart.best.resize(LineChart::kMostRanked);
    return chart;
}

} // namespace

std::vector<LineChart> line_charts(const Season& season, const Table& lines) {
    std::map<std::string, std::vector<std::string>> names; // by material
    std::vector<std::size_t> wanted;
    std::vector<std::string> materials = season.batch.material_names;
    materials.emplace_back(); // readings without material
    for (const std::string& material : materials)
        for (const std::string& name : names[material] = candidates(season, lines, material)) {
            for (const char* of : {"", "_se", "_adj", "_adj_se"})
                wanted.push_back(column_named(lines, name + of));
        }
    std::sort(wanted.begin(), wanted.end());
    wanted.erase(std::unique(wanted.begin(), wanted.end()), wanted.end());

    Picker picker(lines, wanted);
    lines.write(0, lines.rows(), picker);
    std::map<std::string, std::vector<const Row*>> rows;
    for (const Row& row : picker.rows)
        rows[row.material].push_back(&row);
    std::vector<LineChart> charts;
    for (const auto& [material, of_material] : rows)
        if (LineChart chart = draw(of_material, names[material], lines); chart.lines >= 2)
            charts.push_back(std::move(chart));
    std::stable_sort(charts.begin(), charts.end(),
                     [](const LineChart& a, const LineChart& b) { return a.lines > b.lines; });
    if (charts.size() > kMostMaterials)
        charts.resize(kMostMaterials);
    return charts;
}

} // namespace thresh::summary
