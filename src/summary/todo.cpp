// Findings are gathered by (action, packet, material); what is about no packet by (action, place), and what
// is to settle about a heading by its words, in however many files it stands. A fault of a session stands by
// itself and with the packets that have no other reading. Sorting is by action as the
// catalogue orders them, due date, location, material, sample; no due date or location comes last.
// Half a million findings may be about fifty thousand packets: only numbers and views are moved about, and
// texts are ranked once instead of being compared again and again.
#include <thresh/summary/todo.hpp>

#include "summary/finding_codes.hpp"
#include "summary/lost_packets.hpp"
#include "summary/material_order.hpp"
#include "summary/nothing_left.hpp"
#include "summary/text_ranks.hpp"
#include "summary/todo_decides.hpp"

#include <thresh/summary/decisions.hpp>

#include <algorithm>
#include <array>
#include <compare>
#include <fmt/format.h>
#include <map>
#include <numeric>
#include <optional>
#include <tuple>
#include <unordered_map>

namespace thresh::summary {

using rules::Action;

namespace {

std::string place_text(const Finding& finding, const Season& season) {
    if (finding.about == About::session && finding.subject < season.batch.sessions.size())
        return season.batch.sessions[finding.subject].label;
    const rules::FindingPlace place = rules::place_of(finding, season.batch);
    std::string text(place.source);
    if (!place.sheet.empty())
        text += fmt::format("[{}]", place.sheet);
    if (place.line > 0)
        text += fmt::format(":{}", place.line);
    if (place.position)
        text += fmt::format(":{}", *place.position + 1);
    return text;
}

// What the sample list and the lines say about a packet.
void add_packet(TodoItem& item, std::uint32_t sample, const Season& season) {
    const batch::Sample& about = season.batch.samples[sample];
    item.due = season.batch.list.text(about.entry, batch::ListText::due);
    item.location = season.batch.list.text(about.entry, batch::ListText::location);
    if (about.line != kNone) {
        item.line = season.batch.lines[about.line].name;
        item.trial = season.batch.lines[about.line].trial;
    }
}

} // namespace

class TodoGathering {
  public:
    explicit TodoGathering(const Season& season)
        : season_(season), group_of_(season.judgement.findings.size(), kNone),
          of_sample_(season.batch.samples.size(), kNone) {
        for (std::uint32_t i = 0; i < season.judgement.findings.size(); ++i)
            if (open(season.judgement.findings[i]))
                group_of_[i] = group_of(season.judgement.findings[i]);
        for (const LostPacket& lost : packets_lost_to_sessions(season))
            lost_.emplace_back(lost.finding, group_of_packet(Action::read_again, lost.sample,
                                                             material_name(season.batch, lost.material)));
        fold_reading_again();
        share_out();
    }
    void add_decisions(const Decisions& decisions);
    TodoList sorted();

  private:
    // An item while findings are gathered: a packet in a material, or what is about none and lies apart.
    struct Group {
        Action action;
        std::uint32_t sample;       // kNone: apart
        std::string_view material;  // its name
        std::uint32_t next;         // the group of the same packet before, or kNone; apart: into `apart_`
        std::uint32_t into = kNone; // the group that takes its findings, when that is another
        std::uint32_t first = 0, count = 0; // of its findings in list_.findings_
    };
    struct Apart {
        TodoItem item;
        std::vector<std::uint32_t> packets;
    };
    // What groups are sorted by; the first finding and the group tell all apart.
    struct Key {
        std::uint64_t urgency, where, what;
        std::uint32_t first, group;
        auto operator<=>(const Key&) const = default;
    };

    static const rules::Declaration& declared(const Finding& finding) {
        static const std::vector<rules::Declaration>& all = rules::catalogue();
        return all[finding.code];
    }

    bool open(const Finding& finding) const {
        const Action action = declared(finding).action;
        if (finding.severity == Severity::off || action == Action::nothing || nothing_left(season_, finding))
            return false;
        const bool needs_weight =
            action == Action::look || action == Action::read_again || action == Action::wet_chemistry;
        return finding.severity >= Severity::review || !needs_weight;
    }

    std::string_view material_of(const Finding& finding, std::uint32_t sample) const {
        if (finding.row != kNone)
            return material_name(season_.batch, season_.batch.material[finding.row]);
        const std::uint32_t entry = sample == kNone ? kNone : season_.batch.samples[sample].entry;
        return season_.batch.list.text(entry, batch::ListText::material);
    }

    std::uint32_t group_of(const Finding& finding) {
        const std::uint32_t sample = sample_of(finding, season_.batch);
        const rules::Declaration& about = declared(finding);
        const std::string_view material = material_of(finding, sample);
        if (sample == kNone || about.together)
            return group_apart(finding, sample, material);
        return group_of_packet(about.action, sample, material);
    }

