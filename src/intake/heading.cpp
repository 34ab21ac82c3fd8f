// A heading is a name with qualifiers around it. Qualifiers (heading_words) are cut out and what is left must
// be a name exactly, or else the whole heading: nothing is taken for a constituent because it resembles one.
// A bracket that is no qualifier ("Protein [mmol]") makes the unit unknown.
#include "intake/heading.hpp"

#include "intake/fold.hpp"
#include "intake/heading_words.hpp"

#include <mutex>

namespace thresh::intake {

HeadingDictionary::HeadingDictionary(const ConstituentTable& table, const std::vector<ColumnRule>& rules)
    : table_(table), rules_(rules) {
    for (std::size_t i = 0; i < table.size(); ++i) {
        const ConstituentInfo& info = table[static_cast<ConstituentId>(i)];
        if (info.group == Group::derived || info.group == Group::ratio || info.group == Group::trait)
            continue; // computed here, never read
        const Name name{static_cast<ConstituentId>(i), {}, false};
        add(info.name, name);
        add(info.title, name);
        for (const std::string_view heading : info.headings)
            add(heading, name);
    }
    for (std::size_t f = 0; f < kTextFields; ++f) {
        const auto field = static_cast<TextField>(f);
        add(field_info(field).name, {{}, field, false});
        for (const std::string_view heading : field_info(field).headings)
            add(heading, {{}, field, false});
    }
    add(time_field_info().name, {{}, {}, true});
    for (const std::string_view heading : time_field_info().headings)
        add(heading, {{}, {}, true});
}

void HeadingDictionary::add(std::string_view heading, Name name) {
    names_.emplace(fold_key(heading), name);
}

void HeadingDictionary::add_list_headings(const std::vector<ListColumn>& columns) {
    for_lists_ = true;
    const Name known{{}, TextField::sample, false};
    for (const ListColumn& column : columns) {
        add(column.name, known);
        for (const std::string_view heading : column.headings)
            add(heading, known);
    }
}

const HeadingDictionary::Name* HeadingDictionary::find(std::string_view key) const {
    const auto found = names_.find(std::string(key));
    return found == names_.end() ? nullptr : &found->second;
}

bool HeadingDictionary::cut_qualifiers(const std::vector<std::string>& words, bool allow_weak,
                                       HeadingMeaning& meaning, std::string& name) const {
    name.clear();
    bool filler = false;
    for (std::size_t i = 0; i < words.size();) {
        const Qualifier q = qualifier_at(std::span(words).subspan(i), allow_weak);
        if (q.words == 0) {
            if (is_filler(words[i]))
                filler = true;
            else
                name += fold_key(words[i]);
            ++i;
            continue;
        }
        if (q.unit) {
            for (std::size_t w = 0; w < q.words; ++w) {
                const bool tight = meaning.unit.empty() || words[i + w] == "/" || meaning.unit.back() == '/';
                meaning.unit += (tight ? "" : " ") + words[i + w];
            }
            meaning.unit_shift = q.unit_shift;
        }
        if (q.part_of) {
            meaning.part_of = *q.part_of;
            meaning.part_stated = true;
        }
        if (q.basis) {
            const bool another =
                meaning.basis.kind != Basis::Kind::not_stated && !(meaning.basis == *q.basis);
            meaning.basis_doubtful = meaning.basis_doubtful || q.basis_doubtful || another;
            meaning.basis = *q.basis;
        }
        i += q.words;
    }
    return !name.empty() || filler;
}

HeadingMeaning HeadingDictionary::built_in(std::string_view heading) const {
    const auto named = [&](const Name& name, HeadingMeaning meaning) {
        meaning.constituent = name.constituent;
        meaning.field = name.field;
        meaning.time = name.time;
        if (name.constituent && !meaning.part_stated)
            meaning.part_of = table_[*name.constituent].part_of;
        return meaning;
    };
    const std::vector<std::string> words = heading_words(heading);
    for (const bool allow_weak : {true, false}) {
        HeadingMeaning meaning;
        std::string key;
        if (cut_qualifiers(words, allow_weak, meaning, key))
            if (const Name* name = find(key); name && name->constituent)
                return named(*name, meaning);
    }
    if (const Name* whole = find(fold_key(heading)))
        return named(*whole, {});
    // A name and a bracket with something else: for texts and times no matter, for numbers an unknown unit.
    const std::size_t open = heading.find_first_of("([");
    if (open == std::string_view::npos || open == 0)
        return {};
    const std::string_view before = trim(heading.substr(0, open));
    HeadingMeaning meaning;
    std::string key;
    if (!cut_qualifiers(heading_words(before), true, meaning, key))
        return {};
    const Name* name = find(key);
    if (!name)
        return {};
    meaning = named(*name, meaning);
    std::string_view inside = heading.substr(open + 1);
    inside = inside.substr(0, inside.find_first_of(")]"));
    meaning.unit = std::string(trim(inside));
    meaning.unit_known = !name->constituent;
    return meaning;
}

namespace {

void set_unit(const std::string& unit, HeadingMeaning& meaning) {
    const auto shift = unit_shift(unit);
    meaning.unit = unit;
    meaning.unit_shift = shift.value_or(0);
    meaning.unit_known = shift.has_value() || unit.empty();
    meaning.unit_by_rules = true;
}

} // namespace

void HeadingDictionary::apply_rule(std::string_view heading, const ColumnRule& rule,
                                   HeadingMeaning& meaning) const {
    // Unit, part of and basis still come from the heading where the rule is silent.
    std::string name;
    meaning = {};
    cut_qualifiers(heading_words(heading), false, meaning, name);
    meaning.by_rules = true;
    meaning.constituent = rule.constituent;
    meaning.field = rule.field;
    meaning.time = rule.time;
    if (rule.constituent && !meaning.part_stated)
        meaning.part_of = table_[*rule.constituent].part_of;
    if (rule.part_of) {
        meaning.part_of = *rule.part_of;
        meaning.part_stated = true;
    }
    if (rule.basis) {
        meaning.basis = *rule.basis;
        meaning.basis_by_rules = true;
        meaning.basis_doubtful = false;
    }
    if (rule.unit)
        set_unit(*rule.unit, meaning);
}

HeadingMeaning HeadingDictionary::with_rules(HeadingMeaning meaning) const {
    for (const ColumnRule& rule : rules_) {
        if (!rule.headings.empty() || !rule.constituent || rule.constituent != meaning.constituent ||
            meaning.by_rules)
            continue;
        if (rule.part_of && !meaning.part_stated) {
            meaning.part_of = *rule.part_of;
            meaning.part_stated = true;
        }
        if (rule.basis && meaning.basis.kind == Basis::Kind::not_stated) {
            meaning.basis = *rule.basis;
            meaning.basis_by_rules = true;
        }
        if (rule.unit && meaning.unit.empty())
            set_unit(*rule.unit, meaning);
    }
    return meaning;
}

HeadingMeaning HeadingDictionary::understand(std::string_view heading) const {
    const std::string key(trim(heading));
    if (key.empty())
        return {};
    {
        const std::shared_lock lock(guard_);
        if (const auto found = remembered_.find(key); found != remembered_.end())
            return found->second;
    }
    HeadingMeaning meaning = work_out(key);
    const std::unique_lock lock(guard_);
    if (remembered_.size() < kRemembered)
        remembered_.emplace(key, meaning);
    return meaning;
}

HeadingMeaning HeadingDictionary::work_out(std::string_view heading) const {
    for (const ColumnRule& rule : rules_)
        for (const std::string& pattern : rule.headings)
            if (matches_pattern(pattern, heading)) {
                HeadingMeaning meaning;
                apply_rule(heading, rule, meaning);
                return meaning;
            }
    return built_in(heading);
}

HeadingMeaning understand_heading(std::string_view heading, const ConstituentTable& table,
                                  const std::vector<ColumnRule>& columns) {
    return HeadingDictionary(table, columns).understand(heading);
}

} // namespace thresh::intake
