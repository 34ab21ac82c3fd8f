// The fast way against the straightforward way: any bytes must give the same readings in pieces of any size.
#include "unit/intake/same_readings.hpp"

#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>

using namespace thresh;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    if (size < 2)
        return 0;
    // The first two bytes choose piece and buffer, so that cuts fall everywhere.
    intake::ReadSettings fast, slow;
    fast.chunk_bytes = 16 + std::size_t{data[0]} * 7;
    fast.buffer_bytes = 16 + std::size_t{data[1]} * 5;
    fast.plain_scan = data[0] % 2 == 0;
    slow.path = intake::Path::straightforward;
    slow.chunk_bytes = std::size_t{1} << 40;
    const std::string text(reinterpret_cast<const char*>(data + 2), size - 2);
    const intake::Input input = intake_test::input(text);
    const std::string found =
        intake_test::difference(intake::read_exports({input}, intake_test::table(), {}, slow),
                                intake::read_exports({input}, intake_test::table(), {}, fast));
    if (!found.empty()) {
        std::fprintf(stderr, "%s\n", found.c_str());
        std::abort();
    }
    return 0;
}
