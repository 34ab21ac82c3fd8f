#include <catch2/catch.hpp>
#include <thresh/report/run_json.hpp>

#include <string>

using namespace thresh;

TEST_CASE("run.json has the contract's words as keys and no clock") {
    summary::Accounting accounting;
    accounting.total.rows = 3;
    accounting.total.use = 2;
    accounting.total.not_a_reading = 1;
    accounting.files.push_back(accounting.total);
    accounting.files[0].source = "a\xff.csv";
    report::RunFacts facts;
    facts.version = "0.1.0";
    facts.inputs.push_back({"export", "a.csv", "00ff", 12});
    facts.rules = "{}";
    const std::string text = report::run_json(facts, accounting);
    CHECK(text == report::run_json(facts, accounting));
    for (const char* key : {"\"accounting\": {\n    \"total\": {\n      \"rows\": 3,\n      \"use\": 2,",
                            "\"files\": [", "\"source\": \"a\xEF\xBF\xBD.csv\"", "\"outside_selection\": 0",
                            "\"not_a_reading\": 1", "\"sha256\": \"00ff\"", "\"lines_skipped\": 0"})
        CHECK(text.find(key) != std::string::npos);
}

TEST_CASE("datapackage.json describes every column of every file") {
    std::vector<summary::OutColumn> columns(2);
    columns[0].name = "line";
    columns[0].description = "breeding line";
    columns[1].name = "protein";
    columns[1].type = summary::ColumnType::number;
    columns[1].unit = "%";
    const summary::StoredTable table("lines", columns);
    const report::PackagedTable packaged[] = {{"lines.csv", &table}};
    const std::string text = report::data_package(packaged, "0.1.0");
    for (const char* part :
         {"\"profile\": \"tabular-data-package\"", "\"path\": \"lines.csv\"", "\"name\": \"protein\"",
          "\"type\": \"number\"", "\"unit\": \"%\"", "\"description\": \"breeding line\"",
          "\"missingValues\": [\n          \"\"\n        ]"})
        CHECK(text.find(part) != std::string::npos);
}
