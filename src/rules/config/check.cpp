// One walk over the tree beside the table of keys. What needs more than one entry to judge (low above high,
// a name that another file takes out) is left to the builder, after the texts have been overlaid.
#include "rules/config/check.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <thresh/batch/list_reader.hpp>
#include <thresh/core/nearest.hpp>

namespace thresh::rules {

namespace {

using Kind = Node::Kind;

class Checker {
  public:
    explicit Checker(const KnownNames& known) : known_(known) {}

    Result<void> section(const Node& node, Section which) const {
        const SectionKeys& table = keys_of(which);
        for (const Member& member : node.members) {
            const Key* key = table.find(member.name);
            if (!key && table.names != Names::none) {
                if (Result<void> fits = entry_name(node, member, table); !fits)
                    return fits;
                key = &table.entry;
            }
            if (!key)
                return fail_at(node, member.place, fmt::format("unknown key `{}`", member.name),
                               nearest_hint(member.name, fixed_names(table), "keys here"));
            if (Result<void> fits = value(member.value, *key, member.name); !fits)
                return fits;
        }
        return {};
    }

  private:
    static std::vector<std::string> fixed_names(const SectionKeys& table) {
        std::vector<std::string> names;
        for (const Key& key : table.keys)
            names.emplace_back(key.name);
        return names;
    }

    std::vector<std::string> constituent_names() const {
        std::vector<std::string> names;
        for (std::size_t i = 0; i < known_.constituents.size(); ++i)
            names.push_back(known_.constituents[static_cast<ConstituentId>(i)].name);
        return names;
    }

    Result<void> entry_name(const Node& object, const Member& member, const SectionKeys& table) const {
        if ((table.names == Names::constituent || table.names == Names::column) &&
            known_.constituents.find(member.name))
            return {}; // most entries, told without the names of all
        std::vector<std::string> names;
        std::string_view what = "constituent";
        switch (table.names) {
        case Names::constituent:
            names = constituent_names();
            break;
        case Names::column:
            names = constituent_names();
            for (std::size_t i = 0; i < kTextFields; ++i)
                names.emplace_back(field_info(static_cast<TextField>(i)).name);
            names.emplace_back("time");
            for (const std::string_view name : batch::list_column_names())
                if (std::find(names.begin(), names.end(), name) == names.end())
                    names.emplace_back(name);
            what = "column";
            break;
        case Names::code:
            names = known_.codes;
            what = "finding code";
            break;
        default:
            if (member.name.empty())
                return fail_at(object, member.place, "the name is empty", "give it a name");
            return {};
        }
        if (std::find(names.begin(), names.end(), member.name) != names.end())
            return {};
        for (const std::string& fixed : fixed_names(table))
            names.push_back(fixed);
        return fail_at(object, member.place, fmt::format("unknown {} `{}`", what, member.name),
                       nearest_hint(member.name, names, "known here"));
    }

    static Result<void> wrong(const Node& node, const Key& key, std::string_view name) {
        return fail_at(
            node, fmt::format("`{}` holds {}, but needs {}", name, to_text(node.kind), to_text(key.type)),
            key.about.empty() ? std::string() : fmt::format("{}: {}", name, key.about));
    }

    Result<void> value(const Node& node, const Key& key, std::string_view name) const {
        if (node.is(Kind::null))
            return {};
        switch (key.type) {
        case Type::text:
            return node.is(Kind::text) ? Result<void>() : wrong(node, key, name);
        case Type::flag:
            return node.is(Kind::flag) ? Result<void>() : wrong(node, key, name);
        case Type::number:
        case Type::count:
            return node.is(Kind::number) ? number(node, key, name) : wrong(node, key, name);
        case Type::choice:
        case Type::severity:
        case Type::time:
            return node.is(Kind::text) ? word(node, key, name) : wrong(node, key, name);
        case Type::basis:
            return basis(node, key, name);
        case Type::texts:
        case Type::constituents:
            return texts(node, key, name);
        case Type::section:
            return node.is(Kind::object) ? section(node, key.of) : wrong(node, key, name);
        case Type::list:
        case Type::one_or_more:
            break;
        }
        if (key.type == Type::one_or_more && node.is(Kind::object))
            return section(node, key.of);
        return node.is(Kind::list) ? list(node, key, name) : wrong(node, key, name);
    }

