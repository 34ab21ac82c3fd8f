// Findings are gathered by (action, packet); what is about no packet by (action, place), and what is to
// settle about a heading by its words, in however many files it stands. Sorting is by action
// as the catalogue orders them, due date, location, material, sample; no due date or location comes last.
#include <thresh/summary/todo.hpp>

#include "summary/finding_codes.hpp"
#include "summary/line_groups.hpp"
#include "summary/material_order.hpp"
#include "summary/substitute.hpp"

#include <thresh/summary/columns.hpp>
#include <thresh/summary/decisions.hpp>

#include <algorithm>
#include <fmt/format.h>
#include <map>
#include <numeric>
#include <thresh/core/parallel.hpp>
#include <tuple>
#include <unordered_map>

namespace thresh::summary {

namespace {

using rules::Action;

bool open(const Finding& finding, const Season& season) {
    if (finding.severity == Severity::off || finding.settled)
        return false;
    if (finding.row != kNone && season.judgement.verdict[finding.row] == Verdict::superseded)
        return false;
    const Action action = rules::catalogue()[finding.code].action;
    if (action == Action::nothing)
        return false;
    const bool needs_weight =
        action == Action::look || action == Action::read_again || action == Action::wet_chemistry;
    return finding.severity >= Severity::review || !needs_weight;
}

std::uint32_t sample_of(const Finding& finding, const Season& season) {
    if (finding.about == About::sample)
        return finding.subject;
    if (finding.about == About::value || finding.about == About::reading)
        return season.batch.sample[finding.row];
    return kNone;
}

std::string place_text(const Finding& finding, const Season& season) {
    if (finding.about == About::session && finding.subject < season.batch.sessions.size())
        return season.batch.sessions[finding.subject].label;
    const rules::FindingPlace place = rules::place_of(finding, season.batch);
    std::string text = place.sheet.empty() ? place.source : fmt::format("{}[{}]", place.source, place.sheet);
    if (place.line > 0)
        text += fmt::format(":{}", place.line);
    if (place.position)
        text += fmt::format(":{}", *place.position + 1);
    return text;
}

std::string material_of(const Finding& finding, std::uint32_t sample, const Season& season) {
    if (finding.row != kNone)
        return std::string(material_name(season.batch, season.batch.material[finding.row]));
    const std::uint32_t entry = sample == kNone ? kNone : season.batch.samples[sample].entry;
    return std::string(season.batch.list.text(entry, batch::ListText::material));
}

TodoItem item_of(const Finding& finding, const Season& season) {
    const batch::Batch& batch = season.batch;
    TodoItem item;
    item.action = rules::catalogue()[finding.code].action;
    item.sample = sample_of(finding, season);
    item.material = material_of(finding, item.sample, season);
    if (item.sample != kNone) {
        item.due = sample_attribute(batch, item.sample, "due");
        item.location = sample_attribute(batch, item.sample, "location");
        item.line = sample_attribute(batch, item.sample, "line");
        item.trial = sample_attribute(batch, item.sample, "trial");
    }
    if (rules::catalogue()[finding.code].together) {
        item.packets.push_back(item.sample);
        item.sample = kNone;
        item.line.clear();
    }
    if (item.sample == kNone) {
        if (finding.about == About::line && finding.subject < batch.lines.size()) {
            item.line = batch.lines[finding.subject].name;
            item.trial = batch.lines[finding.subject].trial;
        }
        item.place = place_text(finding, season);
    }
    return item;
}

// Whether `finding` is about a heading that many exports share and one answer settles for all of them.
bool about_headings(const Finding& finding) {
    return finding.about == About::column && rules::catalogue()[finding.code].action == Action::settle;
}

// An item about a run of readings is as urgent as the first of its packets, and lies where all of them do.
void join(TodoItem& item, const TodoItem& next) {
    if (item.due.empty() || (!next.due.empty() && next.due < item.due))
        item.due = next.due;
    if (next.location != item.location)
        item.location.clear();
    if (next.trial != item.trial)
        item.trial.clear();
    if (next.packets.front() != item.packets.back())
        item.packets.push_back(next.packets.front());
}

// Reading again is part of conditioning and of grinding.
void fold_reading_again(std::vector<TodoItem>& items) {
    std::map<std::uint32_t, std::size_t> larger; // sample -> item
    for (std::size_t i = 0; i < items.size(); ++i)
        if (items[i].sample != kNone &&
            (items[i].action == Action::condition_and_read || items[i].action == Action::grind_and_read))
            larger.emplace(items[i].sample, i);
    for (TodoItem& item : items) {
        const auto at = item.action == Action::read_again ? larger.find(item.sample) : larger.end();
        if (at == larger.end())
            continue;
        auto& findings = items[at->second].findings;
        findings.insert(findings.end(), item.findings.begin(), item.findings.end());
        item.findings.clear();
    }
    std::erase_if(items, [](const TodoItem& item) { return item.findings.empty(); });
}

// Seed that must not be used up is neither ground nor sent away: another packet of the line is named.
void add_substitute(TodoItem& item, const Season& season) {
    if (item.action != Action::grind_and_read && item.action != Action::wet_chemistry)
        return;
    const std::string why = why_not_used_up(season.batch, item.sample);
    if (why.empty())
        return;
    const std::uint32_t other = substitute_for(season.batch, item.sample);
    item.detail += other == kNone
                       ? fmt::format("; not this packet ({}), and no other of the line can be used up", why)
                       : fmt::format("; not this packet ({}): take `{}` of the same line", why,
                                     season.batch.samples[other].id);
}

// Whether the reading of `a` came before that of `b`.
bool read_before(const Finding& a, const Finding& b, const Season& season) {
    if (a.row == kNone || b.row == kNone)
        return false;
    const auto key = [&](RowId row) {
        return std::make_pair(season.batch.block_of(row).time_of(season.batch.in_block(row)), row);
    };
    return key(a.row) < key(b.row);
}

// The packets of a run, each with its place where they lie in several.
std::string packets_text(const TodoItem& item, const Season& season) {
    std::vector<std::string> texts;
    for (const std::uint32_t sample : item.packets) {
        const std::string location(sample_attribute(season.batch, sample, "location"));
        const std::string_view id = season.batch.samples[sample].id;
        texts.push_back(item.location.empty() && !location.empty() ? fmt::format("{} ({})", id, location)
                                                                   : std::string(id));
    }
    return fmt::format("packets: {}", fmt::join(texts, ", "));
}

// How far to dry a sample is told by its latest reading alone, not by each: whether a finding of the item is
// the latest one that says the same about its sample.
std::vector<bool> tell_latest(const std::vector<std::pair<std::uint32_t, std::string>>& told,
                              const TodoItem& item, const Season& season) {
    std::vector<bool> is_latest(told.size());
    if (told.empty())
        return is_latest;
    std::map<std::tuple<std::uint16_t, ConstituentId, std::uint32_t>, std::uint32_t> latest;
    const auto of = [&](const Finding& finding) {
        return std::make_tuple(finding.code, finding.constituent, sample_of(finding, season));
    };
    for (const std::uint32_t index : item.findings) {
        const Finding& finding = season.judgement.findings[index];
        const auto [at, fresh] = latest.try_emplace(of(finding), index);
        if (!fresh && read_before(season.judgement.findings[at->second], finding, season))
            at->second = index;
    }
    for (std::size_t i = 0; i < told.size(); ++i)
        is_latest[i] = latest.at(of(season.judgement.findings[told[i].first])) == told[i].first;
    return is_latest;
}

void add_words(TodoItem& item, const Season& season) {
    std::sort(item.findings.begin(), item.findings.end());
    FindingCodes codes(season);
    std::vector<std::string> messages, actions;
    const auto add_new = [](std::vector<std::string>& texts, const std::string& text) {
        if (!text.empty() && std::find(texts.begin(), texts.end(), text) == texts.end())
            texts.push_back(text);
    };
    std::vector<std::pair<std::uint32_t, std::string>> own_actions; // that have no column of their own
    for (const std::uint32_t index : item.findings) {
        const Finding& finding = season.judgement.findings[index];
        codes.add(finding);
        rules::FindingText text = rules::describe(finding, season.judgement, season.batch, season.rules);
        add_new(messages, text.message);
        if (text.action != rules::to_text(item.action))
            own_actions.emplace_back(index, std::move(text.action));
    }
    const std::vector<bool> latest = tell_latest(own_actions, item, season);
    for (std::size_t i = 0; i < own_actions.size(); ++i)
        if (latest[i])
            add_new(actions, own_actions[i].second);
    if (!item.packets.empty())
        messages.push_back(packets_text(item, season));
    item.reason = codes.joined();
    item.detail = item.place;
    if (item.places > 1)
        item.detail += fmt::format(" and {} more", item.places - 1);
    if (!item.place.empty())
        item.detail += ": ";
    item.detail += fmt::format("{}", fmt::join(messages, "; "));
    if (!actions.empty())
        item.detail += fmt::format(" -> {}", fmt::join(actions, "; "));
    add_substitute(item, season);
}

// What hangs on an item: the decisions that its findings under review can change.
void add_decisions(TodoItem& item, const Decisions& decisions, const Season& season) {
    if (item.sample == kNone)
        return;
    std::vector<std::string> decided;
    for (const std::uint32_t index : item.findings) {
        const Finding& finding = season.judgement.findings[index];
        if (finding.severity != Severity::review)
            continue;
        for (std::string& text : decisions.decided_by(item.sample, item.material, finding.constituent))
            if (std::find(decided.begin(), decided.end(), text) == decided.end())
                decided.push_back(std::move(text));
    }
    item.decides = fmt::format("{}", fmt::join(decided, "; "));
}

auto sort_key(const TodoItem& item) {
    return std::make_tuple(item.action, item.decides.empty(), item.due.empty(), std::cref(item.due),
                           item.location.empty(), std::cref(item.location), std::cref(item.material),
                           item.sample, std::cref(item.place), item.findings.front());
}

// Items are large: their places are sorted, and each is moved once.
std::vector<TodoItem> sorted(std::vector<TodoItem> items) {
    std::vector<std::uint32_t> order(items.size());
    std::iota(order.begin(), order.end(), 0U);
    std::sort(order.begin(), order.end(),
              [&](std::uint32_t a, std::uint32_t b) { return sort_key(items[a]) < sort_key(items[b]); });
    std::vector<TodoItem> in_order;
    in_order.reserve(items.size());
    for (const std::uint32_t i : order)
        in_order.push_back(std::move(items[i]));
    return in_order;
}

// Half a million findings of readings are about some ten thousand packets: what decides their item is
// compared as numbers, and words are made for the first alone.
class KnownReadings {
  public:
    static constexpr std::size_t kUnknown = static_cast<std::size_t>(-1);

