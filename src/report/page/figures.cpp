// Protein against oil, the moisture of all readings, and how often each constituent takes which value.
#include "report/page/parts.hpp"

#include <thresh/plot/histogram.hpp>
#include <thresh/plot/scatter.hpp>

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <map>
#include <span>

namespace thresh::report {

namespace {

constexpr std::size_t kMostDistributions = 120, kFewest = 5;

std::optional<std::size_t> column_of(const page::LineGroup& group, std::string_view name) {
    for (std::size_t c = 0; c < group.columns.size(); ++c)
        if (group.columns[c].name == name)
            return c;
    return std::nullopt;
}

// The lines of a material, trials together.
struct Cloud {
    plot::Scatter data;
    bool any = false;
};

void add_lines(const page::LineGroup& group, std::size_t oil, std::size_t protein, Cloud& cloud) {
    if (!cloud.any) {
        cloud.data.x = plotted(group.columns[oil]);
        cloud.data.y = plotted(group.columns[protein]);
        cloud.data.point_name = "line";
        cloud.data.groups = {{"line", plot::Mark::circle, false, {}},
                             {"provisional", plot::Mark::ring, false, {}},
                             {"check", plot::Mark::check, true, {}}};
        cloud.any = true;
    }
    for (const page::Line& line : group.lines) {
        const double x = line.cells[oil].mean, y = line.cells[protein].mean;
        if (std::isfinite(x) && std::isfinite(y))
            cloud.data.groups[line.check ? 2 : line.provisional ? 1 : 0].points.push_back({x, y, line.name});
    }
}

// Of all readings' moisture or of a constituent's usable values: both are counted in the same way.
template <typename Counted>
plot::Histogram histogram_of(const Counted& from, plot::Quantity quantity, const char* window) {
    plot::Histogram data;
    data.quantity = std::move(quantity);
    data.counted = "readings";
    data.first = from.first;
    data.step = from.step;
    data.counts = from.counts;
    data.low = from.low;
    data.high = from.high;
    data.window_name = window;
    data.below = from.below;
    data.above = from.above;
    return data;
}

void write_distribution(PageContext& context, const page::Distribution& from) {
    const plot::Histogram data =
        histogram_of(from, plotted(from.quantity),
                     from.quantity.name == "moisture" ? "moisture window" : "expected range");
    const std::string what = from.oil_type.empty() ? "" : fmt::format(", {}", from.oil_type);
    const plot::Frame frame{context.next_id(),
                            fmt::format("{}: {}{}", from.quantity.title, group_name(from.material, {}), what),
                            "", 360};
    std::string note = from.remark;
    if (from.below_bins + from.above_bins > 0)
        note += fmt::format("{}{} below and {} above what is drawn stand in the outer bins.",
                            note.empty() ? "" : ". ", from.below_bins, from.above_bins);
    write_figure(context, frame, plot::histogram(frame, data), note);
}

void write_material(PageContext& context, std::span<const page::Distribution> all, std::size_t& written,
                    std::size_t& left) {
    Html& html = context.html;
    html.element("h3", group_name(all.front().material, {}));
    std::vector<std::string> few;
    {
        const auto gallery = html.open("div", {{"class", "gallery"}});
        for (const page::Distribution& from : all) {
            if (from.readings < kFewest) {
                few.push_back(from.quantity.title +
                              (from.oil_type.empty() ? "" : fmt::format(" ({})", from.oil_type)));
            } else if (written == kMostDistributions || !context.room(8000)) {
                ++left;
            } else {
                ++written;
                write_distribution(context, from);
            }
        }
    }
    if (!few.empty())
        html.element("p", {{"class", "note"}},
                     fmt::format("Fewer than {} readings, not drawn: {}.", kFewest, fmt::join(few, ", ")));
}

} // namespace

void write_protein_oil(PageContext& context) {
    Html& html = context.html;
    const auto section = open_section(html, "protein-oil", "Protein against oil");
    std::map<std::string, Cloud> clouds;
    for (const page::LineGroup& group : context.season.groups) {
        const auto protein = column_of(group, "protein"), oil = column_of(group, "oil");
        if (protein && oil)
            add_lines(group, *oil, *protein, clouds[group.material]);
    }
    if (clouds.empty())
        html.element("p", {{"class", "empty"}}, "No line has both protein and oil.");
    for (auto& [material, cloud] : clouds) {
        std::size_t points = 0;
        for (const auto& group : cloud.data.groups)
            points += group.points.size();
        if (points < 2) {
            html.element("p", {{"class", "empty"}},
                         fmt::format("{}: one line, nothing to compare.", capital(group_name(material, {}))));
            continue;
        }
        std::erase_if(cloud.data.groups, [](const auto& group) { return group.points.empty(); });
        const plot::Frame frame{context.next_id(),
                                fmt::format("Protein against oil: {}", group_name(material, {})),
                                "Each point is the mean of a line; checks are named.", 520};
        write_figure(context, frame, plot::scatter(frame, cloud.data));
    }
}

void write_moisture(PageContext& context) {
    Html& html = context.html;
    const auto section = open_section(html, "moisture", "Moisture of all readings");
    html.element("p",
                 "Every reading of seed, whatever its verdict, with the window in which predictions can be "
                 "trusted (bounds inclusive).");
    if (context.season.overview.moisture.empty())
        html.element("p", {{"class", "empty"}}, "No reading of seed has a moisture.");
    for (const summary::MoistureHistogram& from : context.season.overview.moisture) {
        if (from.readings < kFewest) {
            html.element("p", {{"class", "note"}},
                         fmt::format("{}: {}, not drawn.", capital(group_name(from.material, {})),
                                     counted(from.readings, "reading", "readings")));
            continue;
        }
        const plot::Histogram data = histogram_of(from, {"Moisture", "% as read", 2}, "moisture window");
        const plot::Frame frame{context.next_id(), fmt::format("Moisture: {}", group_name(from.material, {})),
                                "How often readings have which moisture.", 480};
        write_figure(context, frame, plot::histogram(frame, data));
    }
}

void write_distributions(PageContext& context) {
    Html& html = context.html;
    const auto section = open_section(html, "distributions", "Constituents and their expected ranges");
    const auto& all = context.season.distributions;
    if (all.empty()) {
        html.element("p", {{"class", "empty"}}, "There is no usable value.");
        return;
    }
    html.element(
        "p",
        "Usable readings, each converted with its own moisture. The expected range is that of the rules in "
        "force, converted to the basis of the values, and so are the numbers outside it.");
    std::size_t written = 0, left = 0;
    for (std::size_t first = 0; first < all.size();) {
        std::size_t last = first;
        while (last < all.size() && all[last].material == all[first].material)
            ++last;
        write_material(context, std::span(all).subspan(first, last - first), written, left);
        first = last;
    }
    if (left > 0)
        html.element(
            "p", {{"class", "warn"}},
            fmt::format("{} more have no room here: {}.", left, context.rest("readings.csv", "readings")));
}

} // namespace thresh::report
