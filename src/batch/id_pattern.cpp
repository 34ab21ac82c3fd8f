// A placeholder ends where the character that follows it in the pattern first stands, so a match is found or
// refused in one pass without trying again. The last one runs to the end of the ID.
#include "batch/id_pattern.hpp"

#include "batch/short_text.hpp"

#include <algorithm>

namespace thresh::batch {

namespace {

std::optional<PlaceField> field_named(std::string_view name) {
    constexpr std::array<std::string_view, kPlaceFields> kNames = {"trial", "line", "environment", "rep",
                                                                   "block", "plot", "year"};
    const auto at = std::ranges::find(kNames, name);
    if (at == kNames.end())
        return std::nullopt;
    return static_cast<PlaceField>(at - kNames.begin());
}

} // namespace

IdPattern::IdPattern(std::string_view pattern) {
    std::string literal;
    while (!pattern.empty()) {
        const auto close = pattern.front() == '{' ? pattern.find('}') : std::string_view::npos;
        if (close == std::string_view::npos) {
            literal += pattern.front();
            pattern.remove_prefix(1);
            continue;
        }
        pieces_.push_back({literal, field_named(pattern.substr(1, close - 1))});
        literal.clear();
        pattern.remove_prefix(close + 1);
    }
    tail_ = literal;
}

bool IdPattern::has(PlaceField field) const {
    return std::ranges::any_of(pieces_, [&](const Piece& piece) { return piece.field == field; });
}

bool IdPattern::take_literal(std::size_t piece, std::string_view& id) const {
    const std::string& literal = pieces_[piece].literal;
    if (!begins_with(id, literal))
        return false;
    id.remove_prefix(literal.size());
    return true;
}

bool IdPattern::take_placeholder(std::size_t piece, std::string_view& id, PlaceTexts& texts) const {
    const std::string& next = piece + 1 < pieces_.size() ? pieces_[piece + 1].literal : tail_;
    const std::size_t length = next.empty() ? id.size() : std::min(id.find(next.front()), id.size());
    if (length == 0)
        return false;
    if (pieces_[piece].field)
        texts[static_cast<std::size_t>(*pieces_[piece].field)] = id.substr(0, length);
    id.remove_prefix(length);
    return true;
}

const PlaceTexts* IdMatcher::match(std::string_view id) {
    const std::size_t pieces = pattern_.pieces_.size();
    std::string_view rest = id;
    if (!same_.empty() && begins_with(id, same_)) {
        rest.remove_prefix(same_.size());
        if (!pattern_.take_placeholder(pieces - 1, rest, texts_))
            return nullptr;
    } else {
        texts_ = {};
        same_ = {};
        for (std::size_t p = 0; p < pieces; ++p) {
            if (!pattern_.take_literal(p, rest))
                return nullptr;
            // Without a character between them the placeholder before would not end where it does.
            if (p + 1 == pieces && !pattern_.pieces_[p].literal.empty())
                same_ = id.substr(0, id.size() - rest.size());
            if (!pattern_.take_placeholder(p, rest, texts_))
                return nullptr;
        }
    }
    const bool has_line = !texts_[static_cast<std::size_t>(PlaceField::line)].empty();
    return rest == pattern_.tail_ && has_line ? &texts_ : nullptr;
}

} // namespace thresh::batch