    // The item that a finding about a packet belongs to. Precondition: it has a row.
    std::size_t find(const Finding& finding, const Season& season) {
        const std::uint64_t key = key_of(finding, season);
        if (key != last_key_ || last_ == kUnknown) {
            const auto at = items_.find(key);
            last_key_ = key;
            last_ = at == items_.end() ? kUnknown : at->second;
        }
        return last_;
    }
    void add(const Finding& finding, const Season& season, std::size_t item) {
        items_.emplace(key_of(finding, season), item);
    }

  private:
    static std::uint64_t key_of(const Finding& finding, const Season& season) {
        const auto action = static_cast<std::uint64_t>(rules::catalogue()[finding.code].action);
        return action << 40 | std::uint64_t{season.batch.material[finding.row]} << 32 |
               sample_of(finding, season);
    }
    std::unordered_map<std::uint64_t, std::size_t> items_;
    std::uint64_t last_key_ = 0;
    std::size_t last_ = kUnknown;
};

class TodoTable final : public Table {
  public:
    TodoTable(const Season& season, const Decisions* decisions)
        : batch_(season.batch), items_(todo_items(season, true, decisions)), decides_(decisions != nullptr) {
        name_ = "todo";
        for (const char* name : {"action", "due", "location", "material", "sample", "line", "trial", "reason",
                                 "detail", "decides"})
            if (name != std::string_view("decides") || decides_)
                columns_.push_back(declared_column(name_, name));
    }
    std::size_t rows() const override { return items_.size(); }
    void write(std::size_t first, std::size_t last, RowSink& sink) const override {
        for (std::size_t i = first; i < last; ++i) {
            const TodoItem& item = items_[i];
            sink.begin_row();
            sink.text(rules::to_text(item.action));
            sink.text(item.due);
            sink.text(item.location);
            sink.text(item.material);
            sink.text(item.sample == kNone ? std::string_view() : batch_.samples[item.sample].id);
            sink.text(item.line);
            sink.text(item.trial);
            sink.text(item.reason);
            sink.text(item.detail);
            if (decides_)
                sink.text(item.decides);
            sink.end_row();
        }
    }