    std::uint32_t group_of_packet(Action action, std::uint32_t sample, std::string_view material) {
        for (std::uint32_t at = of_sample_[sample]; at != kNone; at = groups_[at].next)
            if (groups_[at].action == action && groups_[at].material == material)
                return at;
        const std::uint32_t made = add_group({action, sample, material, of_sample_[sample]});
        of_sample_[sample] = made;
        return made;
    }

    std::uint32_t add_group(const Group& group) {
        groups_.push_back(group);
        return static_cast<std::uint32_t>(groups_.size() - 1);
    }

    std::uint32_t add_apart(Action action, std::string_view material, Apart apart) {
        apart_.push_back(std::move(apart));
        return add_group({action, kNone, material, static_cast<std::uint32_t>(apart_.size() - 1)});
    }

    // Whether `finding` is about a heading that many exports share and one answer settles for all of them.
    static bool about_headings(const Finding& finding) {
        return finding.about == About::column && declared(finding).action == Action::settle;
    }

    std::uint32_t group_apart(const Finding& finding, std::uint32_t sample, std::string_view material) {
        const rules::Declaration& about = declared(finding);
        Apart apart;
        if (sample != kNone)
            add_packet(apart.item, sample, season_);
        if (about.together) {
            apart.packets.push_back(sample);
            apart.item.line = {};
        }
        if (finding.about == About::line && finding.subject < season_.batch.lines.size()) {
            apart.item.line = season_.batch.lines[finding.subject].name;
            apart.item.trial = season_.batch.lines[finding.subject].trial;
        }
        std::string place = place_text(finding, season_);
        const auto made = [&] {
            list_.texts_.push_back(std::move(place));
            apart.item.place = list_.texts_.back();
            return add_apart(about.action, material, std::move(apart));
        };
        if (about_headings(finding)) {
            auto text = rules::describe(finding, season_.judgement, season_.batch, season_.rules);
            const auto [at, fresh] =
                headings_.try_emplace({finding.code, std::move(text.message), std::move(text.action)}, kNone);
            if (fresh)
                at->second = made();
            ++apart_of(at->second).item.places;
            return at->second;
        }
        const std::string what = about.together ? fmt::format("{}\n{}", finding.code, finding.detail)
                                                : fmt::format("{}\n{}", place, apart.item.line);
        const auto [at, fresh] = known_.try_emplace(
            fmt::format("{}/{}/{}{}", static_cast<int>(about.action), material.size(), material, what),
            kNone);
        if (fresh)
            at->second = made();
        else if (about.together)
            join(apart_of(at->second), apart);
        return at->second;
    }

    Apart& apart_of(std::uint32_t group) { return apart_[groups_[group].next]; }

    // An item about a run of readings is as urgent as the first of its packets, and lies where all of them
    // do.
    static void join(Apart& run, const Apart& next) {
        if (run.item.due.empty() || (!next.item.due.empty() && next.item.due < run.item.due))
            run.item.due = next.item.due;
        if (next.item.location != run.item.location)
            run.item.location = {};
        if (next.item.trial != run.item.trial)
            run.item.trial = {};
        if (next.packets.front() != run.packets.back())
            run.packets.push_back(next.packets.front());
    }

    // Reading again is part of conditioning and of grinding.
    void fold_reading_again() {
        for (Group& group : groups_) {
            if (group.sample == kNone || group.action != Action::read_again)
                continue;
            for (std::uint32_t at = of_sample_[group.sample]; at != kNone; at = groups_[at].next)
                if (groups_[at].action == Action::condition_and_read ||
                    groups_[at].action == Action::grind_and_read)
                    group.into = at; // of several the first: the chain goes backwards
        }
    }

    // use(finding, group). A finding about a session is met again with each packet that it left without a
    // reading.
    template <typename Use>
    void each_member(Use use) const {
        for (std::uint32_t i = 0; i < group_of_.size(); ++i)
            if (group_of_[i] != kNone)
                use(i, group_of_[i]);
        for (const auto& [finding, group] : lost_)
            use(finding, group);
    }

