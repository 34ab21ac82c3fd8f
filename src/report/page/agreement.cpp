// NIR against wet chemistry, when reference results are given.
#include "report/page/parts.hpp"

#include <thresh/plot/agreement.hpp>

#include <fmt/format.h>

namespace thresh::report {

namespace {

constexpr std::size_t kMostFigures = 20;

std::string name_of(const page::Agreement& set) {
    return fmt::format("{}: {}{}", set.quantity.title, group_name(set.material, {}),
                       set.oil_type.empty() ? "" : ", " + set.oil_type);
}

void write_numbers(PageContext& context) {
    TableWriter table(context.html, "NIR less reference",
                      {{"Constituent and material"},
                       {"Unit"},
                       {"n", true},
                       {"Bias", true, "NIR less reference"},
                       {"Limits of the bias"},
                       {"SEP", true},
                       {"RPD", true},
                       {"Slope", true},
                       {"Verdict"}});
    for (const page::Agreement& set : context.season.agreement) {
        if (!context.room())
            break;
        const unsigned decimals = set.quantity.decimals + 1U;
        const auto row = table.row();
        table.heading(name_of(set));
        table.text(unit_text(set.quantity));
        table.count(set.pairs.size());
        table.number(set.bias, decimals);
        table.text(set.bias ? fmt::format("{} to {}", decimal(*set.bias_low, decimals),
                                          decimal(*set.bias_high, decimals))
                            : "");
        table.number(set.sep, decimals);
        table.number(set.rpd, 1);
        table.number(set.slope, 3);
        table.text(set.verdict);
    }
}

void write_pictures(PageContext& context, const page::Agreement& set) {
    plot::AgreementPlot data;
    data.x = plotted(set.quantity);
    data.y = data.x;
    data.x.name = "NIR " + set.quantity.name;
    data.y.name = "reference " + set.quantity.name;
    data.point_name = "sample";
    for (const auto& pair : set.pairs)
        data.pairs.push_back({pair.nir, pair.reference, pair.sample, pair.outlying});
    if (set.slope && set.intercept)
        data.line = plot::AgreementPlot::Line{*set.intercept, *set.slope};
    const plot::Frame frame{context.next_id(), fmt::format("Reference against NIR, {}", name_of(set)),
                            "With the line of equality and the regression of reference on NIR.", 400};
    write_figure(context, frame, plot::agreement_plot(frame, data));
    if (!set.bias || !set.sep)
        return;
    plot::DifferencePlot differences;
    differences.quantity = plotted(set.quantity);
    differences.mean_name = "mean of NIR and reference";
    differences.difference_name = "NIR - reference";
    differences.point_name = "sample";
    differences.pairs = data.pairs;
    differences.bias = set.bias;
    differences.bias_low = set.bias_low;
    differences.bias_high = set.bias_high;
    const plot::Frame second{context.next_id(), fmt::format("Difference against mean, {}", name_of(set)),
                             "With the bias and its confidence interval.", 400};
    write_figure(context, second, plot::difference_plot(second, differences));
}

} // namespace

void write_agreement(PageContext& context) {
    if (!context.season.has_reference)
        return;
    Html& html = context.html;
    const auto section = open_section(html, "agreement", "Agreement with wet chemistry");
    html.element("p",
                 "After ISO 12099:2017: samples measured both ways, differences NIR less reference, both on "
                 "the basis of the results.");
    if (context.season.agreement.empty())
        html.element("p", {{"class", "empty"}}, "Nothing can be compared yet:");
    else
        write_numbers(context);
    if (!context.season.agreement_notes.empty()) {
        const auto list = html.open("ul");
        std::size_t written = 0;
        for (const std::string& note : context.season.agreement_notes)
            if (written++ < 20)
                html.element("li", shortened(note, 300));
    }
    const auto gallery = html.open("div", {{"class", "gallery"}});
    std::size_t drawn = 0;
    for (const page::Agreement& set : context.season.agreement)
        if (set.pairs.size() >= 3 && drawn++ < kMostFigures)
            write_pictures(context, set);
}

} // namespace thresh::report