  private:
    const batch::Batch& batch_;
    std::vector<TodoItem> items_;
    bool decides_;
};

} // namespace

std::vector<TodoItem> todo_items(const Season& season, bool words, const Decisions* decisions) {
    std::vector<TodoItem> items;
    std::unordered_map<std::string, std::size_t>
        known; // by action, packet, material and what else it is about
    std::map<std::tuple<std::uint16_t, std::string, std::string>, std::size_t> known_headings;
    KnownReadings known_readings;
    for (std::uint32_t i = 0; i < season.judgement.findings.size(); ++i) {
        const Finding& finding = season.judgement.findings[i];
        if (!open(finding, season))
            continue;
        const bool together = rules::catalogue()[finding.code].together;
        const bool of_packet = !together && finding.row != kNone && sample_of(finding, season) != kNone;
        if (of_packet)
            if (const std::size_t at = known_readings.find(finding, season); at != KnownReadings::kUnknown) {
                items[at].findings.push_back(i);
                continue;
            }
        TodoItem item = item_of(finding, season);
        if (about_headings(finding)) {
            const auto text = rules::describe(finding, season.judgement, season.batch, season.rules);
            const auto [at, fresh] =
                known_headings.try_emplace({finding.code, text.message, text.action}, items.size());
            if (fresh)
                items.push_back(std::move(item));
            ++items[at->second].places;
            items[at->second].findings.push_back(i);
            continue;
        }
        const std::string about = together ? fmt::format("{}\n{}", finding.code, finding.detail)
                                           : item.place + '\n' + (item.sample == kNone ? item.line : "");
        const auto [at, fresh] =
            known.try_emplace(fmt::format("{}/{}/{}/{}{}", static_cast<int>(item.action), item.sample,
                                          item.material.size(), item.material, about),
                              items.size());
        if (fresh)
            items.push_back(std::move(item));
        else if (together)
            join(items[at->second], item);
        items[at->second].findings.push_back(i);
        if (of_packet)
            known_readings.add(finding, season, at->second);
    }
    fold_reading_again(items);
    if (decisions != nullptr)
        for (TodoItem& item : items)
            add_decisions(item, *decisions, season);
    items = sorted(std::move(items));
    constexpr std::size_t kItemsAPiece = 256;
    if (words)
        parallel_for((items.size() + kItemsAPiece - 1) / kItemsAPiece, season.threads,
                     [&](std::size_t piece) {
                         const std::size_t end = std::min(items.size(), (piece + 1) * kItemsAPiece);
                         for (std::size_t i = piece * kItemsAPiece; i < end; ++i)
                             add_words(items[i], season);
                     });
    return items;
}

std::unique_ptr<Table> todo_table(const Season& season, const Decisions* decisions) {
    return std::make_unique<TodoTable>(season, decisions);
}

} // namespace thresh::summary
