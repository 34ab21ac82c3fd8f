// A group's words count only where they cannot be a title by chance: in brackets, as the whole cell, or from
// a unit to the end ("Composition % DM"). A basis over a moisture column is not handed on: the moisture is
// what the basis of the others refers to; the caller says so in a note.
#include "intake/join_headings.hpp"

#include "intake/fold.hpp"
#include "intake/heading_words.hpp"
#include "intake/number_cell.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace thresh::intake {

namespace {

struct GroupPhrase {
    std::string words;
    Qualifier says;
};

std::vector<GroupPhrase> phrases_of(std::string_view text) {
    const std::vector<std::string> words = heading_words(text);
    std::vector<GroupPhrase> phrases;
    for (std::size_t i = 0; i < words.size();) {
        const Qualifier q = qualifier_at(std::span(words).subspan(i), true);
        if (q.words > 0)
            phrases.push_back(
                {fmt::format("{}", fmt::join(words.begin() + static_cast<std::ptrdiff_t>(i),
                                             words.begin() + static_cast<std::ptrdiff_t>(i + q.words), " ")),
                 q});
        i += std::max<std::size_t>(1, q.words);
    }
    return phrases;
}

// The part of a group's heading that is unit, part of and basis; empty when there is none to rely on.
std::string_view group_words(std::string_view text) {
    if (is_only_qualifiers(text))
        return text;
    const std::size_t open = text.find_last_of("([");
    if (open != std::string_view::npos) {
        std::string_view inside = text.substr(open + 1);
        inside = inside.substr(0, inside.find_first_of(")]"));
        return is_only_qualifiers(inside) ? inside : std::string_view();
    }
    for (std::size_t at = text.find(' '); at != std::string_view::npos; at = text.find(' ', at + 1)) {
        const std::string_view tail = trim(text.substr(at));
        if (is_only_qualifiers(tail))
            return phrases_of(tail).front().says.unit ? tail : std::string_view();
    }
    return {};
}

// `lower` with what the group adds to it; `lower` itself when that is nothing.
std::string under_group(std::string_view said, const std::string& lower, const HeadingMeaning& meaning,
                        const HeadingDictionary& dictionary, bool& spared) {
    const ConstituentId id = *meaning.constituent;
    if (meaning.by_rules || !meaning.unit_known || dictionary.table()[id].group == Group::instrument)
        return lower;
    const bool moisture = id == constituent::moisture;
    const bool of_sample = !meaning.part_stated || meaning.part_of == PartOf::sample;
    const bool wants_basis = of_sample && meaning.basis.kind == Basis::Kind::not_stated;
    std::string added;
    bool whole = true;
    for (const GroupPhrase& phrase : phrases_of(said)) {
        spared = spared || (moisture && wants_basis && phrase.says.basis &&
                            phrase.says.basis->kind != Basis::Kind::as_is);
        std::string words = phrase.words;
        const bool part = phrase.says.part_of && !meaning.part_stated && !moisture;
        const bool unit = phrase.says.unit && meaning.unit.empty();
        const bool basis = phrase.says.basis && wants_basis && !moisture;
        if (part && phrase.says.unit && !unit)
            words = *phrase.says.part_of == PartOf::oil ? "of oil" : "of protein";
        else if (!part && !unit && !basis)
            words.clear();
        if (words != phrase.words)
            whole = false;
        if (!words.empty())
            added += (added.empty() ? "" : " ") + words;
    }
    if (added.empty())
        return lower;
    if (whole)
        added = std::string(trim(said));
    std::string joined = lower.ends_with(')') ? lower.substr(0, lower.size() - 1) + ", " + added + ")"
                                              : lower + " (" + added + ")";
    const HeadingMeaning both = dictionary.understand(joined);
    return both.constituent == meaning.constituent && both.unit_known ? joined : lower;
}

} // namespace

JoinedHeadings join_headings(const std::vector<std::string>& upper, const std::vector<std::string>& lower,
                             bool spread, const HeadingDictionary& dictionary) {
    JoinedHeadings joined;
    joined.headings.resize(std::max(upper.size(), lower.size()));
    std::string left;
    for (std::size_t i = 0; i < joined.headings.size(); ++i) {
        std::string above = i < upper.size() ? upper[i] : std::string();
        const std::string below = i < lower.size() && !is_missing_mark(lower[i]) ? lower[i] : std::string();
        if (!above.empty())
            left = above;
        else if (spread && !below.empty())
            above = left;
        std::string& heading = joined.headings[i];
        heading = above + (above.empty() || below.empty() ? "" : " ") + below;
        if (above.empty() || below.empty())
            continue;
        const HeadingMeaning meaning = dictionary.understand(below);
        if (!meaning.known())
            continue;
        const bool group = meaning.constituent && !dictionary.understand(above).known();
        const std::string_view said = group ? group_words(above) : std::string_view();
        if (!said.empty()) {
            bool spared = false;
            heading = under_group(said, below, meaning, dictionary, spared);
            if (spared)
                joined.spared.push_back({i, above});
        } else if (!dictionary.understand(heading).known()) {
            heading = below;
        }
    }
    return joined;
}

} // namespace thresh::intake
