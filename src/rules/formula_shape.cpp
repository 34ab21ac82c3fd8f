// One pass with a stack of brackets. A part is what stands between brackets, commas and the operators that
// bind more weakly than a comparison; it is a condition when it holds a comparison, be it inside brackets.
#include "rules/formula_shape.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <vector>

namespace thresh::rules {

namespace {

struct Part {
    std::size_t begin = 0;
    bool compared = false;        // by an operator of its own, not one in brackets
    bool condition = false;       // holds a comparison
    bool wants_condition = false; // for what stands before it
    bool any = false;             // an earlier part inside the same brackets holds a comparison
};

tl::unexpected<Error> fail_at(std::size_t at, std::string message, std::string help) {
    return fail(std::move(message), std::move(help), {}, 0, static_cast<std::uint32_t>(at + 1));
}

tl::unexpected<Error> no_condition(std::string_view text, std::size_t begin, std::size_t end) {
    begin = std::min(text.find_first_not_of(" \t", begin), end);
    std::string_view part = text.substr(begin, end - begin);
    part = part.substr(0, part.find_last_not_of(" \t") + 1);
    return fail_at(begin, fmt::format("`{}` is a number and no condition", part),
                   fmt::format("compare it with something: `{} > 20`", part));
}

} // namespace

Result<void> check_shape(std::string_view text, bool condition) {
    std::vector<Part> open = {{}};
    for (std::size_t i = 0; i < text.size(); ++i) {
        const char c = text[i];
        const char next = i + 1 < text.size() ? text[i + 1] : ' ';
        const bool twice = next == c;
        Part& part = open.back();
        if (c == '(') {
            open.push_back({i + 1});
        } else if (c == '<' || c == '>' || ((c == '!' || c == '=') && next == '=')) {
            if (part.compared)
                return fail_at(i, "a comparison is compared again",
                               "join two comparisons: `1 < oil && oil < 3`");
            part.compared = part.condition = true;
            i += next == '=' ? 1 : 0;
        } else if (c == ')' || c == ',' || c == '?' || c == ':' || ((c == '&' || c == '|') && twice)) {
            const bool joins = c == '&' || c == '|';
            if ((joins || c == '?' || part.wants_condition) && !part.condition)
                return no_condition(text, part.begin, i);
            const bool any = part.any || part.condition;
            i += joins ? 1 : 0;
            if (c == ')' && open.size() > 1) {
                open.pop_back();
                open.back().condition = open.back().condition || any;
            } else {
                part = Part{i + 1};
                part.wants_condition = joins;
                part.any = any;
            }
        }
    }
    const Part& last = open.back();
    if (!last.condition && (last.wants_condition || (condition && !last.any)))
        return no_condition(text, last.begin, text.size());
    return {};
}

} // namespace thresh::rules
