// A reference file is read twice by intake, for its numbers and for its texts; here the two meet by line. A
// row that contradicts itself is an Error, because a comparison on two bases would look like a bias.
#include <thresh/batch/reference.hpp>

#include "batch/list_rows.hpp"
#include "batch/words.hpp"

#include <algorithm>
#include <charconv>
#include <fmt/format.h>
#include <map>
#include <set>

namespace thresh::batch {

namespace {

enum class Text : std::size_t { sample, basis, nitrogen_factor, method, replicate, laboratory, date };

std::optional<double> number_in(std::string text) {
    std::replace(text.begin(), text.end(), ',', '.');
    double value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc{} || end != text.data() + text.size())
        return std::nullopt;
    return value;
}

std::optional<double> number_of(const Block& block, std::size_t row, std::size_t column) {
    const Cell cell = block.cell(row, column);
    if (cell.is_decimal())
        return to_double(cell);
    return cell.is_number() ? std::optional(block.side[cell.side()].value) : std::nullopt;
}

// Why a cell without a number cannot count; empty: it is blank, or says that there is none.
std::string refusal(const Block& block, std::size_t row, std::size_t column, const ReferenceResult& result) {
    const Cell cell = block.cell(row, column);
    if (cell.state() == CellState::missing)
        return {};
    const std::string_view why = cell.state() == CellState::below_limit ? "is a limit and no number"
                                 : cell.state() == CellState::doubtful  ? "can mean two things"
                                                                        : "is no number";
    return fmt::format("`{}` on line {}{} {}", block.side[cell.side()].text, result.row_line,
                       result.sheet.empty() ? "" : fmt::format(" of sheet `{}`", result.sheet), why);
}

bool holds_value(const Block& block, std::size_t row) {
    for (std::size_t c = 0; c < block.table->numbers.size(); ++c)
        if (!block.cell(row, c).is_missing())
            return true;
    return false;
}

using Place = std::pair<std::string, std::uint32_t>; // sheet, line

Result<ReferenceResult> texts(const std::string& source, const TextRow& row, Basis& basis) {
    ReferenceResult made;
    made.row_line = row.line;
    made.sheet = row.sheet;
    made.sample = text_of(row, Text::sample);
    made.method = text_of(row, Text::method);
    made.replicate = text_of(row, Text::replicate);
    made.laboratory = text_of(row, Text::laboratory);
    made.date = text_of(row, Text::date);
    if (const std::string text = text_of(row, Text::basis); !text.empty()) {
        const auto parsed = parse_basis(text);
        if (!parsed)
            return fail(fmt::format("`{}` is no basis", text), parsed.error().help, place(source, row.sheet),
                        row.line);
        basis = *parsed;
    }
    if (const std::string text = text_of(row, Text::nitrogen_factor); !text.empty()) {
        made.nitrogen_factor = number_in(text);
        if (!made.nitrogen_factor || !(*made.nitrogen_factor >= 4 && *made.nitrogen_factor <= 8))
            return fail(fmt::format("`{}` is no nitrogen factor", text), "such as 6.25, 5.71 or 5.46",
                        place(source, row.sheet), row.line);
    }
    return made;
}

Result<void> add_values(const std::string& source, const Block& block, std::size_t row, Basis stated,
                        ReferenceResult& into) {
    for (std::size_t c = 0; c < block.table->numbers.size(); ++c) {
        const Column& column = block.table->numbers[c];
        const auto value = number_of(block, row, c);
        if (!value) {
            if (std::string why = refusal(block, row, c, into); !why.empty())
                into.refused.push_back({column.constituent, std::move(why)});
            continue;
        }
        if (column.constituent == constituent::moisture)
            into.moisture = value;
        ReferenceValue made{column.constituent, *value, column.part_of, column.basis};
        if (made.part_of == PartOf::sample && made.constituent != constituent::moisture) {
            const bool own = stated.kind != Basis::Kind::not_stated;
            if (own && column.basis_given) // what the rules file says of all exports
                made.basis = stated;
            if (own && made.basis.kind != Basis::Kind::not_stated && !(made.basis == stated))
                return fail(fmt::format("`{}` is on basis {} by its heading and on {} by the column `basis`",
                                        column.heading, to_text(made.basis), to_text(stated)),
                            "correct the heading or the cell", place(source, into.sheet), into.row_line);
            if (made.basis.kind == Basis::Kind::not_stated)
                made.basis = stated;
        }
        into.values.push_back(made);
    }
    return {};
}

} // namespace

