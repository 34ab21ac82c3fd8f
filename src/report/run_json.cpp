// Documents are built with their keys in order and written with two blanks a level. Text that is no UTF-8
// gets replacement characters: a file name must not break the document.
#include <thresh/report/run_json.hpp>

#include <nlohmann/json.hpp>

namespace thresh::report {

namespace {

using Json = nlohmann::ordered_json;

std::string written(const Json& document) {
    return document.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

void add_counts(const summary::Accounting::Counts& counts, Json& into) {
    into["rows"] = counts.rows;
    into["use"] = counts.use;
    into["review"] = counts.review;
    into["exclude"] = counts.exclude;
    into["superseded"] = counts.superseded;
    into["standard"] = counts.standard;
    into["control"] = counts.control;
    into["repeated"] = counts.repeated;
    into["ignored"] = counts.ignored;
    into["outside_selection"] = counts.outside_selection;
    into["rejected"] = counts.rejected;
    into["not_a_reading"] = counts.not_a_reading;
    into["lines_skipped"] = counts.lines_skipped;
}

Json accounting_of(const summary::Accounting& accounting) {
    Json made;
    made["total"] = Json::object();
    add_counts(accounting.total, made["total"]);
    made["files"] = Json::array();
    for (const summary::Accounting::Counts& file : accounting.files) {
        Json one;
        one["source"] = file.source;
        add_counts(file, one);
        one["refused"] = file.refused;
        made["files"].push_back(std::move(one));
    }
    return made;
}

const char* frictionless_type(summary::ColumnType type) {
    switch (type) {
    case summary::ColumnType::integer:
        return "integer";
    case summary::ColumnType::number:
        return "number";
    case summary::ColumnType::time:
        return "datetime";
    case summary::ColumnType::text:
        break;
    }
    return "string";
}

Json schema_of(const summary::Table& table) {
    Json fields = Json::array();
    for (const summary::OutColumn& column : table.columns()) {
        Json field;
        field["name"] = column.name;
        field["type"] = frictionless_type(column.type);
        if (column.type == summary::ColumnType::time)
            field["format"] = "any"; // to the day, minute or second, as exported, without zone
        field["description"] = column.description;
        if (!column.unit.empty())
            field["unit"] = column.unit;
        fields.push_back(std::move(field));
    }
    return {{"fields", std::move(fields)}, {"missingValues", {""}}};
}

} // namespace

std::string run_json(const RunFacts& facts, const summary::Accounting& accounting) {
    Json document;
    document["thresh"] = facts.version;
    document["libraries"] = Json::object();
    for (const auto& [name, version] : facts.libraries)
        document["libraries"][name] = version;
    document["options"] = facts.options;
    document["inputs"] = Json::array();
    for (const RunInput& input : facts.inputs)
        document["inputs"].push_back({{"role", input.role},
                                      {"source", input.source},
                                      {"sha256", input.sha256},
                                      {"bytes", input.bytes}});
    if (!facts.left_for_next_time.empty())
        document["left_for_next_time"] = facts.left_for_next_time;
    document["rules"] = facts.rules;
    document["accounting"] = accounting_of(accounting);
    document["results"] = Json::array();
    for (const auto& [file, sha256] : facts.results)
        document["results"].push_back({{"file", file}, {"sha256", sha256}});
    return written(document);
}

std::string data_package(std::span<const PackagedTable> tables, const std::string& version) {
    Json document;
    document["profile"] = "tabular-data-package";
    document["name"] = "thresh-results";
    document["title"] = "Seed composition by breeding line";
    document["version"] = version;
    document["resources"] = Json::array();
    for (const PackagedTable& one : tables) {
        Json resource;
        resource["profile"] = "tabular-data-resource";
        resource["name"] = one.table->name();
        resource["path"] = one.file;
        resource["format"] = "csv";
        resource["mediatype"] = "text/csv";
        resource["encoding"] = "utf-8";
        resource["dialect"] = {{"delimiter", ","},
                               {"lineTerminator", "\n"},
                               {"quoteChar", "\""},
                               {"doubleQuote", true},
                               {"header", true}};
        resource["schema"] = schema_of(*one.table);
        document["resources"].push_back(std::move(resource));
    }
    return written(document);
}

} // namespace thresh::report