    static Result<void> number(const Node& node, const Key& key, std::string_view name) {
        if (key.type == Type::count && node.number != std::floor(node.number))
            return wrong(node, key, name);
        const Bounds& b = key.bounds;
        if (node.number < b.low || (b.low_open && node.number == b.low))
            return fail_at(node, fmt::format("`{}` is {}", name, node.text),
                           fmt::format("it must be {} {}", b.low_open ? "above" : "at least", b.low));
        if (node.number > b.high || (b.high_open && node.number == b.high))
            return fail_at(node, fmt::format("`{}` is {}", name, node.text),
                           fmt::format("it must be {} {}", b.high_open ? "below" : "at most", b.high));
        return {};
    }

    static Result<void> word(const Node& node, const Key& key, std::string_view name) {
        if (key.type == Type::time) {
            if (!time_from_iso(node.text).missing())
                return {};
            return fail_at(node, fmt::format("`{}` holds `{}`", name, node.text),
                           fmt::format("needed is {}", to_text(key.type)));
        }
        std::vector<std::string> words = {"off", "note", "review", "exclude"};
        if (key.type == Type::choice)
            words.assign(key.choices.begin(), key.choices.end());
        if (std::find(words.begin(), words.end(), node.text) != words.end())
            return {};
        return fail_at(
            node, fmt::format("unknown {} `{}`", key.type == Type::severity ? "severity" : name, node.text),
            nearest_hint(node.text, words, "known here"));
    }

    static Result<void> basis(const Node& node, const Key& key, std::string_view name) {
        if (!node.is(Kind::text) && !node.is(Kind::number))
            return wrong(node, key, name);
        const Result<Basis> parsed = parse_basis(node.text);
        if (!parsed)
            return fail_at(node, parsed.error().message, parsed.error().help);
        return {};
    }

    Result<void> texts(const Node& node, const Key& key, std::string_view name) const {
        if (node.is(Kind::text))
            return key.type == Type::constituents ? constituent(node) : Result<void>();
        if (!node.is(Kind::list))
            return wrong(node, key, name);
        for (const Node& item : node.items) {
            if (!item.is(Kind::text))
                return wrong(item, key, name);
            if (key.type == Type::constituents)
                if (Result<void> fits = constituent(item); !fits)
                    return fits;
        }
        return {};
    }

    Result<void> constituent(const Node& node) const {
        if (known_.constituents.find(node.text))
            return {};
        return fail_at(node, fmt::format("unknown constituent `{}`", node.text),
                       nearest_hint(node.text, constituent_names(), "known constituents"));
    }

    Result<void> list(const Node& node, const Key& key, std::string_view name) const {
        std::vector<std::string> seen;
        for (const Node& item : node.items) {
            if (!item.is(Kind::object))
                return wrong(item, key, name);
            if (Result<void> fits = section(item, key.of); !fits)
                return fits;
            std::string identity = identity_of(item, key.of);
            if (std::find(seen.begin(), seen.end(), identity) != seen.end())
                return fail_at(item, fmt::format("two entries of `{}` for the same thing", name),
                               fmt::format("entries of this list differ in: {}",
                                           fmt::join(keys_of(key.of).identity, ", ")));
            seen.push_back(std::move(identity));
        }
        return {};
    }

