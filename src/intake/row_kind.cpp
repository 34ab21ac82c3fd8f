// Judged by words, never by values: a mean row is one that says so.
#include "intake/row_kind.hpp"

#include "intake/fold.hpp"
#include "intake/heading_words.hpp"

#include <algorithm>

namespace thresh::intake {

bool is_summary_word(std::string_view text) {
    // None of the words holds a digit, and nearly every sample ID does.
    if (text.size() < 1 || text.size() > 32 ||
        std::any_of(text.begin(), text.end(), [](char c) { return c >= '0' && c <= '9'; }))
        return false;
    static constexpr std::string_view kWords[] = {"mean",
                                                  "means",
                                                  "average",
                                                  "averages",
                                                  "avg",
                                                  "sd",
                                                  "stdev",
                                                  "std",
                                                  "stddev",
                                                  "standarddeviation",
                                                  "stdeviation",
                                                  "se",
                                                  "sem",
                                                  "stderr",
                                                  "standarderror",
                                                  "cv",
                                                  "coefficientofvariation",
                                                  "min",
                                                  "minimum",
                                                  "max",
                                                  "maximum",
                                                  "median",
                                                  "sum",
                                                  "total",
                                                  "totals",
                                                  "count",
                                                  "n",
                                                  "range",
                                                  "var",
                                                  "variance",
                                                  "grandmean",
                                                  "overallmean",
                                                  "lsd",
                                                  "rsd",
                                                  "mittelwert",
                                                  "mittel",
                                                  "durchschnitt",
                                                  "standardabweichung",
                                                  "stabw",
                                                  "anzahl",
                                                  "summe",
                                                  "gesamt",
                                                  "varianz",
                                                  "spannweite",
                                                  "moyenne",
                                                  "ecarttype",
                                                  "mediane",
                                                  "somme",
                                                  "nombre",
                                                  "variance",
                                                  "media",
                                                  "promedio",
                                                  "desviacionestandar",
                                                  "desvest",
                                                  "desviacion",
                                                  "mediana",
                                                  "suma",
                                                  "minimo",
                                                  "maximo",
                                                  "desviopadrao",
                                                  "desvpad",
                                                  "soma",
                                                  "varianza",
                                                  "variancia",
                                                  "contagem",
                                                  "recuento"};
    const std::string key = fold_key(text);
    return std::find(std::begin(kWords), std::end(kWords), key) != std::end(kWords);
}

std::string_view first_filled(const Record& record) {
    for (const CellText& cell : record.cells)
        if (const std::string_view text = trim(cell.text); !text.empty())
            return text;
    return {};
}

namespace {

bool repeats_row(const Record& record, const std::vector<std::string>& keys) {
    std::size_t same = 0;
    for (std::size_t i = 0; i < record.cells.size(); ++i) {
        const std::string key = fold_key(record.cells[i].text);
        if (key.empty())
            continue;
        if (i >= keys.size() || key != keys[i])
            return false;
        ++same;
    }
    return same >= 2 || (same > 0 && same == keys.size());
}

} // namespace

bool repeats_heading(const Record& record, const TablePlan& plan) {
    return std::any_of(plan.heading_keys.begin(), plan.heading_keys.end(),
                       [&](const std::vector<std::string>& keys) { return repeats_row(record, keys); });
}

// Numbers of this record that stand apart under another delimiter than the file's.
char foreign_delimiter(const Record& record, std::size_t width) {
    for (const char delimiter : {';', '\t', '|', ','}) {
        std::size_t pieces = 1, numbers = 0;
        bool inside = false;
        for (const CellText& cell : record.cells) {
            if (cell.quoted)
                continue;
            std::string_view left = cell.text;
            if (left.find(delimiter) == std::string_view::npos)
                continue;
            inside = true;
            while (!left.empty()) {
                const std::size_t cut = std::min(left.find(delimiter), left.size());
                const std::string_view piece = trim(left.substr(0, cut));
                const auto kind = read_number_cell(piece, {}, 0).kind;
                const auto comma = read_number_cell(piece, {',', '\0'}, 0).kind;
                numbers += kind == NumberCell::Kind::decimal || comma == NumberCell::Kind::decimal;
                pieces += cut < left.size();
                left.remove_prefix(std::min(cut + 1, left.size()));
            }
        }
        // A comma inside several cells is a decimal comma.
        if (delimiter == ',' && record.cells.size() > 1)
            break;
        if (inside && numbers >= 2 && 2 * pieces >= width && pieces >= 3)
            return delimiter;
    }
    return '\0';
}

bool is_units_row(const Record& record, std::optional<std::uint32_t> sample) {
    std::size_t units = 0;
    for (std::size_t i = 0; i < record.cells.size(); ++i) {
        const std::string_view text = trim(record.cells[i].text);
        if (text.empty() || is_missing_mark(text))
            continue;
        if (!is_only_qualifiers(text) || sample == i)
            return false;
        ++units;
    }
    return units > 0;
}

bool is_heading(const Record& record, const HeadingDictionary& dictionary) {
    std::size_t known = 0, filled = 0;
    bool about_seed = false;
    for (const CellText& cell : record.cells) {
        const std::string text = heading_text(cell.text);
        if (text.empty())
            continue;
        ++filled;
        if (read_number_cell(text, {}, 0).kind == NumberCell::Kind::decimal)
            return false;
        const HeadingMeaning meaning = dictionary.understand(text);
        known += meaning.known();
        about_seed = about_seed || meaning.constituent;
    }
    return known >= 2 && about_seed && 2 * known >= filled;
}

} // namespace thresh::intake
