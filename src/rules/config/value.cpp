// nlohmann/json reads the text and its events build the tree: its own document would sort keys and let a
// repeated key win silently. Places come from a cursor that walks along (cursor.hpp). The library reports
// syntax errors through a callback, so nothing throws past this file.
#include "rules/config/value.hpp"

#include "rules/config/cursor.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <optional>
#include <set>

namespace thresh::rules {

namespace {

constexpr std::size_t kDeepest = 16; // rules go seven levels down

const char* kShape =
    "a rules file holds one object: { \"key\": value, ... }; // and /* */ comments are allowed";

// What the parser says, without its prefix and without bytes that a terminal may not show.
std::string parser_words(std::string_view words) {
    const std::size_t column = words.find("column ");
    const std::size_t colon = words.find(": ", column == std::string_view::npos ? 0 : column);
    std::string result(colon == std::string_view::npos ? words : words.substr(colon + 2));
    for (char& c : result)
        if (static_cast<unsigned char>(c) >= 0x80U || static_cast<unsigned char>(c) < 0x20U)
            c = '?';
    return result;
}

class TreeBuilder : public nlohmann::json_sax<nlohmann::json> {
  public:
    TreeBuilder(std::string_view text, std::shared_ptr<const Layer> layer)
        : cursor_(text), layer_(std::move(layer)) {}

    bool null() override { return scalar(fresh(Node::Kind::null)); }
    bool boolean(bool value) override {
        Node node = fresh(Node::Kind::flag);
        node.flag = value;
        return scalar(std::move(node));
    }
    bool number_integer(number_integer_t value) override { return number(static_cast<double>(value)); }
    bool number_unsigned(number_unsigned_t value) override { return number(static_cast<double>(value)); }
    bool number_float(number_float_t value, const string_t&) override { return number(value); }
    bool string(string_t& value) override {
        Node node = fresh(Node::Kind::text);
        node.text = value;
        return scalar(std::move(node));
    }
    bool binary(binary_t&) override { return false; } // no such thing in text
    bool start_object(std::size_t) override { return open(Node::Kind::object); }
    bool start_array(std::size_t) override { return open(Node::Kind::list); }
    bool end_object() override { return close(); }
    bool end_array() override { return close(); }

    bool key(string_t& name) override {
        const Place place = cursor_.next_token();
        cursor_.skip_token();
        Node& object = open_.back();
        const auto before = std::find_if(object.members.begin(), object.members.end(),
                                         [&](const Member& member) { return member.name == name; });
        if (!names_.back().insert(name).second)
            return refuse(place,
                          fmt::format("key `{}` is given twice, first in line {}, column {}", name,
                                      before->place.line, before->place.column),
                          "keep one of the two");
        object.members.push_back({name, place, {}});
        return true;
    }

    bool parse_error(std::size_t position, const std::string&,
                     const nlohmann::detail::exception& problem) override {
        Place comma;
        if (cursor_.trailing_comma(comma))
            return refuse(comma, "a comma stands before the closing bracket", "take the comma out");
        const Place place = cursor_.place_of(position == 0 ? 0 : position - 1);
        return refuse(place, "not valid JSON: " + parser_words(problem.what()), kShape);
    }

    std::optional<Node> root;
    Error error;

  private:
    Node fresh(Node::Kind kind) {
        Node node;
        node.kind = kind;
        node.place = cursor_.next_token();
        node.layer = layer_;
        cursor_.skip_token();
        return node;
    }
    bool number(double value) {
        Node node = fresh(Node::Kind::number);
        node.number = value;
        node.text = std::string(cursor_.token());
        return scalar(std::move(node));
    }
    bool scalar(Node node) {
        put(std::move(node));
        return true;
    }
    void put(Node node) {
        if (open_.empty())
            root = std::move(node);
        else if (open_.back().is(Node::Kind::object))
            open_.back().members.back().value = std::move(node);
        else
            open_.back().items.push_back(std::move(node));
    }
    bool open(Node::Kind kind) {
        Node node = fresh(kind);
        if (open_.size() == kDeepest)
            return refuse(node.place, "brackets are nested deeper than any rules entry", kShape);
        open_.push_back(std::move(node));
        names_.emplace_back();
        return true;
    }
    bool close() {
        cursor_.next_token();
        cursor_.skip_token();
        Node node = std::move(open_.back());
        open_.pop_back();
        names_.pop_back();
        put(std::move(node));
        return true;
    }
    bool refuse(Place place, std::string message, std::string help) {
        error = Error{std::move(message), std::move(help), layer_->file, place.line, place.column};
        return false;
    }

    Cursor cursor_;
    std::shared_ptr<const Layer> layer_;
    std::vector<Node> open_;                   // brackets not closed yet, outermost first
    std::vector<std::set<std::string>> names_; // keys seen in each of them
};

} // namespace

const Node* Node::find(std::string_view name) const {
    const auto found = std::find_if(members.begin(), members.end(),
                                    [&](const Member& member) { return member.name == name; });
    return found == members.end() ? nullptr : &found->value;
}

Node* Node::find(std::string_view name) {
    return const_cast<Node*>(std::as_const(*this).find(name));
}

const char* to_text(Node::Kind kind) {
    switch (kind) {
    case Node::Kind::null:
        return "null";
    case Node::Kind::flag:
        return "true or false";
    case Node::Kind::number:
        return "a number";
    case Node::Kind::text:
        return "a text";
    case Node::Kind::list:
        return "a list";
    case Node::Kind::object:
        break;
    }
    return "an object";
}

tl::unexpected<Error> fail_at(const Node& node, std::string message, std::string help) {
    return fail_at(node, node.place, std::move(message), std::move(help));
}

tl::unexpected<Error> fail_at(const Node& layer_of, Place place, std::string message, std::string help) {
    return fail(std::move(message), std::move(help), layer_of.layer ? layer_of.layer->file : std::string(),
                place.line, place.column);
}

Result<Node> read_text(std::string_view text, std::shared_ptr<const Layer> layer) {
    TreeBuilder builder(text, layer);
    const bool read = nlohmann::json::sax_parse(text.begin(), text.end(), &builder,
                                                nlohmann::json::input_format_t::json, true, true);
    if (!read || !builder.root)
        return tl::unexpected<Error>(std::move(builder.error));
    if (!builder.root->is(Node::Kind::object))
        return fail_at(*builder.root, fmt::format("the text holds {}", to_text(builder.root->kind)), kShape);
    return std::move(*builder.root);
}

} // namespace thresh::rules
