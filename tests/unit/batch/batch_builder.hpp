// Batches for tests: exports as rows, lists as entries, and rules that know soybean and peanut.
#pragma once

#include "unit/support/readings_builder.hpp"

#include <string>
#include <thresh/batch/batch.hpp>
#include <utility>
#include <vector>

namespace thresh::test {

using namespace thresh::batch;

inline ListEntry entry(std::string sample, std::string line, std::string material = {}) {
    ListEntry e;
    e.sample = std::move(sample);
    e.line = std::move(line);
    e.material = std::move(material);
    return e;
}

inline SampleList list_of(const std::vector<ListEntry>& entries) {
    SampleList list;
    list.source = "list.csv";
    for (const ListEntry& e : entries)
        list.add(e);
    return list;
}

inline Settings soy_settings() {
    Settings settings;
    settings.material_names = {"soybean-whole", "soybean-ground", "soybean", "peanut-whole"};
    settings.materials.resize(3);
    settings.materials[0].name = "soybean-whole";
    settings.materials[0].when.analysis = {"*soy*whole*"};
    settings.materials[1].name = "soybean-ground";
    settings.materials[1].when.analysis = {"*soy*ground*"};
    settings.materials[2].name = "peanut-whole";
    settings.materials[2].when.material = {"erdnuss*"};
    settings.standard.analysis = {"*polystyrene*"};
    settings.controls = {"CTRL-*"};
    settings.ignore.sample = {"test*"};
    settings.ignore.instrument = {"old*"};
    return settings;
}

inline Batch put(std::vector<Row> rows, const Settings& settings, SampleList list = {},
                 std::vector<Decision> decisions = {}) {
    return assemble(make_readings(std::move(rows)), std::move(list), std::move(decisions), settings);
}

} // namespace thresh::test
