// The reference of rules files as Markdown, made from the table of keys.
#include "rules/config/keys.hpp"

#include <thresh/rules/rules_text.hpp>

#include <fmt/format.h>

namespace thresh::rules {

namespace {

constexpr std::string_view kIntroduction = R"(# Rules files

A rules file says what this laboratory expects of its readings. It is JSON with `//` and `/* */` comments.
This page and `rules.schema.json` are made from the program's table of keys; `thresh rules start` writes a
commented file to begin with, `thresh rules check FILE` checks one, `thresh rules show` prints the rules in
force with the place each entry came from.

## How files lie over each other

- The built-in rules are the base. A file overlays them key by key: what it does not name stays.
- `"extends": []` starts from nothing; `"extends": ["common.json"]` names other files, looked for beside the
  file that names them. Each file counts once, base first.
- Objects are joined. A list of plain values replaces the list below it. Lists of objects are joined by what
  tells their entries apart (given below). `null` takes an entry out.
- Materials are tried in the order in which their `when` was written, a file's before the built-in ones, and
  the first match wins. A file that only changes a limit of a built-in material leaves its place alone.
- A material can be `like` another: it has the other's entries unless it gives its own. The built-in
  whole and ground materials are like the plain one, so that a change to `soybean` reaches all three.
- An unknown or repeated key, a wrong type, a lower bound above its upper bound: an error that names file,
  line, column and the nearest key.
- Severity, strongest first: `--severity`, the entry's own, the file's `severity` map, the built-in one.
- `source` beside a limit says where it comes from; it is shown with the limit.
)";

std::string cell(std::string_view text) {
    std::string escaped;
    for (const char c : text) {
        if (c == '|')
            escaped += '\\';
        escaped += c;
    }
    return escaped;
}

std::string_view section_name(Section section) {
    return keys_of(section).name;
}

std::string type_of(const Key& key) {
    std::string text(to_text(key.type));
    if (!key.choices.empty())
        return fmt::format("`{}`", fmt::join(key.choices, "`, `"));
    if (key.of != Section::none)
        text += fmt::format(" ([{0}](#{0}))", section_name(key.of));
    return text;
}

std::string row(std::string_view name, const Key& key) {
    return fmt::format("| `{}` | {} | {} | {} |\n", name, cell(type_of(key)),
                       key.default_json.empty() ? "" : fmt::format("`{}`", cell(key.default_json)),
                       cell(key.about));
}

std::string section_text(Section section) {
    const SectionKeys& table = keys_of(section);
    std::string text = fmt::format("\n### {}\n\n{}\n", table.name, table.about);
    if (!table.identity.empty())
        text +=
            fmt::format("\nIn a list, entries are told apart by: `{}`.\n", fmt::join(table.identity, "`, `"));
    text += "\n| key | value | default | meaning |\n|---|---|---|---|\n";
    for (const Key& key : table.keys)
        text += row(key.name, key);
    if (table.names != Names::none)
        text += row(to_text(table.names), table.entry);
    return text;
}

} // namespace

std::string rules_reference() {
    std::string text(kIntroduction);
    text += "\n## Keys\n";
    for (std::size_t i = 1; i < static_cast<std::size_t>(Section::kCount); ++i)
        text += section_text(static_cast<Section>(i));
    return text;
}

} // namespace thresh::rules
