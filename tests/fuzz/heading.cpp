// Any bytes as a heading: what is understood must be one thing at most, and the same every time.
#include <thresh/intake/exports.hpp>

#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string_view>

using namespace thresh;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    static const ConstituentTable table;
    const std::string_view heading(reinterpret_cast<const char*>(data), size);
    const intake::HeadingMeaning meaning = intake::understand_heading(heading, table, {});
    const int things = meaning.constituent.has_value() + meaning.field.has_value() + meaning.time;
    if (things > 1 || (meaning.constituent && *meaning.constituent >= table.size()))
        std::abort();
    if (meaning.basis.kind == Basis::Kind::fixed &&
        !(meaning.basis.percent >= 0 && meaning.basis.percent < 100))
        std::abort();
    return 0;
}