    // Lays the findings of a group side by side: its own first, then those of groups that it takes in.
    void share_out() {
        std::vector<std::uint32_t> own(groups_.size(), 0);
        each_member([&](std::uint32_t, std::uint32_t group) { ++own[group]; });
        for (std::uint32_t g = 0; g < groups_.size(); ++g)
            groups_[groups_[g].into == kNone ? g : groups_[g].into].count += own[g];
        std::vector<std::uint32_t> next(groups_.size()); // where the next finding of a group goes
        std::uint32_t total = 0;
        for (std::uint32_t g = 0; g < groups_.size(); ++g) {
            groups_[g].first = next[g] = total;
            total += groups_[g].count;
        }
        std::vector<std::uint32_t> taken_in(groups_.size(), 0);
        for (std::uint32_t g = 0; g < groups_.size(); ++g)
            if (const std::uint32_t into = groups_[g].into; into != kNone) {
                next[g] = groups_[into].first + own[into] + taken_in[into];
                taken_in[into] += own[g];
            }
        list_.findings_.resize(total);
        each_member(
            [&](std::uint32_t finding, std::uint32_t group) { list_.findings_[next[group]++] = finding; });
    }

    std::span<const std::uint32_t> findings_of(const Group& group) const {
        return std::span(list_.findings_).subspan(group.first, group.count);
    }

    TodoItem item_of(std::uint32_t group) const; // without packets
    std::vector<std::uint32_t> in_order() const;

    Season season_;
    std::vector<Group> groups_;
    std::deque<Apart> apart_;
    std::vector<std::uint32_t> group_of_;                       // by finding
    std::vector<std::pair<std::uint32_t, std::uint32_t>> lost_; // finding about a session, group of a packet
    std::vector<std::uint32_t> of_sample_;                      // its last group
    std::unordered_map<std::string, std::uint32_t> known_;      // apart: by action, material, place and line
    std::map<std::tuple<std::uint16_t, std::string, std::string>, std::uint32_t> headings_;
    std::vector<std::string_view> decides_; // by group; empty without decisions
    TodoList list_;
};

void TodoGathering::add_decisions(const Decisions& decisions) {
    std::vector<std::string_view> decides(groups_.size());
    for (std::uint32_t g = 0; g < groups_.size(); ++g)
        if (std::string text = decides_text(item_of(g), season_, decisions); !text.empty())
            decides[g] = list_.texts_.emplace_back(std::move(text));
    decides_ = std::move(decides);
}

TodoItem TodoGathering::item_of(std::uint32_t g) const {
    const Group& group = groups_[g];
    TodoItem item;
    if (group.sample == kNone)
        item = apart_[group.next].item;
    else
        add_packet(item, group.sample, season_);
    item.action = group.action;
    item.sample = group.sample;
    item.material = group.material;
    item.findings = findings_of(group);
    if (!decides_.empty())
        item.decides = decides_[g];
    return item;
}

// Groups with findings of their own, as the table has them.
std::vector<std::uint32_t> TodoGathering::in_order() const {
    TextRanks due, location, material, place;
    std::vector<Key> keys;
    for (std::uint32_t g = 0; g < groups_.size(); ++g) {
        const Group& group = groups_[g];
        if (group.into != kNone)
            continue;
        // Without a list nothing is known of a packet that counts here, and it is not looked up.
        const bool told_of = group.sample == kNone || season_.batch.list.given();
        const TodoItem item = told_of ? item_of(g) : TodoItem();
        const bool decides = !decides_.empty() && !decides_[g].empty();
        keys.push_back({std::uint64_t{static_cast<std::uint32_t>(group.action)} << 33 |
                            std::uint64_t{decides ? 0U : 1U} << 32 | due.number(item.due),
                        std::uint64_t{location.number(item.location)} << 32 | material.number(group.material),
                        std::uint64_t{group.sample} << 32 | place.number(item.place),
                        list_.findings_[group.first], g});
    }
    const auto dues = due.ranks(true), locations = location.ranks(true), materials = material.ranks(false),
               places = place.ranks(false);
    constexpr std::uint64_t kLow = 0xffffffffU;
    for (Key& key : keys) {
        key.urgency = (key.urgency & ~kLow) | dues[key.urgency & kLow];
        key.where = std::uint64_t{locations[key.where >> 32]} << 32 | materials[key.where & kLow];
        key.what = (key.what & ~kLow) | places[key.what & kLow];
    }
    std::sort(keys.begin(), keys.end());
    std::vector<std::uint32_t> order;
    for (const Key& key : keys)
        order.push_back(key.group);
    return order;
}

TodoList TodoGathering::sorted() {
    const std::vector<std::uint32_t> order = in_order();
    list_.items_.reserve(order.size());
    for (const std::uint32_t g : order) {
        list_.items_.push_back(item_of(g));
        if (groups_[g].sample == kNone && !apart_[groups_[g].next].packets.empty())
            list_.items_.back().packets =
                list_.packets_.emplace_back(std::move(apart_[groups_[g].next].packets));
    }
    return std::move(list_);
}

TodoList todo_items(const Season& season, const Decisions* decisions) {
    TodoGathering gathering(season);
    if (decisions != nullptr)
        gathering.add_decisions(*decisions);
    return gathering.sorted();
}

} // namespace thresh::summary
