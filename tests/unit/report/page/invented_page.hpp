// A page to test: a season with something in every section, its HTML, and the HTML's elements.
#pragma once

#include <catch2/catch.hpp>
#include <expat.h>
#include <map>
#include <memory>
#include <string>
#include <thresh/report/page.hpp>
#include <vector>

namespace thresh::test {

using namespace thresh::summary;

inline const std::string kHostile = "</script><img src=x onerror=alert(1)>\"'&";

inline page::Quantity protein() {
    return {"protein", "Protein", "%", "13", "sample", 2};
}
inline page::Quantity oil() {
    return {"oil", "Oil", "%", "13", "sample", 2};
}

inline page::Line line_of(const std::string& name, double value) {
    page::Line made;
    made.name = name;
    made.status = "complete";
    made.plots = made.samples = made.readings = made.used = 2;
    made.cells = {{value, 0.12, 2, Shown::plain}, {55 - value, 0.1, 2, Shown::high}};
    return made;
}

// A season with something in every section; `name` stands for every text that comes from exports.
inline SeasonPage season_of(const std::string& name, std::size_t lines = 4) {
    SeasonPage made;
    made.overview.accounting.total.rows = 40;
    made.overview.accounting.total.use = 38;
    made.overview.accounting.total.standard = 2;
    made.overview.accounting.files.push_back(made.overview.accounting.total);
    made.overview.accounting.files.back().source = name;
    made.overview.lines = lines;
    made.overview.assumptions = {{"basis-assumed", name, name, name, 2}};
    made.overview.refused = {name};
    made.overview.trials = {{name, 12, 10, 2}};
    made.overview.moisture = {{name, 5.0, 8.0, 4, 1, {1, 20, 17, 2}, 40, 1, 2}};
    made.first = time_from_iso("2026-10-05T17:01:00");
    made.last = time_from_iso("2026-10-06T17:01:00");
    for (const char* section : {"trust", "todo", "lines", "charts", "changes"})
        made.answers.push_back({"What of " + name + "?", name, page::State::look, section});
    page::Session session;
    session.label = session.instrument = name;
    session.start = session.end = made.first;
    session.readings = session.use = 38;
    session.troubles = {{"standard-off", name, page::State::look}};
    made.sessions = {session};
    page::TaskItem item;
    item.sample = item.location = item.due = item.line = item.trial = item.reason = item.detail = name;
    item.mass_g = 100;
    item.stop_at_g = 97;
    item.stop_at_percent = 97;
    page::TaskItem other = item;
    other.sample.clear();
    other.place = name;
    made.tasks = {{"condition the seed, read again", "2026-10-30", {item}, {other}}};
    page::LineGroup group{name, name, {protein(), oil()}, {name}, 0, {}, true};
    for (std::size_t i = 0; i < lines; ++i) {
        group.lines.push_back(line_of(name + std::to_string(i), 38 - 0.001 * static_cast<double>(i)));
        group.lines.back().rank = i + 1;
    }
    if (lines > 2) {
        group.lines[1].check = true;
        group.lines.back().provisional = true;
        group.lines.back().rank = 0;
        group.lines.back().cells[0].shown = Shown::provisional;
    }
    made.groups = {group};
    made.missing = {{name, name, name, false, name, true}};
    made.changes = {{name, name, name, protein(), 36.1, 35.9, std::nullopt, name, 0.2}};
    page::Distribution distribution;
    distribution.material = name;
    distribution.quantity = protein();
    distribution.first = 34;
    distribution.step = 1;
    distribution.counts = {5, 20, 13};
    distribution.readings = 38;
    distribution.low = 30;
    distribution.high = 45;
    made.distributions = {distribution};
    page::Chart chart;
    chart.instrument = chart.control = chart.material = name;
    chart.quantity = protein();
    chart.centre = 40;
    chart.warning_low = 39.6;
    chart.warning_high = 40.4;
    chart.action_low = 39.4;
    chart.action_high = 40.6;
    chart.points = {{40.1, made.first, "", false}, {40.9, made.last, name, true}};
    chart.state = page::State::bad;
    page::Chart standard = chart;
    standard.control.clear();
    made.charts = {standard, chart};
    made.unjudged = {{name, name, name, name}};
    made.estimates = {{"session", name, name, protein(), 12, 0.6, 0.5, 0.7, true}};
    page::Agreement agreement;
    agreement.material = agreement.oil_type = agreement.verdict = name;
    agreement.quantity = protein();
    agreement.pairs = {{35, 35.2, name, false}, {36, 36.1, name, true}, {37, 36.8, name, false}};
    agreement.bias = 0.1;
    agreement.bias_low = -0.1;
    agreement.bias_high = 0.3;
    agreement.sep = 0.2;
    made.agreement = {agreement};
    made.agreement_notes = {name};
    made.has_reference = true;
    made.rules = {{name, "13", "5 to 8 %", "Protein", {{"Protein", "expected", "30 to 45 %", name}}}};
    made.settings = {name};
    made.formulas = {{name, name, name}};
    return made;
}

inline std::string html_of(const SeasonPage& season) {
    return report::page_html(season,
                             {"0.0.0", "// rules of " + kHostile + "\n{ }\n", {"lines.csv", "todo.csv"}});
}

// Elements with attributes and the text right inside them, in order; fails where the page is no XML.
struct Seen {
    std::string tag;
    std::map<std::string, std::string> attributes;
    std::string text;   // of the element itself, without those inside
    std::size_t parent; // index; its own for the root
};
struct Reader {
    std::vector<Seen> elements;
    std::vector<std::size_t> open;
};

inline std::vector<Seen> elements_of(const std::string& html) {
    Reader reader;
    const std::unique_ptr<XML_ParserStruct, void (*)(XML_Parser)> parser(XML_ParserCreate("UTF-8"),
                                                                         XML_ParserFree);
    XML_SetUserData(parser.get(), &reader);
    XML_SetElementHandler(
        parser.get(),
        [](void* data, const XML_Char* name, const XML_Char** pairs) {
            auto& to = *static_cast<Reader*>(data);
            Seen seen{name, {}, {}, to.open.empty() ? 0 : to.open.back()};
            for (; *pairs != nullptr; pairs += 2)
                seen.attributes[pairs[0]] = pairs[1];
            to.open.push_back(to.elements.size());
            to.elements.push_back(std::move(seen));
        },
        [](void* data, const XML_Char*) { static_cast<Reader*>(data)->open.pop_back(); });
    XML_SetCharacterDataHandler(parser.get(), [](void* data, const XML_Char* text, int length) {
        auto& to = *static_cast<Reader*>(data);
        if (!to.open.empty())
            to.elements[to.open.back()].text.append(text, static_cast<std::size_t>(length));
    });
    const auto status = XML_Parse(parser.get(), html.data(), static_cast<int>(html.size()), 1);
    INFO(XML_ErrorString(XML_GetErrorCode(parser.get()))
         << " in line " << XML_GetCurrentLineNumber(parser.get()));
    REQUIRE(status == XML_STATUS_OK);
    return reader.elements;
}

inline bool inside(const std::vector<Seen>& elements, std::size_t element, const std::string& tag) {
    for (; element != elements[element].parent; element = elements[element].parent)
        if (elements[element].tag == tag)
            return true;
    return false;
}

} // namespace thresh::test
