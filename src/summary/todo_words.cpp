// The words of an item: every message once, then what to do where that is more than its action says.
#include "summary/finding_codes.hpp"
#include "summary/line_groups.hpp"
#include "summary/substitute.hpp"

#include <thresh/rules/shared_texts.hpp>
#include <thresh/summary/todo.hpp>

#include <algorithm>
#include <fmt/format.h>
#include <map>
#include <tuple>

namespace thresh::summary {

namespace {

using rules::Action;

// Seed that must not be used up is neither ground nor sent away: another packet of the line is named.
void add_substitute(std::string& detail, const TodoItem& item, const batch::Batch& batch) {
    if (item.action != Action::grind_and_read && item.action != Action::wet_chemistry)
        return;
    const std::string why = why_not_used_up(batch, item.sample);
    if (why.empty())
        return;
    const std::uint32_t other = substitute_for(batch, item.sample);
    detail +=
        other == kNone
            ? fmt::format("; not this packet ({}), and no other of the line can be used up", why)
            : fmt::format("; not this packet ({}): take `{}` of the same line", why, batch.samples[other].id);
}

// The packets of a run, each with its place where they lie in several.
std::string packets_text(const TodoItem& item, const batch::Batch& batch) {
    std::vector<std::string> texts;
    for (const std::uint32_t sample : item.packets) {
        const std::string_view location = sample_attribute(batch, sample, "location");
        const std::string_view id = batch.samples[sample].id;
        texts.push_back(item.location.empty() && !location.empty() ? fmt::format("{} ({})", id, location)
                                                                   : std::string(id));
    }
    return fmt::format("packets: {}", fmt::join(texts, ", "));
}

// Whether the reading of `a` came before that of `b`.
bool read_before(const Finding& a, const Finding& b, const batch::Batch& batch) {
    if (a.row == kNone || b.row == kNone)
        return false;
    const auto key = [&](RowId row) {
        return std::make_pair(batch.block_of(row).time_of(batch.in_block(row)), row);
    };
    return key(a.row) < key(b.row);
}

void add_new(std::vector<std::string_view>& texts, std::string_view text) {
    if (!text.empty() && std::find(texts.begin(), texts.end(), text) == texts.end())
        texts.push_back(text);
}

void append_joined(std::string& into, const std::vector<std::string_view>& texts) {
    for (std::size_t i = 0; i < texts.size(); ++i) {
        if (i > 0)
            into += "; ";
        into += texts[i];
    }
}

} // namespace

struct TodoSpeller::Room {
    explicit Room(const Season& about)
        : season(about), shared(about.judgement, about.batch, about.rules), codes(about) {}

    struct OwnAction {
        std::uint32_t finding;
        std::string_view text;
    };
    void gather(const TodoItem& item);
    void add_latest_actions();

    Season season;
    rules::SharedTexts shared;
    FindingCodes codes;
    std::vector<std::uint32_t> findings; // of the item, in order
    std::deque<rules::FindingText> own;  // texts that no other finding has
    std::vector<OwnAction> own_actions;  // that have no column of their own
    std::vector<std::string_view> messages, actions;
    TodoWords words;
};

void TodoSpeller::Room::gather(const TodoItem& item) {
    codes.clear();
    own.clear();
    own_actions.clear();
    messages.clear();
    actions.clear();
    findings.assign(item.findings.begin(), item.findings.end());
    if (!std::is_sorted(findings.begin(), findings.end())) // of several kinds of things to do
        std::sort(findings.begin(), findings.end());
    bool lost = false; // to a session
    for (const std::uint32_t index : findings) {
        const Finding& finding = season.judgement.findings[index];
        codes.add(finding);
        const rules::FindingText* text = shared.find(finding);
        if (text == nullptr)
            text = &own.emplace_back(rules::describe(finding, season.judgement, season.batch, season.rules));
        add_new(messages, text->message);
        // What a fault of the session asks for is an item of its own.
        if (finding.about == About::session && item.sample != kNone) {
            lost = true;
            continue;
        }
        if (text->action != rules::to_text(item.action))
            own_actions.push_back({index, text->action});
    }
    if (lost)
        add_new(messages, "no other reading of the packet can be used");
}

// How far to dry a sample is told by its latest reading alone, not by each: of findings that say the same
// about one sample the latest counts.
void TodoSpeller::Room::add_latest_actions() {
    if (own_actions.empty())
        return;
    std::map<std::tuple<std::uint16_t, ConstituentId, std::uint32_t>, std::uint32_t> latest;
    const auto of = [&](const Finding& finding) {
        return std::make_tuple(finding.code, finding.constituent, sample_of(finding, season.batch));
    };
    for (const std::uint32_t index : findings) {
        const Finding& finding = season.judgement.findings[index];
        const auto [at, fresh] = latest.try_emplace(of(finding), index);
        if (!fresh && read_before(season.judgement.findings[at->second], finding, season.batch))
            at->second = index;
    }
    for (const OwnAction& action : own_actions)
        if (latest.at(of(season.judgement.findings[action.finding])) == action.finding)
            add_new(actions, action.text);
}

TodoSpeller::TodoSpeller(const Season& season) : room_(std::make_unique<Room>(season)) {}
TodoSpeller::~TodoSpeller() = default;

const TodoWords& TodoSpeller::words(const TodoItem& item) {
    Room& room = *room_;
    room.gather(item);
    room.add_latest_actions();
    room.words.reason = room.codes.joined();
    std::string& detail = room.words.detail;
    detail = item.place;
    if (item.places > 1)
        detail += fmt::format(" and {} more", item.places - 1);
    if (!item.place.empty())
        detail += ": ";
    append_joined(detail, room.messages);
    if (!item.packets.empty()) {
        if (!room.messages.empty())
            detail += "; ";
        detail += packets_text(item, room.season.batch);
    }
    if (!room.actions.empty()) {
        detail += " -> ";
        append_joined(detail, room.actions);
    }
    add_substitute(detail, item, room.season.batch);
    return room.words;
}

} // namespace thresh::summary
