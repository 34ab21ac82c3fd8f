#include <catch2/catch.hpp>

#include "rules/repeatability_sd.hpp"

using namespace thresh;
using rules::RepeatPiece;

namespace {

RepeatPiece piece_of(std::size_t width) {
    RepeatPiece piece;
    piece.first_sample = 3 * RepeatPiece::kSamples;
    piece.width = width;
    return piece;
}

} // namespace

TEST_CASE("groups of repeats keep the counts and ranges of each key constituent") {
    RepeatPiece piece = piece_of(2);
    piece.groups.push_back({0, 1, 70});
    piece.add_spread(2, 0.25);
    piece.add_spread(0, 0);
    piece.groups.push_back({8191, 0, 90});
    piece.add_spread(3, 0.5);
    piece.add_spread(4, 0.75);
    CHECK(piece.n(0, 0) == 2);
    CHECK(piece.n(0, 1) == 0);
    CHECK(piece.n(1, 1) == 4);
    CHECK(piece.range(0, 0) == 0.25);
    CHECK(piece.range(1, 0) == 0.5);
    CHECK(piece.range(1, 1) == 0.75);
    CHECK(piece.sample_of(piece.groups[1]) == 4 * RepeatPiece::kSamples - 1);
}

TEST_CASE("a sample read more often than two bytes count keeps its number of readings") {
    RepeatPiece piece = piece_of(1);
    for (const std::uint32_t n : {65534U, 65535U, 65536U, 1000000U, 2U}) {
        piece.groups.push_back({0, 0, n});
        piece.add_spread(n, 1);
    }
    for (std::size_t g = 0; g < piece.groups.size(); ++g)
        CHECK(piece.n(g, 0) == piece.groups[g].first);
}
