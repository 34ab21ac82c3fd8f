// Any bytes as a rules file: refused with a reason and a place, or read; then the rules that `rules show`
// prints must read back, print the same text again, and the file must pass `rules check` too.
#include <thresh/rules/rules_text.hpp>
#include <thresh/rules/ruleset.hpp>

#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <string>

using namespace thresh;

namespace {

rules::ReadFile only(const std::string& text) {
    return [&text](const std::string& path) -> Result<std::string> {
        if (path != "lab.json")
            return fail("no such file", "check the name", path);
        return text;
    };
}

// The text without its comments, which say where an entry came from.
std::string without_origins(const std::string& text) {
    std::string plain;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t end = std::min(text.find('\n', at), text.size());
        const std::string line = text.substr(at, end - at);
        plain += line.substr(0, line.rfind("//")) + '\n';
        at = end + 1;
    }
    return plain;
}

void broken(const char* what, const std::string& text) {
    std::fprintf(stderr, "%s\n%s\n", what, text.c_str());
    std::abort();
}

} // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string text(reinterpret_cast<const char*>(data), size);
    const auto rules = rules::load_rules({"lab.json"}, only(text));
    if (static_cast<bool>(rules::check_rules({"lab.json"}, only(text))) != static_cast<bool>(rules))
        broken("`rules check` and reading do not agree", text);
    if (!rules) {
        if (rules.error().message.empty() || rules.error().file.empty())
            broken("a refusal without reason or file", text);
        return 0;
    }
    const std::string shown = rules::show_rules(*rules);
    const auto again = rules::load_rules({"lab.json"}, only(shown));
    if (!again)
        broken(again.error().message.c_str(), shown);
    if (without_origins(rules::show_rules(*again)) != without_origins(shown))
        broken("the rules shown do not read back as themselves", shown);
    return 0;
}
