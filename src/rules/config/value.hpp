// A rules text as an ordered tree in which every value knows its place: what the parser delivers, what files
// are overlaid as, and what the rules in force are built from.
#pragma once

#include <thresh/core/result.hpp>

#include <cstdint>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

namespace thresh::rules {

// One rules text among those in force. A later layer overlays an earlier one.
struct Layer {
    std::string file; // "built-in" for the built-in rules
    std::uint32_t number = 0;
};

struct Place {
    std::uint32_t line = 0, column = 0; // from 1; columns count characters
};

struct Member;

struct Node {
    enum class Kind : std::uint8_t { null, flag, number, text, list, object };
    Kind kind = Kind::null;
    bool flag = false;
    double number = 0;
    std::string text; // text: the value; number: as written
    std::vector<Node> items;
    std::vector<Member> members; // in order; names are unique
    Place place;
    std::shared_ptr<const Layer> layer;
    std::string source; // literature behind the value, from the nearest `source` key

    bool is(Kind wanted) const { return kind == wanted; }
    const Node* find(std::string_view name) const;
    Node* find(std::string_view name);
};

struct Member {
    std::string name;
    Place place;
    Node value;
};

const char* to_text(Node::Kind kind); // "a number", "a list", ...

// An Error at the place of `node` or `member`.
tl::unexpected<Error> fail_at(const Node& node, std::string message, std::string help);
tl::unexpected<Error> fail_at(const Node& layer_of, Place place, std::string message, std::string help);

// Reads JSON with // and /* */ comments. Error, with place: not JSON, a trailing comma, a key given twice in
// one object (both places), nesting deeper than rules go.
Result<Node> read_text(std::string_view text, std::shared_ptr<const Layer> layer);

} // namespace thresh::rules
