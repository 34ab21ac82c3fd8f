// Pieces of JSON text with comments, for show and starter.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace thresh::rules {

// A text with quotes and escapes; bytes that are no UTF-8 become the replacement character.
std::string json_text(std::string_view text);
std::string json_texts(const std::vector<std::string>& texts);

// One member or item of an object or list, with the comment that follows it on its line.
struct Line {
    std::string text;
    std::string comment = {};
};
// `{ a, b }` on one line. No comments.
std::string inline_object(const std::vector<std::string>& members);
// One line a member, indented by `depth` steps of two blanks; `brackets` is "{}" or "[]".
std::string block(const std::vector<Line>& lines, unsigned depth, std::string_view brackets = "{}");

} // namespace thresh::rules
