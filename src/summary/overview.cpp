// Counts over what other tables already hold: accounting, rows of lines, items of todo, intake's notes, and
// the moisture of every seed reading.
#include <thresh/summary/overview.hpp>

#include "summary/line_groups.hpp"
#include "summary/material_order.hpp"
#include "summary/reading_values.hpp"

#include <thresh/basis/values.hpp>
#include <thresh/summary/todo.hpp>

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <map>
#include <set>
#include <unordered_set>

namespace thresh::summary {

namespace {

void add_lines(const Season& season, Overview& made) {
    const LineGroups groups = group_lines(season, {});
    made.lines = groups.groups.size();
    std::unordered_set<std::string> known; // lists may hold tens of thousands
    for (const LineGroup& group : groups.groups) {
        bool usable = false;
        for (std::uint32_t i = group.first; i < group.last && !usable; ++i)
            for (const RowId row : season.batch.rows_of(groups.members[i].sample))
                usable = usable || (season.batch.material[row] == group.material_index &&
                                    season.judgement.verdict[row] <= Verdict::review);
        if (usable)
            continue;
        std::string name = group.key.back();
        if (group.key.size() > 1 && !group.key.front().empty())
            name += " (" + group.key.front() + ")";
        if (known.insert(name).second)
            made.without_number.push_back(std::move(name));
    }
}

void add_tasks(const Season& season, Overview& made) {
    constexpr std::size_t kFirst = 5;
    for (const TodoItem& item : todo_items(season)) {
        const std::string action(rules::to_text(item.action));
        if (made.tasks.empty() || made.tasks.back().action != action)
            made.tasks.push_back({action, 0, {}, std::string(item.due)});
        Overview::Task& task = made.tasks.back();
        ++task.items;
        if (task.first.size() < kFirst)
            task.first.emplace_back(item.sample == kNone ? item.place : season.batch.samples[item.sample].id);
    }
}

void add_assumptions(const Season& season, Overview& made) {
    std::map<std::pair<std::string, std::string>, std::size_t> known; // code, heading
    for (const IntakeNote& note : season.batch.readings.notes) {
        if (note.code == "row-rejected" || note.code == "file-refused")
            continue;
        if (note.code == "heading-unknown" && !note.list.empty() && !note.doubt)
            continue; // remarks in a list: nothing to settle
        const auto code = rules::code_index(note.code);
        if (!code || rules::catalogue()[*code].action != rules::Action::settle)
            continue;
        const auto [at, fresh] = known.try_emplace({note.code, note.heading}, made.assumptions.size());
        if (fresh) {
            std::string place = note.list.empty() ? season.batch.readings.files[note.file].source : note.list;
            if (note.line > 0)
                place += fmt::format(":{}", note.line);
            if (note.line > 0 && note.column > 0)
                place += fmt::format(":{}", note.column);
            made.assumptions.push_back({note.code, note.message, note.help, place, 0});
        }
        ++made.assumptions[at->second].places;
    }
    for (const SourceFile& file : season.batch.readings.files)
        if (file.refused)
            made.refused.push_back(file.source + ": " + file.refusal.message);
}

void add_trials(const Season& season, Overview& made) {
    const batch::Batch& batch = season.batch;
    if (!batch.list.given())
        return;
    std::set<std::uint32_t> again;
    for (const TodoItem& item : todo_items(season))
        if (item.sample != kNone &&
            (item.action == rules::Action::condition_and_read ||
             item.action == rules::Action::grind_and_read || item.action == rules::Action::read_again))
            again.insert(item.sample);
    std::map<std::string_view, Overview::Trial> trials;
    for (std::uint32_t sample = 0; sample < batch.samples.size(); ++sample) {
        if (batch.samples[sample].entry == kNone || batch.samples[sample].line == kNone)
            continue;
        Overview::Trial& trial = trials[batch.lines[batch.samples[sample].line].trial];
        ++trial.listed;
        trial.read += batch.rows_of(sample).empty() ? 0U : 1U;
        trial.again += again.contains(sample) ? 1U : 0U;
    }
    for (auto& [name, trial] : trials) {
        trial.name = name;
        made.trials.push_back(std::move(trial));
    }
}

// Looks on only as long as a constituent is left of which no usable value was seen.
void add_without_value(const Season& season, Overview& made) {
    const ReadingValues values(season);
    auto scratch = values.scratch();
    std::vector<double> usable(values.slots());
    std::vector<std::size_t> unseen;
    for (std::size_t slot = 0; slot < values.slots(); ++slot)
        if (const ConstituentId id = values.constituents()[slot];
            !values.is_ratio(id) && !values.is_derived(id))
            unseen.push_back(slot);
    const batch::Batch& batch = season.batch;
    bool read = false;
    for (RowId row = 0; row < batch.kind.size() && !unseen.empty(); ++row) {
        if (batch.kind[row] != Kind::seed || season.judgement.verdict[row] > Verdict::review)
            continue;
        read = true;
        values.usable(row, scratch, usable.data());
        std::erase_if(unseen, [&](std::size_t slot) { return !std::isnan(usable[slot]); });
    }
    if (read)
        for (const std::size_t slot : unseen)
            made.without_value.push_back(season.rules.constituents[values.constituents()[slot]].title);
}

// Steps that people count in, wide enough for all values to fit in the bins.
void make_bins(const std::vector<double>& values, MoistureHistogram& made) {
    constexpr std::size_t kMostBins = 16;
    const auto [low, high] = std::minmax_element(values.begin(), values.end());
    for (const double step : {0.25, 0.5, 1.0, 2.0, 5.0, 10.0, 25.0}) {
        made.step = step;
        made.first = std::floor(*low / step) * step;
        if ((std::floor(*high / step) - std::floor(*low / step)) < static_cast<double>(kMostBins))
            break;
    }
    const auto bin = [&](double value) {
        const double at = (value - made.first) / made.step;
        return std::min(static_cast<std::size_t>(std::max(0.0, at)), kMostBins - 1);
    };
    made.counts.assign(bin(*high) + 1, 0);
    for (const double value : values)
        ++made.counts[bin(value)];
}

void add_moisture(const Season& season, Overview& made) {
    std::vector<std::vector<double>> values(256);
    for (const Block& block : season.batch.readings.blocks) {
        const basis::MoistureOf moisture_at(block);
        for (std::size_t at = 0; at < block.rows; ++at) {
            const std::size_t row = block.first + at;
            if (season.batch.kind[row] != Kind::seed)
                continue;
            const auto moisture = moisture_at(at);
            if (moisture && *moisture >= 0 && *moisture <= 100)
                values[season.batch.material[row]].push_back(*moisture);
        }
    }
    for (std::size_t index = 0; index < values.size(); ++index) {
        if (values[index].empty())
            continue;
        MoistureHistogram histogram;
        const auto material = static_cast<std::uint8_t>(index);
        histogram.material = material_name(season.batch, material);
        if (const rules::Material* about = season.rules.material(material)) {
            histogram.low = about->window.low;
            histogram.high = about->window.high;
        }
        histogram.readings = values[index].size();
        for (const double value : values[index]) {
            histogram.below += histogram.low && value < *histogram.low ? 1U : 0U;
            histogram.above += histogram.high && value > *histogram.high ? 1U : 0U;
        }
        make_bins(values[index], histogram);
        made.moisture.push_back(std::move(histogram));
    }
    std::stable_sort(made.moisture.begin(), made.moisture.end(),
                     [](const auto& a, const auto& b) { return a.readings > b.readings; });
}

} // namespace

Overview overview(const Season& season, bool for_people) {
    Overview made;
    made.accounting = account(season);
    add_lines(season, made);
    add_assumptions(season, made);
    if (for_people) {
        add_without_value(season, made);
        add_tasks(season, made);
        add_trials(season, made);
        add_moisture(season, made);
    }
    return made;
}

} // namespace thresh::summary
