// A placeholder ends where the character that follows it in the pattern first stands, so a match is found or
// refused in one pass without trying again. The last one runs to the end of the ID.
#include "batch/id_pattern.hpp"

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

std::optional<PlaceTexts> IdPattern::match(std::string_view id) const {
    PlaceTexts texts;
    for (std::size_t p = 0; p < pieces_.size(); ++p) {
        if (!id.starts_with(pieces_[p].literal))
            return std::nullopt;
        id.remove_prefix(pieces_[p].literal.size());
        const std::string& next = p + 1 < pieces_.size() ? pieces_[p + 1].literal : tail_;
        const std::size_t length = next.empty() ? id.size() : std::min(id.find(next.front()), id.size());
        if (length == 0)
            return std::nullopt;
        if (pieces_[p].field)
            texts[static_cast<std::size_t>(*pieces_[p].field)] = id.substr(0, length);
        id.remove_prefix(length);
    }
    if (id != tail_ || texts[static_cast<std::size_t>(PlaceField::line)].empty())
        return std::nullopt;
    return texts;
}

} // namespace thresh::batch
