// Walks over a JSON text token by token and counts lines and columns on the way.
#pragma once

#include "rules/config/value.hpp"

#include <string_view>

namespace thresh::rules {

class Cursor {
  public:
    explicit Cursor(std::string_view text);

    // Skips blanks, comments, commas and colons and returns the place where the next token starts.
    Place next_token();
    // Walks over the token that starts here: a text with its quotes, a bracket, or a number or word.
    void skip_token();
    // If only blanks, comments and one comma stand between here and a closing bracket: the comma's place.
    bool trailing_comma(Place& comma) const;
    // The place of a byte offset at or behind the present one.
    Place place_of(std::size_t offset) const;
    std::string_view token() const { return text_.substr(token_begin_, at_ - token_begin_); }

  private:
    void advance(std::size_t offset); // up to and not including `offset`
    std::size_t blank_end(std::size_t from) const;

    std::string_view text_;
    std::size_t at_ = 0, token_begin_ = 0;
    Place place_{1, 1};
};

} // namespace thresh::rules