const std::vector<ListHeading>& reference_headings() {
    static const std::vector<ListHeading> kHeadings = {
        {"sample",
         {"sample id", "sampleid", "code", "Probe", "Proben ID", "Probennummer", "échantillon", "muestra",
          "amostra"}},
        {"basis", {"moisture basis", "Basis", "Bezugsbasis", "base"}},
        {"nitrogen_factor",
         {"nitrogen factor", "N factor", "protein factor", "factor", "Stickstofffaktor", "N-Faktor",
          "facteur azote", "factor de nitrógeno", "fator de nitrogênio"}},
        {"method", {"Methode", "méthode", "método"}},
        {"replicate",
         {"rep", "replication", "determination", "Wiederholung", "répétition", "repetición", "repetição"}},
        {"laboratory", {"lab", "Labor", "laboratoire", "laboratorio", "laboratório"}},
        {"date", {"analysed", "analyzed", "analysis date", "Datum", "fecha", "data"}},
    };
    return kHeadings;
}

Result<ReferenceResults> make_reference(const Readings& numbers, const std::vector<TextRow>& rows) {
    ReferenceResults made;
    if (numbers.files.empty())
        return fail("no reference file was read", "name one with --reference");
    const SourceFile& file = numbers.files.front();
    made.source = file.source;
    if (file.refused) {
        Error why = file.refusal;
        why.file = file.source;
        return tl::unexpected<Error>(why);
    }
    for (const IntakeNote& note : numbers.notes)
        if (note.doubt && note.code != "row-rejected") // told below, each
            made.notes.push_back(fmt::format("{}: {} ({})", file.source, note.message, note.help));
    for (const RejectedRow& row : numbers.rejected)
        made.notes.push_back(
            fmt::format("{}:{}: row left out: {}", place(file.source, row.sheet), row.line, row.reason));
    std::map<Place, std::pair<const Block*, std::size_t>> at;
    for (const Block& block : numbers.blocks)
        for (std::size_t row = 0; row < block.rows; ++row)
            at[{block.sheet, block.line[row]}] = {&block, row};
    for (const TextRow& row : rows) {
        auto found = at.find({row.sheet, row.line});
        if (found == at.end() && !row.sheet.empty())
            found = at.find({"", row.line});
        if (found == at.end())
            continue; // no number in it
        Basis basis;
        auto result = texts(made.source, row, basis);
        if (!result)
            return tl::unexpected<Error>(result.error());
        if (result->sample.empty()) {
            if (!holds_value(*found->second.first, found->second.second))
                continue;
            return fail("a row of the reference results has values and no sample",
                        "repeat the sample in each of its rows, or remove the row",
                        place(made.source, row.sheet), row.line, column_of(row, Text::sample));
        }
        if (auto added = add_values(made.source, *found->second.first, found->second.second, basis, *result);
            !added)
            return tl::unexpected<Error>(added.error());
        made.results.push_back(std::move(*result));
    }
    return made;
}

const std::vector<ListHeading>& shipment_key_headings() {
    static const std::vector<ListHeading> kHeadings = {
        {"code", {"neutral code", "Kode", "código"}}, {"sample", {"sample id", "Probe"}}, {"role", {}}};
    return kHeadings;
}

Result<std::vector<ShipmentCode>> make_shipment_key(const std::string& source,
                                                    const std::vector<TextRow>& rows) {
    std::vector<ShipmentCode> made;
    std::map<std::string, std::string> known;
    for (const TextRow& row : rows) {
        ShipmentCode code{std::string(trimmed(row.cell(0))), std::string(trimmed(row.cell(1))),
                          std::string(trimmed(row.cell(2)))};
        if (code.code.empty() && code.sample.empty())
            continue;
        if (code.code.empty() || code.sample.empty())
            return fail("a row of the key lacks its code or its sample", "fill in both, or remove the row",
                        place(source, row.sheet), row.line);
        const auto [old, fresh] = known.emplace(code.code, code.sample);
        if (!fresh && old->second != code.sample)
            return fail(
                fmt::format("code `{}` stands for `{}` and for `{}`", code.code, old->second, code.sample),
                "a code stands for one sample", place(source, row.sheet), row.line);
        if (fresh)
            made.push_back(std::move(code));
    }
    return made;
}

void open_codes(const std::vector<ShipmentCode>& key, ReferenceResults& results) {
    std::map<std::string_view, const ShipmentCode*> by_code;
    for (const ShipmentCode& code : key)
        by_code.emplace(code.code, &code);
    std::set<std::string> unknown;
    for (ReferenceResult& result : results.results) {
        const auto at = by_code.find(result.sample);
        if (at == by_code.end()) {
            unknown.insert(result.sample);
            continue;
        }
        result.sample = at->second->sample;
        result.role = at->second->role;
    }
    if (!unknown.empty())
        results.notes.push_back(fmt::format("{} sample{} of {} stand in no row of the key and are taken as "
                                            "they are: {}",
                                            unknown.size(), unknown.size() == 1 ? "" : "s", results.source,
                                            *unknown.begin()));
}

} // namespace thresh::batch
