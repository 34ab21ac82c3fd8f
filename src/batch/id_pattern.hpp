// Sample IDs that carry line, trial, plot in themselves: `{trial}-{line}-{rep}`.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace thresh::batch {

// What a sample's place in the field is made of, from the list or from its ID.
enum class PlaceField : std::uint8_t { trial, line, environment, rep, block, plot, year };
inline constexpr std::size_t kPlaceFields = 7;
using PlaceTexts = std::array<std::string_view, kPlaceFields>;

class IdPattern {
  public:
    // Placeholders in braces; one that names none of PlaceField matches and is forgotten. Everything else
    // stands for itself.
    explicit IdPattern(std::string_view pattern);
    // Whether the pattern has this placeholder.
    bool has(PlaceField field) const;

  private:
    friend class IdMatcher;
    struct Piece {
        std::string literal;             // before the placeholder
        std::optional<PlaceField> field; // of the placeholder, when it is one of ours
    };
    // These take what is before the placeholder, and the placeholder, off the beginning of `id`; false when
    // it does not fit.
    bool take_literal(std::size_t piece, std::string_view& id) const;
    bool take_placeholder(std::size_t piece, std::string_view& id, PlaceTexts& texts) const;
    std::vector<Piece> pieces_;
    std::string tail_; // after the last placeholder
};

// Matches IDs one after another. Those of neighbouring samples often are the same up to the last placeholder;
// then it alone is looked at.
class IdMatcher {
  public:
    explicit IdMatcher(const IdPattern& pattern) : pattern_(pattern) {}
    // Null when the ID does not match as a whole, or the line would be blank. A placeholder takes at least
    // one character and none that is the character following it in the pattern. The texts stay until the next
    // call. They are views of this ID or of one given before, which must live on.
    const PlaceTexts* match(std::string_view id);

  private:
    const IdPattern& pattern_;
    PlaceTexts texts_;
    std::string_view same_; // an ID that begins so has the same texts but the last; empty: not known
};

} // namespace thresh::batch
