// Judged by words, never by values: a mean row is one that says so.
#include "intake/row_kind.hpp"

#include "intake/fold.hpp"
#include "intake/heading_words.hpp"

#include <algorithm>

namespace thresh::intake {

namespace {

bool is_word(std::string_view text) {
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
                                                  "leastsignificantdifference",
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
                                                  "recuento",
                                                  "meanvalue",
                                                  "meanvalues",
                                                  "averagevalue",
                                                  "totalmean",
                                                  "overallaverage",
                                                  "grandtotal",
                                                  "subtotal",
                                                  "stderror",
                                                  "stdevs",
                                                  "stdevp",
                                                  "stddevs",
                                                  "stddevp",
                                                  "stddeviation",
                                                  "standarddev",
                                                  "coeffofvariation",
                                                  "coefofvariation",
                                                  "coeffvariation",
                                                  "coefficientofvar",
                                                  "coeffvar",
                                                  "gesamtmittel",
                                                  "gesamtmittelwert",
                                                  "gesamtsumme",
                                                  "variationskoeffizient",
                                                  "grenzdifferenz",
                                                  "coefficientdevariation",
                                                  "coeficientedevariacion",
                                                  "coeficientedevariacao"};
    const std::string key = fold_key(text);
    return std::find(std::begin(kWords), std::end(kWords), key) != std::end(kWords);
}

bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

// `n=2`, with or without blanks.
bool is_count(std::string_view text) {
    if (text.empty() || (text.front() != 'n' && text.front() != 'N'))
        return false;
    text = trim(text.substr(1));
    if (text.empty() || text.front() != '=')
        return false;
    text = trim(text.substr(1));
    return !text.empty() && std::all_of(text.begin(), text.end(), is_digit);
}

// `0.05`, `0,05`, `5%`: a level of significance. A whole number alone is more likely part of an ID.
bool is_level(std::string_view text) {
    const bool percent = text.ends_with('%');
    text = trim(text.substr(0, text.size() - percent));
    const auto marks = text.find_first_of(".,");
    return !text.empty() && is_digit(text.front()) && is_digit(text.back()) &&
           (percent || marks != std::string_view::npos) &&
           std::all_of(text.begin(), text.end(), [](char c) { return is_digit(c) || c == '.' || c == ','; });
}

// What is left of "Mean (n=2)", "LSD (0.05)", "Average of 5" and "Mean n = 2" without the last part.
std::string_view without_count(std::string_view text) {
    const std::size_t open = text.find('(');
    if (open != std::string_view::npos && text.ends_with(')')) {
        const std::string_view inside = trim(text.substr(open + 1, text.size() - open - 2));
        return is_count(inside) || is_level(inside) || is_word(inside) ? trim(text.substr(0, open)) : text;
    }
    for (std::size_t at = 0; at < text.size(); ++at)
        if ((at == 0 || text[at - 1] == ' ' || text[at - 1] == ',') && is_count(text.substr(at)))
            return trim(text.substr(0, at - (at > 0 && text[at - 1] == ',')));
    constexpr std::string_view kOf = " of ";
    const std::size_t of = text.rfind(kOf);
    if (of != std::string_view::npos && of + kOf.size() < text.size() &&
        std::all_of(text.begin() + static_cast<std::ptrdiff_t>(of + kOf.size()), text.end(), is_digit))
        return trim(text.substr(0, of));
    return text;
}

} // namespace

bool is_summary_word(std::string_view text) {
    constexpr std::size_t kLongest = 40;
    // None of the words holds a digit, and nearly every sample ID does.
    const bool digits = std::any_of(text.begin(), text.end(), is_digit);
    if (text.empty() || text.size() > kLongest ||
        (digits && text.find_first_of("(=") == std::string_view::npos &&
         text.find(" of ") == std::string_view::npos))
        return false;
    const std::string_view whole = text;
    text = without_count(text);
    if (text.empty())
        return !whole.empty(); // a count alone
    if (std::any_of(text.begin(), text.end(), is_digit))
        return false;
    for (const std::string_view both : {"\xC2\xB1", "+/-"}) // mean ± SD
        if (const std::size_t at = text.find(both); at != std::string_view::npos)
            return is_word(text.substr(0, at)) && is_word(text.substr(at + both.size()));
    return is_word(text);
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
    const auto& rows = plan.heading->row_keys;
    return std::any_of(rows.begin(), rows.end(),
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
