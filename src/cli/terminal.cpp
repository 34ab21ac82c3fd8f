#include "cli/terminal.hpp"

#include <charconv>
#include <cstdlib>
#include <cstring>
#include <string_view>
#include <sys/ioctl.h>
#include <unistd.h>

namespace thresh::cli {

namespace {

std::string_view environment(const char* name) {
    const char* value = std::getenv(name);
    return value == nullptr ? std::string_view() : std::string_view(value);
}

} // namespace

bool is_terminal(int descriptor) {
    return isatty(descriptor) != 0;
}

unsigned terminal_width(int descriptor) {
    winsize size{};
    if (ioctl(descriptor, TIOCGWINSZ, &size) == 0 && size.ws_col > 0)
        return size.ws_col;
    const std::string_view columns = environment("COLUMNS");
    unsigned width = 0;
    std::from_chars(columns.data(), columns.data() + columns.size(), width);
    if (width > 0)
        return width;
    return is_terminal(descriptor) ? 80 : 0;
}

bool wants_color(const std::string& setting, int descriptor) {
    if (setting == "always")
        return true;
    if (setting == "never")
        return false;
    if (!environment("NO_COLOR").empty())
        return false;
    if (!environment("CLICOLOR_FORCE").empty() && environment("CLICOLOR_FORCE") != "0")
        return true;
    if (environment("TERM") == "dumb")
        return false;
    return is_terminal(descriptor);
}

} // namespace thresh::cli
