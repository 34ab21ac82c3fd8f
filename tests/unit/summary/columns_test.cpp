#include <catch2/catch.hpp>
#include <thresh/summary/columns.hpp>

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
