// Commas stand between entries and before comments, so that the text reads back; a comment never holds a line
// break.
#include "rules/config/write_text.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

namespace thresh::rules {

std::string json_text(std::string_view text) {
    return nlohmann::json(std::string(text)).dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
}

std::string json_texts(const std::vector<std::string>& texts) {
    std::vector<std::string> items;
    for (const std::string& text : texts)
        items.push_back(json_text(text));
    return fmt::format("[{}]", fmt::join(items, ", "));
}

std::string inline_object(const std::vector<std::string>& members) {
    return members.empty() ? "{}" : fmt::format("{{ {} }}", fmt::join(members, ", "));
}

std::string block(const std::vector<Line>& lines, unsigned depth, std::string_view brackets) {
    if (lines.empty())
        return std::string(brackets);
    const std::string inner((depth + 1) * 2, ' ');
    std::string text(1, brackets[0]);
    text += '\n';
    for (std::size_t i = 0; i < lines.size(); ++i) {
        text += inner + lines[i].text;
        if (i + 1 < lines.size())
            text += ',';
        if (!lines[i].comment.empty()) {
            text += " // ";
            for (const char c : lines[i].comment)
                text += static_cast<unsigned char>(c) < 0x20U ? '?' : c;
        }
        text += '\n';
    }
    text += std::string(depth * 2, ' ');
    text += brackets[1];
    return text;
}

} // namespace thresh::rules
