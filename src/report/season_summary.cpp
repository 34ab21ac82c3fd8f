// Plain sentences, most important first; lists are cut after a few names and say how many more there are.
#include <thresh/report/season_summary.hpp>

#include "report/text_cells.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace thresh::report {

namespace {

using summary::MoistureHistogram;
using summary::Overview;

std::string counted(std::size_t count, const char* one, const char* many) {
    return fmt::format("{} {}", count, count == 1 ? one : many);
}

// `a, b, c and 4 more`.
std::string few(const std::vector<std::string>& names, std::size_t all) {
    std::string text;
    for (std::size_t i = 0; i < names.size(); ++i)
        text += (i > 0 ? ", " : "") + inert_text(names[i]);
    if (all > names.size())
        text += fmt::format(" and {} more", all - names.size());
    return text;
}

// Breaks at blanks; following lines are indented by `indent`.
std::string wrapped(const std::string& text, unsigned width, unsigned indent) {
    std::string made, line;
    std::size_t at = 0;
    while (at < text.size()) {
        const std::size_t end = std::min(text.find(' ', at), text.size());
        const std::string word = text.substr(at, end - at);
        if (!line.empty() && display_width(line) + 1 + display_width(word) > width) {
            made += line + '\n';
            line = std::string(indent, ' ') + word;
        } else {
            line += (line.empty() || at == 0 ? "" : " ") + word;
        }
        at = end + 1;
    }
    return made + line + '\n';
}

std::size_t seed_readings(const Overview& overview) {
    const auto& total = overview.accounting.total;
    return total.use + total.review + total.exclude + total.superseded;
}

std::string trust(const Overview& overview) {
    const auto& total = overview.accounting.total;
    const std::size_t seed = seed_readings(overview);
    if (seed == 0)
        return "There is no reading of seed in these exports.";
    std::string text =
        fmt::format("{} of {} can be used: {} as they are, {} to review.", total.use + total.review,
                    counted(seed, "reading", "readings"), total.use, total.review);
    if (total.exclude + total.superseded > 0)
        text += fmt::format(" Left out: {} excluded, {} superseded by later readings.", total.exclude,
                            total.superseded);
    return text;
}

std::string besides(const Overview& overview) {
    const auto& total = overview.accounting.total;
    const std::pair<std::size_t, const char*> kinds[] = {{total.standard, "of the standard"},
                                                         {total.control, "of controls"},
                                                         {total.repeated, "exported before"},
                                                         {total.ignored, "ignored by the rules"},
                                                         {total.outside_selection, "outside the selection"},
                                                         {total.rejected, "rejected (rejected.csv says why)"},
                                                         {total.not_a_reading, "not readings"}};
    std::string text;
    for (const auto& [count, words] : kinds)
        if (count > 0)
            text += fmt::format("{}{} {}", text.empty() ? "Besides: " : ", ", count, words);
    return text.empty() ? text : text + ".";
}

std::string lines_text(const Overview& overview) {
    if (overview.lines == 0)
        return seed_readings(overview) > 0
                   ? "There is no line: no reading belongs to one (sample not listed, or without ID)."
                   : "There is no line: no sample was read and none is listed.";
    if (overview.without_number.empty() && overview.lines == 1)
        return "The one line has a number.";
    if (overview.without_number.empty())
        return fmt::format("Every one of the {} has a number.", counted(overview.lines, "line", "lines"));
    const std::size_t shown = std::min<std::size_t>(8, overview.without_number.size());
    const std::vector<std::string> first(overview.without_number.begin(),
                                         overview.without_number.begin() +
                                             static_cast<std::ptrdiff_t>(shown));
    return fmt::format("No number yet for {}: {}.", counted(overview.without_number.size(), "line", "lines"),
                       few(first, overview.without_number.size()));
}

std::string histogram(const MoistureHistogram& of, unsigned width) {
    std::string text = fmt::format("Moisture of {}{}", counted(of.readings, "reading", "readings"),
                                   of.material.empty() ? "" : " of " + inert_text(of.material));
    if (of.low || of.high)
        text +=
            fmt::format(", window {} to {} %: {} below, {} above", of.low ? fmt::format("{}", *of.low) : "-",
                        of.high ? fmt::format("{}", *of.high) : "-", of.below, of.above);
    text = wrapped(text, width, 2);
    const std::size_t most = *std::max_element(of.counts.begin(), of.counts.end());
    const unsigned longest = std::clamp(width, 40U, 80U) - 28;
    for (std::size_t i = 0; i < of.counts.size(); ++i) {
        const double from = of.first + static_cast<double>(i) * of.step, to = from + of.step;
        // A row that begins at the upper bound holds next to nothing that is still inside.
        const bool inside = (!of.low || to > *of.low) && (!of.high || from < *of.high);
        const auto length = static_cast<std::size_t>(
            (static_cast<double>(of.counts[i]) * longest + static_cast<double>(most) - 1) /
            static_cast<double>(most));
        text += fmt::format("  {:5.2f} {} {:7}  {}\n", from, inside && (of.low || of.high) ? '|' : ' ',
                            of.counts[i], std::string(std::min<std::size_t>(length, longest), '#'));
    }
    return text;
}

} // namespace

