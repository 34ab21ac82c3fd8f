// Single entries of the rules in force as JSON text, for show.cpp.
#pragma once

#include "rules/config/write_text.hpp"

#include <thresh/rules/ruleset.hpp>

#include <fmt/format.h>

namespace thresh::rules {

std::string place_of(const Origin& origin); // "lab.json:3:5", "built-in"
// Where the entry at `path`, or the first below it, came from; "default" when no text holds it.
std::string origin_text(const Origins& origins, const std::string& path);
std::string basis_json(Basis basis);
std::string when_json(const batch::When& when); // "{}" when it says nothing

// Members of an object on one line.
class Members {
  public:
    Members& add(std::string_view key, std::string value) {
        members.push_back(fmt::format("\"{}\": {}", key, value));
        return *this;
    }
    Members& number(std::string_view key, double value) { return add(key, fmt::format("{}", value)); }
    Members& number(std::string_view key, const std::optional<double>& value) {
        return value ? number(key, *value) : *this;
    }
    Members& text(std::string_view key, std::string_view value) {
        return value.empty() ? *this : add(key, json_text(value));
    }
    Members& texts(std::string_view key, const std::vector<std::string>& values) {
        return values.empty() ? *this : add(key, json_texts(values));
    }
    Members& time(std::string_view key, Time value) {
        return value.missing() ? *this : add(key, json_text(to_text(value)));
    }
    std::string object() const { return inline_object(members); }

    std::vector<std::string> members;
};

// The members of one material.
std::vector<Line> material_lines(const Material& material, const Ruleset& rules, const Origins& origins);

} // namespace thresh::rules
