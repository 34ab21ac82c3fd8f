// Overlaying is a merge of trees steered by the table of keys. Where a value came from travels with the
// value: place, layer and source stand in every leaf, so that a limit that a file replaces loses the source
// of the limit it replaced.
#include "rules/config/check.hpp"
#include "rules/config/layers.hpp"

#include <algorithm>

namespace thresh::rules {

namespace {

using Kind = Node::Kind;

void spread(Node& node, Section section, std::string source);

void spread_value(Node& node, const Key& key, const std::string& source) {
    node.source = source;
    const bool objects = key.of != Section::none;
    if (node.is(Kind::object) && objects)
        spread(node, key.of, source);
    for (Node& item : node.items) {
        item.source = source;
        if (item.is(Kind::object) && objects)
            spread(item, key.of, source);
    }
}

void spread(Node& node, Section section, std::string source) {
    const SectionKeys& table = keys_of(section);
    if (table.has_source) {
        if (const Node* given = node.find("source"); given && given->is(Kind::text))
            source = given->text;
        std::erase_if(node.members, [](const Member& member) { return member.name == "source"; });
    }
    node.source = source;
    for (Member& member : node.members) {
        const Key* key = table.find(member.name);
        spread_value(member.value, key ? *key : table.entry, source);
    }
}

void drop_nulls(Node& node) {
    std::erase_if(node.members, [](const Member& member) { return member.value.is(Kind::null); });
    for (Member& member : node.members)
        drop_nulls(member.value);
    for (Node& item : node.items)
        drop_nulls(item);
}

Node without_nulls(Node node) {
    drop_nulls(node);
    return node;
}

std::vector<Node> as_list(Node node) {
    if (node.is(Kind::list))
        return std::move(node.items);
    std::vector<Node> one;
    one.push_back(std::move(node));
    return one;
}

void overlay_list(Node& base, Node over, Section section) {
    std::vector<Node> old = as_list(std::move(base));
    base = Node{};
    base.kind = Kind::list;
    base.place = over.place;
    base.layer = over.layer;
    std::vector<Node> entries = as_list(std::move(over));
    for (Node& entry : entries) {
        const std::string identity = identity_of(entry, section);
        const auto same = std::find_if(old.begin(), old.end(), [&](const Node& other) {
            return identity_of(other, section) == identity;
        });
        if (same == old.end()) {
            base.items.push_back(without_nulls(std::move(entry)));
        } else {
            overlay(*same, std::move(entry), section);
            base.items.push_back(std::move(*same));
            old.erase(same);
        }
    }
    for (Node& entry : old)
        base.items.push_back(std::move(entry));
}

void overlay_value(Node& base, Node over, const Key& key) {
    const bool joined_list = key.type == Type::one_or_more || key.type == Type::list;
    if (key.type == Type::section && base.is(Kind::object) && over.is(Kind::object))
        overlay(base, std::move(over), key.of);
    else if (joined_list && !keys_of(key.of).identity.empty())
        overlay_list(base, std::move(over), key.of);
    else
        base = without_nulls(std::move(over));
}

// The entries that `over` names, in its order, before all others.
void move_first(Node& base, const Node& over) {
    std::vector<Member> first;
    for (const Member& member : over.members) {
        const auto found = std::find_if(base.members.begin(), base.members.end(),
                                        [&](const Member& other) { return other.name == member.name; });
        if (found != base.members.end()) {
            first.push_back(std::move(*found));
            base.members.erase(found);
        }
    }
    base.members.insert(base.members.begin(), std::make_move_iterator(first.begin()),
                        std::make_move_iterator(first.end()));
}

} // namespace

void spread_sources(Node& root) {
    spread(root, Section::root, {});
}

void overlay(Node& base, Node over, Section section) {
    const SectionKeys& table = keys_of(section);
    for (Member& member : over.members) {
        const auto found = std::find_if(base.members.begin(), base.members.end(),
                                        [&](const Member& other) { return other.name == member.name; });
        const Key* key = table.find(member.name);
        if (member.value.is(Kind::null)) {
            if (found != base.members.end())
                base.members.erase(found);
        } else if (found == base.members.end()) {
            base.members.push_back({member.name, member.place, without_nulls(std::move(member.value))});
        } else {
            overlay_value(found->value, std::move(member.value), key ? *key : table.entry);
        }
    }
    if (table.names == Names::material || table.names == Names::sample)
        move_first(base, over); // by the names alone: the values have moved
}

} // namespace thresh::rules