std::string summary_line(const summary::Overview& overview) {
    const auto& total = overview.accounting.total;
    std::string text = fmt::format(
        "{} of {} can be used ({} to review)", total.use + total.review,
        counted(total.use + total.review + total.exclude + total.superseded, "reading", "readings"),
        total.review);
    if (!overview.without_number.empty())
        text += fmt::format("; {} of {} without a number", overview.without_number.size(),
                            counted(overview.lines, "line", "lines"));
    if (!overview.assumptions.empty())
        text +=
            fmt::format("; {} to settle", counted(overview.assumptions.size(), "assumption", "assumptions"));
    return text;
}

std::string season_summary(const Overview& overview, unsigned width) {
    if (width == 0)
        width = 80;
    std::string text = wrapped(trust(overview), width, 2);
    if (const std::string more = besides(overview); !more.empty())
        text += wrapped(more, width, 2);
    if (!overview.without_value.empty())
        text += wrapped(fmt::format("No reading has a usable value of {}.",
                                    few(overview.without_value, overview.without_value.size())),
                        width, 2);
    for (const std::string& file : overview.refused)
        text += wrapped("Not read: " + inert_text(file), width, 2);
    text += wrapped(lines_text(overview), width, 2);
    for (const Overview::Trial& trial : overview.trials)
        text +=
            wrapped(fmt::format("{}{} of {} read{}.", trial.name.empty() ? "" : inert_text(trial.name) + ": ",
                                trial.read, counted(trial.listed, "sample", "samples"),
                                trial.again > 0 ? fmt::format(", {} to read again", trial.again) : ""),
                    width, 2);
    for (std::size_t i = 0; i < overview.tasks.size(); ++i) {
        const Overview::Task& task = overview.tasks[i];
        text += wrapped(fmt::format("{}{}: {}{} ({})", i == 0 ? "Do first: " : "Then: ", task.action,
                                    counted(task.items, "item", "items"),
                                    task.due.empty() ? "" : ", due " + inert_text(task.due),
                                    few(task.first, task.items)),
                        width, 2);
    }
    for (const Overview::Assumption& assumed : overview.assumptions) {
        std::string line =
            fmt::format("Assumed [{}]: {} ({}{})", assumed.code, inert_text(assumed.message),
                        inert_text(assumed.first_place),
                        assumed.places > 1 ? fmt::format(" and {} more", assumed.places - 1) : "");
        if (!assumed.help.empty())
            line += "; " + inert_text(assumed.help);
        text += wrapped(line, width, 2);
    }
    constexpr std::size_t kMostHistograms = 3;
    for (std::size_t i = 0; i < std::min(kMostHistograms, overview.moisture.size()); ++i)
        text += histogram(overview.moisture[i], width);
    return text;
}

} // namespace thresh::report