    const KnownNames& known_;
};

bool is_trait_name(std::string_view name) {
    return !name.empty() && name.front() >= 'a' && name.front() <= 'z' &&
           name.find_first_not_of("abcdefghijklmnopqrstuvwxyz0123456789_") == std::string_view::npos;
}

// Columns of the tables that hold a column of each constituent; a test compares them with these tables.
constexpr std::string_view kColumns[] = {"adjusted",
                                         "analysis",
                                         "basis",
                                         "block",
                                         "calibration",
                                         "check",
                                         "environment",
                                         "findings",
                                         "instrument",
                                         "kind",
                                         "line",
                                         "material",
                                         "operator",
                                         "plot",
                                         "plots",
                                         "readings",
                                         "readings_excluded",
                                         "readings_review",
                                         "readings_used",
                                         "rep",
                                         "row",
                                         "sample",
                                         "samples",
                                         "session",
                                         "source",
                                         "status",
                                         "time",
                                         "trial",
                                         "verdict"};
constexpr std::string_view kEndings[] = {"_adj",         "_adj_se",   "_as_read", "_blup", "_certain",
                                         "_chance_best", "_decision", "_flagged", "_n",    "_quoted",
                                         "_rank",        "_sd",       "_se"};

// The constituent of which `name` is a further column, such as protein_sd; empty when there is none.
std::string further_column_of(std::string_view name, const ConstituentTable& constituents) {
    for (const std::string_view ending : kEndings)
        if (name.ends_with(ending))
            if (const auto stem = name.substr(0, name.size() - ending.size()); constituents.find(stem))
                return std::string(stem);
    for (auto at = name.find("_vs_"); at != std::string_view::npos; at = name.find("_vs_", at + 1))
        if (constituents.find(name.substr(0, at)))
            return std::string(name.substr(0, at));
    return {};
}

// Two columns of one name could not be told apart.
Result<void> columns_stay_apart(const Node& traits, const KnownNames& known) {
    for (const Member& trait : traits.members) {
        if (std::ranges::find(kColumns, trait.name) != std::end(kColumns))
            return fail_at(traits, trait.place, fmt::format("`{}` is a column of the tables", trait.name),
                           "give the trait another name");
        if (const std::string of = further_column_of(trait.name, known.constituents); !of.empty())
            return fail_at(traits, trait.place,
                           fmt::format("`{}` is a column of the tables, beside `{}`", trait.name, of),
                           "give the trait another name");
    }
    return {};
}

} // namespace

Result<void> add_trait_names(const Node& root, KnownNames& known) {
    const Node* traits = root.find("traits");
    if (!traits)
        return {};
    for (const Member& trait : traits->members) {
        if (!is_trait_name(trait.name))
            return fail_at(*traits, trait.place, fmt::format("`{}` cannot be a trait's name", trait.name),
                           "use lower-case letters, digits and underscores, a letter first: oil_yield");
        const auto taken = known.constituents.find(trait.name);
        if (taken && *taken < constituent::kBuiltInCount)
            return fail_at(*traits, trait.place,
                           fmt::format("`{}` is the name of a built-in constituent", trait.name),
                           "give the trait another name");
        if (!taken)
            known.constituents.add_trait({trait.name, trait.name, "%", PartOf::none, Group::trait, 2, {}});
    }
    return columns_stay_apart(*traits, known);
}

Result<void> check_text(const Node& root, const KnownNames& known) {
    return Checker(known).section(root, Section::root);
}

std::optional<Severity> severity_of(std::string_view word) {
    for (const Severity severity : {Severity::off, Severity::note, Severity::review, Severity::exclude})
        if (word == to_text(severity))
            return severity;
    return std::nullopt;
}

std::string identity_of(const Node& entry, Section section) {
    std::string identity;
    for (const std::string_view key : keys_of(section).identity) {
        const Node* value = entry.find(key);
        std::string text = value ? value->text : std::string();
        if (key == "oil_type") // compared so in lists too
            std::ranges::transform(text, text.begin(), [](char c) {
                return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
            });
        identity += text;
        identity += '\n';
    }
    return identity;
}

} // namespace thresh::rules
