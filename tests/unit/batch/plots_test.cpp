#include "unit/batch/batch_builder.hpp"

#include <catch2/catch.hpp>

#include <algorithm>

using namespace thresh;
using namespace thresh::batch;
using namespace thresh::test;

TEST_CASE("lines, trials and plots come out of sample IDs by the pattern") {
    Settings settings = soy_settings();
    settings.sample_id = "{trial}-{line}-{plot}-{packet}";
    const Batch batch = put({{.sample = "T2-L1-101-a"},
                             {.sample = "T1-L2-102-a"},
                             {.sample = "T1-L1-103-a"},
                             {.sample = "T1-L1-103-b"},
                             {.sample = "T1-L1-104-a"},
                             {.sample = "odd"}},
                            settings);
    CHECK(batch.has_trials);
    CHECK(batch.has_plots);
    REQUIRE(batch.lines.size() == 4);
    CHECK(batch.lines[0].trial == "");
    CHECK(batch.lines[0].name == "odd");
    CHECK(batch.lines[1].trial == "T1");
    CHECK(batch.lines[1].name == "L1");
    REQUIRE(batch.lines[1].plots.size() == 2);
    CHECK(batch.place_of(batch.plots[batch.lines[1].plots[0]]).plot == "103");
    CHECK(batch.plots[batch.lines[1].plots[0]].samples.size() == 2);
    CHECK(batch.lines[3].trial == "T2");
}

TEST_CASE("two packets of one plot are one plot, a duplicate joins its original, a blank plot stands alone") {
    std::vector<ListEntry> entries = {entry("P1", "L1"), entry("P2", "L1"), entry("P3", "L1"),
                                      entry("P4", "L1"), entry("X9", ""),   entry("X8", "masked")};
    for (std::size_t i = 0; i < 2; ++i)
        entries[i].plot = "7";
    for (ListEntry& e : entries)
        e.trial = "T";
    entries[4].duplicate_of = "P1";
    entries[5].duplicate_of = "X9";
    entries[1].is_check = true;
    SampleList list = list_of(entries);
    list.has_plot = list.has_trial = true;
    const Batch batch = put({{.sample = "P1"}}, soy_settings(), std::move(list));
    REQUIRE(batch.lines.size() == 1);
    CHECK(batch.lines[0].check);
    CHECK(batch.lines[0].listed_plots == 3);
    REQUIRE(batch.lines[0].plots.size() == 3);
    const Plot& joined = batch.plots[batch.samples[0].plot];
    CHECK(batch.place_of(joined).plot == "7");
    REQUIRE(joined.samples.size() == 4);
    for (const std::uint32_t s : joined.samples)
        CHECK(batch.samples[s].line == 0);
    CHECK(batch.samples[joined.samples[2]].id == "X8");
    CHECK(batch.samples[joined.samples[3]].original == 0);
}

TEST_CASE("every plot finds its own place, however many plots and places there are") {
    std::vector<ListEntry> entries;
    for (int i = 0; i < 5000; ++i) {
        ListEntry& e =
            entries.emplace_back(entry("P" + std::to_string(10000 + i), "L" + std::to_string(i / 50)));
        e.environment = i % 3 == 0 ? "North" : "South";
        e.rep = std::to_string(i % 7);
        if (i < 4000) // more places than are remembered
            e.plot = std::to_string(i % 3000);
    }
    SampleList list = list_of(entries);
    list.has_plot = true;
    const Batch batch = put({{.sample = "P10000"}}, soy_settings(), std::move(list));
    REQUIRE(batch.samples.size() == 5000);
    for (const Sample& sample : batch.samples) {
        const auto listed = [&](ListText which) { return batch.list.text(sample.entry, which); };
        const Place& place = batch.place_of(batch.plots[sample.plot]);
        const bool own = place.environment == listed(ListText::environment) &&
                         place.rep == listed(ListText::rep) && place.block.empty() &&
                         place.plot == listed(ListText::plot);
        CHECK(own);
    }
    // Plots without a number of their own share what is the same.
    CHECK(batch.places.size() < 4100);
}

TEST_CASE("packets of one plot are one plot in a list of any length") {
    std::vector<ListEntry> entries;
    for (int i = 0; i < 30000; ++i) // lines of twelve packets, two or three of each plot
        entries.emplace_back(entry("P" + std::to_string(100000 + i), "L" + std::to_string(10000 + i / 12)))
            .plot = std::to_string(i / 12 % 2 == 0 ? i / 2 : i / 3);
    SampleList list = list_of(entries);
    list.has_plot = true;
    Settings settings = soy_settings();
    settings.threads = 2;
    const Batch batch = put({{.sample = "P100000"}}, settings, std::move(list));
    REQUIRE(batch.lines.size() == 2500);
    REQUIRE(batch.plots.size() == 1250 * 6 + 1250 * 4);
    std::size_t wrong = 0;
    for (std::uint32_t s = 0; s < batch.samples.size(); ++s) {
        const Sample& sample = batch.samples[s];
        const Plot& plot = batch.plots[sample.plot];
        wrong += batch.place_of(plot).plot != batch.list.text(sample.entry, ListText::plot);
        wrong += batch.lines[plot.line].name != batch.list.text(sample.entry, ListText::line);
        wrong += std::ranges::count(plot.samples, s) != 1;
        wrong += std::ranges::count(batch.lines[plot.line].plots, sample.plot) != 1;
    }
    std::size_t samples = 0, plots = 0;
    for (const Plot& plot : batch.plots)
        samples += plot.samples.size();
    for (const Line& line : batch.lines)
        plots += line.plots.size();
    CHECK(wrong == 0);
    CHECK(samples == 30000);
    CHECK(plots == batch.plots.size());
}

TEST_CASE("reps that come again in every line are kept as one place each") {
    std::vector<ListEntry> entries;
    for (int i = 0; i < 48 * 40; ++i)
        entries.emplace_back(entry("P" + std::to_string(10000 + i), "L" + std::to_string(i / 48))).rep =
            std::to_string(100 + i % 48).substr(1);
    const Batch batch = put({{.sample = "P10000"}}, soy_settings(), list_of(entries));
    CHECK(batch.plots.size() == 48 * 40);
    CHECK(batch.places.size() == 48);
}

TEST_CASE("plots of a line are in order of environment, rep, block, plot") {
    std::vector<ListEntry> entries = {entry("A", "L"), entry("B", "L"), entry("C", "L")};
    entries[0].environment = "Z";
    entries[0].rep = "1";
    entries[1].environment = "Y";
    entries[1].rep = "2";
    entries[2].environment = "Y";
    entries[2].rep = "1";
    const Batch batch = put({{.sample = "A"}}, soy_settings(), list_of(entries));
    std::vector<std::string> order;
    for (const std::uint32_t p : batch.lines[0].plots)
        order.emplace_back(batch.samples[batch.plots[p].samples[0]].id);
    CHECK(order == std::vector<std::string>{"C", "B", "A"});
}
