// The words beside a name in a heading: unit, part of, basis.
#pragma once

#include <thresh/core/basis.hpp>

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace thresh::intake {

// A heading cut into folded words; `%` and `/` are words of their own, `18:3` is one word, `100g` two.
std::vector<std::string> heading_words(std::string_view heading);

// What a run of words at the front of a heading's rest says.
struct Qualifier {
    std::size_t words = 0; // how many words it takes; 0 = none
    bool unit = false;
    int unit_shift = 0; // decimals to add to get percent
    std::optional<PartOf> part_of;
    std::optional<Basis> basis;
    bool basis_doubtful = false; // a percentage that may be of moisture or of dry matter
    bool weak = false;           // might as well be the name itself: "% oil"
};

// The longest qualifier at the front of `words`. Weak ones only when `allow_weak`.
Qualifier qualifier_at(std::span<const std::string> words, bool allow_weak);

// Words that carry no meaning of their own: "in", "at", "basis".
bool is_filler(std::string_view word);

// Whether every word of `text` is a qualifier or a filler and at least one is a qualifier: the cell of a
// units row.
bool is_only_qualifiers(std::string_view text);

// The shift of a unit by itself ("g/kg" -> 1); nothing when it is none that we know.
std::optional<int> unit_shift(std::string_view unit);

} // namespace thresh::intake
