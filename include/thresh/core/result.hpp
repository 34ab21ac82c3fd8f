// The one way in which a job that cannot be done is told upwards. Bad data is a finding, never an Error;
// a bug is an assertion.
#pragma once

#include <cstdint>
#include <string>
#include <tl/expected.hpp>
#include <utility>

namespace thresh {

// Why something could not be done and what the user can do about it. `line` and `column` count from 1,
// 0 = not known; `file` is empty when no file is concerned.
struct Error {
    std::string message;
    std::string help;
    std::string file;
    std::uint32_t line = 0;
    std::uint32_t column = 0;
};

template <typename T>
using Result = tl::expected<T, Error>;

// Shorthand for `return fail("...", "...")` in a function that returns a Result.
inline tl::unexpected<Error> fail(std::string message, std::string help = {}, std::string file = {},
                                  std::uint32_t line = 0, std::uint32_t column = 0) {
    return tl::unexpected<Error>(Error{std::move(message), std::move(help), std::move(file), line, column});
}

// `file:line:column: message` followed by a help line when there is one; no trailing newline.
std::string describe(const Error& error);

} // namespace thresh
