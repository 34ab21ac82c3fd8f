// Check symbols of Code 128 as others work them out. ISO/IEC 15417 itself could not be looked up.
#include "plot/code128.hpp"

#include <catch2/catch.hpp>
#include <thresh/plot/barcode.hpp>
#include <vector>

using thresh::plot::check_symbol;
using thresh::plot::code128_symbols;

TEST_CASE("check symbols of Code 128 are those of published examples") {
    // Wikipedia, "Code 128", section "Check digit calculation": PJJ123C in code set A has 878 mod 103 = 54.
    CHECK(check_symbol(std::vector<int>{103, 48, 42, 42, 17, 18, 19, 35}) == 54);
    // barcoderesource.com, "Calculation of Code128 Check Character": ABCDEF in A 42, abcdef in B 97, 345678
    // in C 73.
    CHECK(check_symbol(std::vector<int>{103, 33, 34, 35, 36, 37, 38}) == 42);
    CHECK(*code128_symbols("abcdef") == std::vector<int>{104, 65, 66, 67, 68, 69, 70, 97, 106});
    CHECK(*code128_symbols("345678") == std::vector<int>{105, 34, 56, 78, 73, 106});
    // barcodeisland.com, "Code 128": HI345678, begun in A and going on in C, has 1406 mod 103 = 67.
    CHECK(check_symbol(std::vector<int>{103, 40, 41, 99, 34, 56, 78}) == 67);
}
