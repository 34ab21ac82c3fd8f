#include <thresh/core/result.hpp>

#include <fmt/format.h>

namespace thresh {

std::string describe(const Error& error) {
    std::string place;
    if (!error.file.empty()) {
        place = error.file;
        if (error.line > 0)
            place += fmt::format(":{}", error.line);
        if (error.line > 0 && error.column > 0)
            place += fmt::format(":{}", error.column);
        place += ": ";
    }
    std::string text = place + error.message;
    if (!error.help.empty())
        text += "\n  help: " + error.help;
    return text;
}

} // namespace thresh
