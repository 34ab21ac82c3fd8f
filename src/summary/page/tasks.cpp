// The items of `todo`, put in the order in which a person walks: by action, then down the boxes.
#include "summary/page/parts.hpp"

#include <thresh/rules/conditioning.hpp>
#include <thresh/summary/todo.hpp>

#include <algorithm>
#include <string_view>

namespace thresh::summary {

namespace {

// `box 2` before `box 10`: runs of digits compare as numbers, all else bytewise.
bool natural_less(std::string_view a, std::string_view b) {
    const auto digit = [](char c) { return c >= '0' && c <= '9'; };
    const auto run = [&](std::string_view& text) {
        while (text.size() > 1 && text.front() == '0' && digit(text[1]))
            text.remove_prefix(1);
        const std::size_t end =
            static_cast<std::size_t>(std::find_if_not(text.begin(), text.end(), digit) - text.begin());
        const std::string_view number = text.substr(0, end);
        text.remove_prefix(end);
        return number;
    };
    while (!a.empty() && !b.empty()) {
        if (digit(a.front()) && digit(b.front())) {
            const std::string_view first = run(a), second = run(b);
            if (first != second)
                return first.size() != second.size() ? first.size() < second.size() : first < second;
            continue;
        }
        if (a.front() != b.front())
            return static_cast<unsigned char>(a.front()) < static_cast<unsigned char>(b.front());
        a.remove_prefix(1);
        b.remove_prefix(1);
    }
    return a.empty() && !b.empty();
}

bool before(const page::TaskItem& a, const page::TaskItem& b) {
    if (a.location.empty() != b.location.empty())
        return b.location.empty();
    if (a.location != b.location)
        return natural_less(a.location, b.location) ||
               (!natural_less(b.location, a.location) && a.location < b.location);
    return natural_less(a.sample, b.sample);
}

page::TaskItem item_of(const TodoItem& from, const TodoWords& words, const Season& season) {
    page::TaskItem made;
    if (from.sample != kNone)
        made.sample = season.batch.samples[from.sample].id;
    made.place = from.place;
    made.material = from.material;
    made.location = from.location;
    made.due = from.due;
    made.line = from.line;
    made.trial = from.trial;
    made.reason = words.reason;
    made.detail = words.detail;
    // The latest reading tells the packet's moisture of today.
    for (const std::uint32_t index : from.findings)
        if (const auto how =
                rules::conditioning(season.judgement.findings[index], season.batch, season.rules)) {
            made.mass_g = how->mass_g;
            made.stop_at_g = how->stop_at_g;
            made.stop_at_percent = how->percent_of_mass;
        }
    return made;
}

} // namespace

std::vector<page::Task> page_tasks(const Season& season) {
    std::vector<page::Task> tasks;
    const TodoList items = todo_items(season);
    TodoSpeller speller(season);
    for (const TodoItem& item : items) {
        const std::string action(rules::to_text(item.action));
        if (tasks.empty() || tasks.back().action != action)
            tasks.push_back({action, {}, {}, {}});
        page::Task& task = tasks.back();
        if (!item.due.empty() && (task.due.empty() || item.due < task.due))
            task.due = item.due;
        (item.sample == kNone ? task.others : task.packets)
            .push_back(item_of(item, speller.words(item), season));
    }
    for (page::Task& task : tasks)
        std::stable_sort(task.packets.begin(), task.packets.end(), before);
    return tasks;
}

} // namespace thresh::summary
