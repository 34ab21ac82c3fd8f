#include <catch2/catch.hpp>
#include <thresh/rules/ruleset.hpp>
#include <thresh/summary/columns.hpp>

#include <algorithm>
#include <cstdlib>
#include <fstream>
#include <set>
#include <sstream>

using namespace thresh::summary;

TEST_CASE("docs/tables.md is what the declarations say") {
    const std::string path = std::string(THRESH_SOURCE_DIR) + "/docs/tables.md";
    if (std::getenv("THRESH_UPDATE_DOCS") != nullptr)
        std::ofstream(path, std::ios::binary) << tables_as_markdown();
    std::ostringstream text;
    text << std::ifstream(path, std::ios::binary).rdbuf();
    CHECK(text.str() == tables_as_markdown()); // cmake --build build --target update_docs
}

TEST_CASE("every declared column has a name of its own and a description") {
    for (const TableDeclaration& table : table_declarations()) {
        std::set<std::string_view> names;
        for (const ColumnDeclaration& column : table.columns) {
            CHECK(names.insert(column.name).second);
            CHECK_FALSE(column.description.empty());
        }
    }
}

TEST_CASE("a trait cannot take the name of a column that would stand beside it") {
    const auto refused = [](const std::string& trait) {
        const auto read = [&](const std::string&) -> thresh::Result<std::string> {
            return "{\"traits\": {\"" + trait + "\": {\"formula\": \"oil * 0.95\"}}}";
        };
        return !thresh::rules::load_rules({"lab.json"}, read);
    };
    for (const TableDeclaration& table : table_declarations()) {
        const auto each = [](const ColumnDeclaration& column) { return column.name.starts_with("{c}"); };
        if (std::ranges::none_of(table.columns, each))
            continue;
        for (const ColumnDeclaration& column : table.columns) {
            std::string name(column.name);
            if (each(column))
                name.replace(0, 3, "protein");
            if (const auto at = name.find("CHECK"); at != std::string::npos)
                name.replace(at, 5, "best");
            CAPTURE(table.name, name);
            CHECK(refused(name));
        }
    }
    CHECK_FALSE(refused("oil_yield"));
    CHECK_FALSE(refused("yield_sd")); // there is no `yield`
}
