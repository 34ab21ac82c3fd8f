// The pull list: for each action the packets box by box, each with its bar code and a box to tick; then what
// is about no packet.
#include "report/page/parts.hpp"

#include <fmt/format.h>

namespace thresh::report {

namespace {

constexpr std::size_t kMostPackets = 600, kMostOthers = 60, kMostDetail = 500;

void write_tick(Html& html, std::string_view about) {
    const auto cell = html.open("td", {{"class", "tick"}});
    html.empty("input", {{"type", "checkbox"}, {"aria-label", fmt::format("done: {}", about)}});
}

// Bars wide enough for a scanner held before paper; an ID that Code 128 does not hold has none, and neither
// has one that is to be corrected: scanned, it would be wrong again.
void write_barcode(Html& html, const std::string& sample, const std::string& reason) {
    const auto cell = html.open("td", {{"class", "bars"}});
    for (const char* code : {"sample-unlisted", "id-altered"})
        if (reason.find(code) != std::string::npos) {
            html.element("span", {{"class", "unit"}}, "no bar code: the ID is in doubt");
            return;
        }
    const auto bars = plot::code128(sample, {.module_mm = 0.25, .height_mm = 7, .text = false});
    if (bars && bars->width_mm < 75)
        html.markup(*bars);
    else
        html.element("span", {{"class", "unit"}},
                     bars || sample.size() > 80 ? "ID too long for a bar code" : "no bar code: not ASCII");
}

void write_stop(Html& html, const page::TaskItem& item) {
    const auto cell = html.open("td", {{"class", "number"}});
    if (item.stop_at_g) {
        html.element("strong", decimal(*item.stop_at_g, 0) + " g");
        html.text(fmt::format(" of {} g", decimal(*item.mass_g, 0)));
    } else if (item.stop_at_percent) {
        html.text(fmt::format("{} % of today's mass", decimal(*item.stop_at_percent, 1)));
    }
}

struct Written {
    std::size_t packets = 0, all = 0;
};

void write_packets(PageContext& context, const page::Task& task, bool stop, Written& written) {
    Html& html = context.html;
    // What a hand needs stands left, where a phone shows it.
    std::vector<Column> columns = {{"Done"}, {"Packet"}};
    if (stop)
        columns.push_back({"Stop at", true});
    for (const char* title : {"What and why", "Due", "Line", "Trial", "Bar code"})
        columns.push_back({title});
    TableWriter table(html, fmt::format("{}: packets, box by box", task.action), columns,
                      {.sortable = false, .kind = "pull", .caption_hidden = true});
    const std::string* box = nullptr;
    for (const page::TaskItem& item : task.packets) {
        if (written.packets == kMostPackets || !context.room())
            break;
        ++written.packets;
        if (box == nullptr || *box != item.location)
            table.across(item.location.empty() ? "location not listed" : item.location, "box");
        box = &item.location;
        const auto row = table.row();
        write_tick(html, item.sample);
        table.heading(item.sample);
        if (stop)
            write_stop(html, item);
        table.sentence(shortened(item.detail, kMostDetail));
        table.text(item.due);
        table.text(item.line);
        table.text(item.trial);
        write_barcode(html, item.sample, item.reason);
    }
}

void write_others(PageContext& context, const page::Task& task, Written& written) {
    Html& html = context.html;
    TableWriter table(html, fmt::format("{}: what is about no packet", task.action),
                      {{"Done"}, {"What and why"}, {"Finding"}},
                      {.sortable = false, .kind = "pull", .caption_hidden = true});
    std::size_t here = 0;
    for (const page::TaskItem& item : task.others) {
        if (here == kMostOthers || !context.room())
            break;
        ++here;
        ++written.all;
        const auto row = table.row();
        write_tick(html, shortened(item.detail, 120));
        table.sentence(shortened(item.detail, kMostDetail));
        table.text(item.reason);
    }
}

void write_task(PageContext& context, const page::Task& task, Written& written) {
    Html& html = context.html;
    const auto part = html.open("div", {{"class", "task"}});
    {
        const auto heading = html.open("h3");
        html.text(capital(task.action));
        html.text(" ");
        html.element("span", {{"class", "unit"}},
                     counted(task.packets.size() + task.others.size(), "item", "items") +
                         (task.due.empty() ? "" : ", the first due " + task.due));
    }
    bool stop = false;
    for (const page::TaskItem& item : task.packets)
        stop = stop || item.stop_at_percent.has_value();
    if (stop)
        html.element("p",
                     "Weigh the packet today; it is ready when the balance shows the mass below. Seed for "
                     "planting: only in moving air below about 40 C (common practice).");
    const std::size_t before = written.packets;
    if (!task.packets.empty())
        write_packets(context, task, stop, written);
    written.all += written.packets - before;
    if (!task.others.empty())
        write_others(context, task, written);
}

} // namespace

void write_todo(PageContext& context) {
    Html& html = context.html;
    const auto section = open_section(html, "todo", "What to do next");
    if (context.season.tasks.empty()) {
        html.element("p", "Nothing: no finding is open.");
        return;
    }
    html.element("p",
                 "The most urgent kind first; within a kind the packets stand box by box. A packet that is "
                 "read again and is clean is gone from the next list.");
    Written written;
    std::size_t all = 0;
    for (const page::Task& task : context.season.tasks) {
        all += task.packets.size() + task.others.size();
        if (written.packets < kMostPackets && context.room())
            write_task(context, task, written);
    }
    if (written.all < all)
        html.element("p", {{"class", "warn"}},
                     fmt::format("{} more items have no room here: {}.", all - written.all,
                                 context.rest("todo.csv", "todo")));
}

} // namespace thresh::report
