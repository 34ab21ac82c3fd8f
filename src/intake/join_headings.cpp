// A group's words count only where they cannot be a title by chance: in brackets, as the whole cell, or from
// a unit to the end ("Composition % DM"), a basis also before a unit in brackets. A basis over a moisture
// column is not handed on: the moisture is what the basis of the others refers to; the caller says so in a
// note.
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
        if (!is_only_qualifiers(inside))
            return {};
        for (std::size_t at = text.find(' '); at < open; at = text.find(' ', at + 1)) {
            const std::string_view tail = trim(text.substr(at)); // "NIR dry matter (%)"
            if (is_only_qualifiers(tail) && phrases_of(tail).front().says.basis)
                return tail;
        }
        return inside;
    }
    for (std::size_t at = text.find(' '); at != std::string_view::npos; at = text.find(' ', at + 1)) {
        const std::string_view tail = trim(text.substr(at));
        if (is_only_qualifiers(tail))
            return phrases_of(tail).front().says.unit ? tail : std::string_view();
    }
    return {};
}

// What came of a group's words over one column.
struct UnderGroup {
    std::string heading;     // `lower` with what the group adds to it; `lower` itself when that is nothing
    bool spared = false;     // a moisture column that the group's basis was not handed to
    bool takes_part = false; // basis or part of are the group's
};

UnderGroup under_group(std::string_view said, const std::string& lower, const HeadingMeaning& meaning,
                       const HeadingDictionary& dictionary) {
    UnderGroup under{lower};
    const ConstituentId id = *meaning.constituent;
    if (meaning.by_rules || !meaning.unit_known || dictionary.table()[id].group == Group::instrument)
        return under;
    const bool moisture = id == constituent::moisture;
    const bool of_sample = !meaning.part_stated || meaning.part_of == PartOf::sample;
    const bool wants_basis = of_sample && meaning.basis.kind == Basis::Kind::not_stated;
    std::string added;
    bool whole = said.find_first_of("([") == std::string_view::npos;
    bool takes_part = false;
    for (const GroupPhrase& phrase : phrases_of(said)) {
        under.spared = under.spared || (moisture && wants_basis && phrase.says.basis &&
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
        takes_part = takes_part || part || basis;
        if (!words.empty())
            added += (added.empty() ? "" : " ") + words;
    }
    if (added.empty())
        return under;
    if (whole)
        added = std::string(trim(said));
    std::string joined = lower.ends_with(')') ? lower.substr(0, lower.size() - 1) + ", " + added + ")"
                                              : lower + " (" + added + ")";
    const HeadingMeaning both = dictionary.understand(joined);
    if (both.constituent == meaning.constituent && both.unit_known) {
        under.heading = std::move(joined);
        under.takes_part = takes_part;
    }
    return under;
}

} // namespace

JoinedHeadings join_headings(const std::vector<std::string>& upper, const std::vector<std::string>& lower,
                             bool spread, const HeadingDictionary& dictionary) {
    JoinedHeadings joined;
    joined.headings.resize(std::max(upper.size(), lower.size()));
    std::string left;
    std::size_t behind_last = upper.size(); // filled cell of the upper row
    while (behind_last > 0 && upper[behind_last - 1].empty())
        --behind_last;
    for (std::size_t i = 0; i < joined.headings.size(); ++i) {
        std::string above = i < upper.size() ? upper[i] : std::string();
        const std::string below = i < lower.size() && !is_missing_mark(lower[i]) ? lower[i] : std::string();
        const bool from_left = above.empty();
        if (!from_left)
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
            UnderGroup under = under_group(said, below, meaning, dictionary);
            heading = std::move(under.heading);
            if (under.spared)
                joined.spared.push_back({i, above});
            if (under.takes_part && from_left && i >= behind_last)
                joined.spread.push_back({i, above});
        } else if (!dictionary.understand(heading).known()) {
            heading = below;
        }
    }
    return joined;
}

} // namespace thresh::intake
