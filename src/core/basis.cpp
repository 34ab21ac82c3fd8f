#include <thresh/core/basis.hpp>

#include <fmt/format.h>

namespace thresh {

std::string to_text(Basis basis) {
    switch (basis.kind) {
    case Basis::Kind::as_is:
        return "as-is";
    case Basis::Kind::fixed:
        return basis.percent == 0 ? "dry" : fmt::format("{}", basis.percent);
    case Basis::Kind::not_stated:
        break;
    }
    return {};
}

} // namespace thresh
