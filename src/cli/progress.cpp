// A thread of its own paints, because the work does not come back often enough to be asked. It only writes;
// what is computed does not know of it.
#include "cli/progress.hpp"

#include "cli/terminal.hpp"

#include <chrono>
#include <cstdlib>
#include <fmt/format.h>
#include <string_view>
#include <unistd.h>

namespace thresh::cli {

namespace {

using Clock = std::chrono::steady_clock;
constexpr auto kPatience = std::chrono::milliseconds(700), kStep = std::chrono::milliseconds(200);

bool can_go_back() {
    const char* terminal = std::getenv("TERM");
    return terminal != nullptr && *terminal != '\0' && std::string_view(terminal) != "dumb";
}

void put(const std::string& text) {
    // Nothing is done about a terminal that has gone away.
    [[maybe_unused]] const ssize_t written = ::write(STDERR_FILENO, text.data(), text.size());
}

} // namespace

Progress::Progress(const Settings& settings) {
    if (!settings.quiet && is_terminal(STDERR_FILENO) && can_go_back())
        painter_ = std::jthread([this](const std::stop_token& stop) { show(stop); });
}

Progress::~Progress() {
    painter_.request_stop();
    changed_.notify_all();
}

void Progress::stage(std::string text) {
    const std::lock_guard lock(mutex_);
    text_ = std::move(text);
}

void Progress::show(std::stop_token stop) {
    const auto start = Clock::now();
    std::unique_lock lock(mutex_);
    std::size_t shown = 0; // characters in the line
    changed_.wait_for(lock, stop, kPatience, [&] { return stop.stop_requested(); });
    while (!stop.stop_requested()) {
        const auto seconds = std::chrono::duration_cast<std::chrono::seconds>(Clock::now() - start).count();
        std::string line = fmt::format("{}, {} s", text_, seconds);
        line.resize(std::min<std::size_t>(line.size(), std::max(2U, terminal_width(STDERR_FILENO)) - 1));
        const std::size_t length = line.size();
        line.append(shown > length ? shown - length : 0, ' ');
        shown = length;
        put("\r" + line);
        changed_.wait_for(lock, stop, kStep, [&] { return stop.stop_requested(); });
    }
    if (shown > 0)
        put("\r" + std::string(shown, ' ') + "\r");
}

} // namespace thresh::cli
