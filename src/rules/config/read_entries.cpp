// Small readers over checked entries: the check has made sure of types and words, so that these only fetch.
#include "rules/config/build.hpp"
#include "rules/config/check.hpp"

#include <cassert>
#include <fmt/format.h>
#include <thresh/core/nearest.hpp>
#include <thresh/core/time_bound.hpp>

namespace thresh::rules {

using Kind = Node::Kind;

void read(const Node& object, std::string_view key, double& into) {
    if (const Node* value = object.find(key))
        into = value->number;
}
void read(const Node& object, std::string_view key, std::optional<double>& into) {
    if (const Node* value = object.find(key))
        into = value->number;
}
void read(const Node& object, std::string_view key, int& into) {
    if (const Node* value = object.find(key))
        into = static_cast<int>(value->number); // whole and within an int: bounds of the table
}
void read(const Node& object, std::string_view key, bool& into) {
    if (const Node* value = object.find(key))
        into = value->flag;
}
void read(const Node& object, std::string_view key, std::string& into) {
    if (const Node* value = object.find(key))
        into = value->text;
}
void read(const Node& object, std::string_view key, Basis& into) {
    if (const Node* value = object.find(key))
        into = parse_basis(value->text).value_or(into);
}
void read(const Node& object, std::string_view key, std::optional<Severity>& into) {
    if (const Node* value = object.find(key))
        into = severity_of(value->text);
}
void read(const Node& object, std::string_view key, Time& into) {
    if (const Node* value = object.find(key))
        into = time_from_iso(value->text);
}
void read(const Node& object, std::string_view key, std::vector<std::string>& into) {
    const Node* value = object.find(key);
    if (!value)
        return;
    into.clear();
    if (value->is(Kind::text))
        into.push_back(value->text);
    for (const Node& item : value->items)
        into.push_back(item.text);
}

std::string_view to_text(PartOf part) {
    switch (part) {
    case PartOf::sample:
        return "sample";
    case PartOf::oil:
        return "oil";
    case PartOf::protein:
        return "protein";
    case PartOf::none:
        break;
    }
    return "none";
}

std::optional<PartOf> part_of_word(std::string_view word) {
    for (const PartOf part : {PartOf::sample, PartOf::oil, PartOf::protein, PartOf::none})
        if (word == to_text(part))
            return part;
    return std::nullopt;
}

batch::When read_when(const Node& when) {
    batch::When condition;
    read(when, "analysis", condition.analysis);
    read(when, "sample", condition.sample);
    read(when, "source", condition.source);
    read(when, "instrument", condition.instrument);
    read(when, "calibration", condition.calibration);
    read(when, "material", condition.material);
    read(when, "from", condition.from);
    read(when, "to", condition.to);
    return condition;
}

Result<void> in_order(const Node& object, std::string_view low, std::string_view high) {
    const Node* a = object.find(low);
    const Node* b = object.find(high);
    if (!a || !b || a->number <= b->number)
        return {};
    const bool a_later = a->layer && b->layer && a->layer->number > b->layer->number;
    return fail_at(a_later ? *a : *b, fmt::format("`{}` {} is above `{}` {}", low, a->text, high, b->text),
                   "exchange the two, or correct one (the other may stand in a file below)");
}

Result<void> dates_in_order(const Node& root) {
    const Node *from = root.find("from"), *to = root.find("to");
    if (from && to) {
        const Time first = time_from_iso(from->text), last = time_from_iso(to->text);
        if (!first.missing() && !last.missing() && first.seconds() > last_second(last))
            return fail_at(*to, fmt::format("`from` {} is after `to` {}", from->text, to->text),
                           "exchange the two, or correct one");
    }
    for (const Node& item : root.items)
        if (Result<void> fits = dates_in_order(item); !fits)
            return fits;
    for (const Member& member : root.members)
        if (Result<void> fits = dates_in_order(member.value); !fits)
            return fits;
    return {};
}

Result<ConstituentId> constituent_named(const Node& at, Place place, std::string_view name,
                                        const ConstituentTable& table) {
    if (const auto id = table.find(name))
        return *id;
    std::vector<std::string> names;
    for (std::size_t i = 0; i < table.size(); ++i)
        names.push_back(table[static_cast<ConstituentId>(i)].name);
    return fail_at(at, place, fmt::format("unknown constituent `{}`", name),
                   nearest_hint(name, names, "known constituents"));
}

Result<std::vector<ConstituentId>> constituents_in(const Node& entry, const ConstituentTable& table) {
    const std::vector<Node> one = {entry};
    std::vector<ConstituentId> ids;
    for (const Node& item : entry.is(Kind::list) ? entry.items : one) {
        const Result<ConstituentId> id = constituent_named(item, item.place, item.text, table);
        if (!id)
            return tl::unexpected<Error>(id.error());
        ids.push_back(*id);
    }
    return ids;
}

const Node& newest(const Node& node) {
    const Node* best = nullptr;
    const auto consider = [&best](const Node& part) {
        const Node& candidate = newest(part);
        if (!best || (candidate.layer && best->layer && candidate.layer->number > best->layer->number))
            best = &candidate;
    };
    for (const Member& member : node.members)
        consider(member.value);
    for (const Node& item : node.items)
        consider(item);
    return best ? *best : node;
}

Origin origin_of(const Node& node) {
    const Node& leaf = newest(node);
    Origin origin;
    origin.source = leaf.source;
    if (!leaf.layer || leaf.layer->file == "built-in")
        return origin;
    origin.where = leaf.layer->file;
    origin.line = leaf.place.line;
    origin.column = leaf.place.column;
    return origin;
}

void note_origins(const Node& node, const std::string& path, Origins& origins) {
    bool deeper = false;
    for (const Member& member : node.members) {
        note_origins(member.value, path.empty() ? member.name : path + "." + member.name, origins);
        deeper = true;
    }
    for (std::size_t i = 0; i < node.items.size(); ++i)
        if (node.items[i].is(Kind::object)) {
            // A list of one is the same as its one entry.
            note_origins(node.items[i], node.items.size() == 1 ? path : fmt::format("{}[{}]", path, i),
                         origins);
            deeper = true;
        }
    if (!deeper)
        origins[path] = origin_of(node);
}

} // namespace thresh::rules
