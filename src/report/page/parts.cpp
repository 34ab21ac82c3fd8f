// Small pieces that all sections are made of.
#include "report/page/parts.hpp"

#include "report/utf8.hpp"

#include <thresh/core/nothing.hpp>
#include <thresh/core/utf8.hpp>
#include <thresh/report/write.hpp>

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace thresh::report {

std::string PageContext::rest(std::string_view file, std::string_view command) const {
    return std::find(facts.files.begin(), facts.files.end(), file) != facts.files.end()
               ? std::string(file)
               : fmt::format("the table that `thresh {}` writes", command);
}

std::string counted(std::size_t count, std::string_view one, std::string_view many) {
    return fmt::format("{} {}", count, count == 1 ? one : many);
}

std::string capital(std::string_view text) {
    std::string made(text);
    if (!made.empty() && made.front() >= 'a' && made.front() <= 'z')
        made.front() = static_cast<char>(made.front() - 'a' + 'A');
    return made;
}

std::string time_text(Time time) {
    std::string text = to_text(time).substr(0, 16);
    std::replace(text.begin(), text.end(), 'T', ' ');
    return text;
}

std::string decimal(double value, unsigned decimals) {
    std::string text;
    append_number(text, value, static_cast<int>(decimals));
    return text;
}

std::string unit_text(const page::Quantity& quantity) {
    std::string text = quantity.unit;
    const auto add = [&](std::string_view more) { text += (text.empty() ? "" : " ") + std::string(more); };
    if (quantity.basis == "dry")
        add("of dry matter");
    else if (quantity.basis == "as-is")
        add("as read");
    else if (!quantity.basis.empty())
        add(fmt::format("at {} % moisture", quantity.basis));
    else if (quantity.part_of == "oil" || quantity.part_of == "protein")
        add("of " + quantity.part_of);
    return text;
}

std::string group_name(std::string_view material, std::string_view trial) {
    std::string text(material.empty() ? "material not known" : material);
    if (!trial.empty())
        text += fmt::format(", trial {}", trial);
    return text;
}

std::string shortened(std::string_view text, std::size_t most) {
    if (text.size() <= most)
        return std::string(text);
    return std::string(beginning(text, most)) + "\u2026";
}

plot::Quantity plotted(const page::Quantity& quantity) {
    return {quantity.title, unit_text(quantity), quantity.decimals};
}

Html::Element open_section(Html& html, Literal id, Literal heading) {
    const std::string heading_id = std::string(id.text()) + "-heading";
    Html::Element section = html.open("section", {{"id", id.text()}, {"aria-labelledby", heading_id}});
    html.element("h2", {{"id", heading_id}}, heading.text());
    return section;
}

void write_state(Html& html, page::State state) {
    struct Look {
        std::string_view kind, sign, word;
    };
    static constexpr Look kLooks[] = {{"state good", "\u2713", "good"},
                                      {"state look", "!", "look"},
                                      {"state bad", "\u00d7", "stop"},
                                      {"state unknown", "\u2013", "not known"}};
    const Look& look = kLooks[static_cast<std::size_t>(state)];
    const auto span = html.open("span", {{"class", look.kind}});
    html.element("span", {{"class", "sign"}, {"aria-hidden", "true"}}, look.sign);
    html.text(" ");
    html.text(look.word);
}

void write_number(Html& html, double value, unsigned decimals, Shown shown) {
    struct Look {
        std::string_view kind, sign, words;
    };
    static constexpr Look kLooks[] = {{"", "", ""},
                                      {"low", "\u25bc", "below the expected range"},
                                      {"high", "\u25b2", "above the expected range"},
                                      {"review", "?", "to review"},
                                      {"excluded", "\u00d7", "excluded"},
                                      {"provisional", "~", "provisional"}};
    const Look& look = kLooks[static_cast<std::size_t>(shown)];
    const std::string text = decimal(value, decimals);
    if (look.kind.empty()) {
        html.text(text);
        return;
    }
    const auto span = html.open("span", {{"class", look.kind}});
    html.text(text);
    html.element("span", {{"aria-hidden", "true"}}, look.sign);
    html.element("span", {{"class", "words"}}, " " + std::string(look.words));
}

void write_legend(Html& html) {
    const auto p = html.open("p", {{"class", "legend"}});
    html.element("span", {{"class", "low"}}, "\u25bc below");
    html.text(" and ");
    html.element("span", {{"class", "high"}}, "\u25b2 above");
    html.text(
        " the expected range (more than half of the values); ? a value is to be reviewed; ~ provisional: "
        "all its readings are excluded, and files hold no number; \u25c6 check.");
}

namespace {
constexpr std::size_t kShort = 26; // bytes of a cell that stands on one line
}

TableWriter::TableWriter(Html& html, std::string_view caption, const std::vector<Column>& columns,
                         const Options& options)
    : html_(html), columns_(columns.size()),
      region_(html.open(
          "div", {{"class", "scroll"}, {"role", "region"}, {"tabindex", "0"}, {"aria-label", caption}})),
      table_(html.open("table",
                       {{"class", std::string(options.kind) + (options.sortable ? " sortable" : "")}})) {
    if (options.caption_hidden)
        html.element("caption", {{"class", "words"}}, caption);
    else
        html.element("caption", caption);
    {
        const auto head = html.open("thead");
        const auto row = html.open("tr");
        for (const Column& column : columns) {
            const auto cell = column.number ? html.open("th", {{"scope", "col"}, {"class", "number"}})
                                            : html.open("th", {{"scope", "col"}});
            html.element("span", {{"class", "title"}}, column.title);
            if (!column.unit.empty()) {
                html.text(" ");
                html.element("span", {{"class", "unit"}}, column.unit);
            }
        }
    }
    body_.emplace(html.open("tbody"));
}

Html::Element TableWriter::row(std::string_view kind) {
    return kind.empty() ? html_.open("tr") : html_.open("tr", {{"class", kind}});
}

void TableWriter::across(std::string_view text, std::string_view kind) {
    const auto open = row(kind);
    html_.element("td", {{"colspan", std::to_string(columns_)}}, text);
}

void TableWriter::heading(std::string_view text) {
    const auto cell = text.size() > kShort ? html_.open("th", {{"scope", "row"}, {"class", "long"}})
                                           : html_.open("th", {{"scope", "row"}});
    html_.name(text);
}

void TableWriter::text(std::string_view text) {
    const auto cell = text.size() > kShort ? html_.open("td", {{"class", "long"}}) : html_.open("td");
    if (!text.empty())
        html_.name(text);
}

void TableWriter::sentence(std::string_view text) {
    const auto cell = text.size() > kShort ? html_.open("td", {{"class", "long"}}) : html_.open("td");
    html_.sentence(text);
}

void TableWriter::number(double value, unsigned decimals, Shown shown) {
    const auto cell = html_.open("td", {{"class", "number"}});
    if (std::isfinite(value))
        write_number(html_, value, decimals, shown);
}

void TableWriter::number(std::optional<double> value, unsigned decimals) {
    number(value.value_or(kNothing), decimals);
}

void TableWriter::count(std::size_t value) {
    html_.element("td", {{"class", "number"}}, std::to_string(value));
}

void TableWriter::state(page::State state) {
    const auto cell = html_.open("td");
    write_state(html_, state);
}

void write_figure(PageContext& context, const plot::Frame& frame, const std::optional<plot::Figure>& figure,
                  std::string_view note) {
    constexpr std::size_t kMostRows = 400;
    Html& html = context.html;
    if (!figure) {
        html.element("p", {{"class", "empty"}}, frame.title + ": there is nothing to draw.");
        return;
    }
    if (!context.room(figure->svg.size())) {
        html.element("p", {{"class", "empty"}},
                     frame.title + ": no room is left on this page for the figure.");
        return;
    }
    const auto outer = html.open("figure");
    {
        const auto caption = html.open("figcaption");
        html.element("strong", frame.title);
        for (const std::string_view text : {std::string_view(figure->note), note})
            if (!text.empty()) {
                html.text(" ");
                html.text(text);
            }
    }
    html.markup(*figure);
    const auto details = html.open("details");
    {
        const auto summary = html.open("summary");
        html.text("The numbers");
        html.element("span", {{"class", "words"}}, ": " + frame.title);
    }
    std::vector<Column> columns;
    for (const std::string& title : figure->table.columns)
        columns.push_back({title});
    TableWriter table(html, figure->table.heading, columns,
                      {.sortable = false, .kind = "numbers", .caption_hidden = true});
    std::size_t written = 0;
    for (const auto& cells : figure->table.rows) {
        if (written == kMostRows || !context.room())
            break;
        ++written;
        const auto row = table.row();
        for (std::size_t i = 0; i < cells.size(); ++i)
            i == 0 ? table.heading(cells[i]) : table.text(cells[i]);
    }
    if (written < figure->table.rows.size())
        table.across(fmt::format("{} more rows are left out here.", figure->table.rows.size() - written));
}

} // namespace thresh::report
