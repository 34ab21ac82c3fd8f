// The JSON Schema of rules files, made from the table of keys. It completes and checks what an editor can see
// in one file; bounds the wrong way round and names from other files are left to `thresh rules check`.
#include "rules/config/keys.hpp"

#include <thresh/batch/list_reader.hpp>
#include <thresh/core/constituent.hpp>
#include <thresh/rules/rules_text.hpp>

#include <cmath>
#include <nlohmann/json.hpp>

namespace thresh::rules {

namespace {

using Json = nlohmann::ordered_json;

Json either(Json a, Json b) {
    return {{"anyOf", Json::array({std::move(a), std::move(b)})}};
}

Json section_ref(Section section) {
    return {{"$ref", "#/$defs/" + std::string(keys_of(section).name)}};
}

Json number_of(const Key& key) {
    Json schema = {{"type", key.type == Type::count ? "integer" : "number"}};
    if (std::isfinite(key.bounds.low))
        schema[key.bounds.low_open ? "exclusiveMinimum" : "minimum"] = key.bounds.low;
    if (std::isfinite(key.bounds.high))
        schema[key.bounds.high_open ? "exclusiveMaximum" : "maximum"] = key.bounds.high;
    return schema;
}

Json value_of(const Key& key) {
    const Json text = {{"type", "string"}};
    switch (key.type) {
    case Type::text:
        return text;
    case Type::number:
    case Type::count:
        return number_of(key);
    case Type::flag:
        return {{"type", "boolean"}};
    case Type::choice:
        return {{"enum", key.choices}};
    case Type::basis:
        return {{"$ref", "#/$defs/basis"}};
    case Type::severity:
        return {{"$ref", "#/$defs/level"}};
    case Type::time:
        return {{"type", "string"}, {"pattern", "^\\d{4}-\\d{2}-\\d{2}([T ]\\d{2}:\\d{2}(:\\d{2})?)?$"}};
    case Type::texts:
        return either(text, {{"type", "array"}, {"items", text}});
    case Type::constituents:
        return either({{"$ref", "#/$defs/constituent"}},
                      {{"type", "array"}, {"items", {{"$ref", "#/$defs/constituent"}}}});
    case Type::section:
        return section_ref(key.of);
    case Type::list:
        return {{"type", "array"}, {"items", section_ref(key.of)}};
    case Type::one_or_more:
        break;
    }
    return either(section_ref(key.of), {{"type", "array"}, {"items", section_ref(key.of)}});
}

Json property_of(const Key& key) {
    Json schema = either(value_of(key), {{"type", "null"}});
    if (!key.about.empty())
        schema["description"] = key.about;
    if (!key.default_json.empty())
        schema["default"] = Json::parse(key.default_json);
    return schema;
}

Json constituent_names() {
    const ConstituentTable table;
    Json names = Json::array();
    for (std::size_t i = 0; i < table.size(); ++i)
        names.push_back(table[static_cast<ConstituentId>(i)].name);
    return names;
}

std::string entry_name(const SectionKeys& table) {
    return std::string(table.name) + "_entry";
}

Json section_of(Section section, const std::vector<std::string>& codes) {
    const SectionKeys& table = keys_of(section);
    Json schema = {{"type", "object"}, {"description", table.about}};
    Json properties = Json::object();
    for (const Key& key : table.keys)
        properties[std::string(key.name)] = property_of(key);
    schema["additionalProperties"] = false;
    if (table.names != Names::none) {
        Json named = Json::array();
        if (table.names == Names::constituent || table.names == Names::column)
            named = constituent_names();
        if (table.names == Names::column) {
            for (std::size_t i = 0; i < kTextFields; ++i)
                named.push_back(field_info(static_cast<TextField>(i)).name);
            named.push_back("time");
            for (const std::string_view name : batch::list_column_names())
                named.push_back(name);
        }
        if (table.names == Names::code)
            named = codes;
        const Json entry = {{"$ref", "#/$defs/" + entry_name(table)}};
        for (const Json& name : named)
            properties[name.get<std::string>()] = entry;
        // Codes are all known; traits, materials and samples have names of their own.
        if (table.names != Names::code)
            schema["additionalProperties"] = entry;
    }
    schema["properties"] = std::move(properties);
    return schema;
}

} // namespace

std::string rules_schema(const std::vector<std::string>& codes) {
    Json schema = {
        {"$schema", "https://json-schema.org/draft/2020-12/schema"},
        {"title", "thresh rules file"},
        {"description", "Made from the program's table of keys; comments are allowed in rules files."},
        {"$ref", "#/$defs/rules"}};
    Json& defs = schema["$defs"];
    for (std::size_t i = 1; i < static_cast<std::size_t>(Section::kCount); ++i) {
        const auto section = static_cast<Section>(i);
        const SectionKeys& table = keys_of(section);
        defs[std::string(table.name)] = section_of(section, codes);
        if (table.names != Names::none)
            defs[entry_name(table)] = property_of(table.entry);
    }
    defs["basis"] = {{"description", "Moisture basis: as-is, dry, or percent moisture."},
                     {"anyOf", Json::array({{{"enum", {"as-is", "dry"}}},
                                            {{"type", "number"}, {"minimum", 0}, {"exclusiveMaximum", 100}},
                                            {{"type", "string"}, {"pattern", "^\\d{1,2}(\\.\\d+)? ?%?$"}}})}};
    defs["level"] = {{"description", "Severity of a finding."},
                     {"enum", {"off", "note", "review", "exclude"}}};
    // Names of traits are the file's own.
    defs["constituent"] = {{"anyOf", Json::array({{{"enum", constituent_names()}}, {{"type", "string"}}})}};
    return schema.dump(2) + "\n";
}

} // namespace thresh::rules
