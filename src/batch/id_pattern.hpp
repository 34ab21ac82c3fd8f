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
    // Views into `id`; nothing when it does not match as a whole, or the line would be blank. A placeholder
    // takes at least one character and none that is the character following it in the pattern.
    std::optional<PlaceTexts> match(std::string_view id) const;

  private:
    struct Piece {
        std::string literal;             // before the placeholder
        std::optional<PlaceField> field; // of the placeholder, when it is one of ours
    };
    std::vector<Piece> pieces_;
    std::string tail_; // after the last placeholder
};

} // namespace thresh::batch
