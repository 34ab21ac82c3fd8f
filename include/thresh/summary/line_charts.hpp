// What of a table of lines is worth a picture: the best lines with their uncertainty, and two constituents
// against each other. Numbers only; who draws them decides how.
#pragma once

#include <thresh/summary/tables.hpp>

#include <optional>
#include <string>
#include <vector>

namespace thresh::summary {

// Of one material.
struct LineChart {
    std::string material, basis; // basis of the parts of the sample, as in `lines`
    std::string ranked, other;   // columns of `lines`; `other` may be empty
    bool adjusted = false;       // `best` are adjusted means: of `--trial-model`, where two lines have one
    struct Ranked {
        std::string line; // with its trial before it where another trial has a line of that name
        double mean = 0;
        std::optional<double> se, low, high; // mean less and plus its SE; nothing where n is 1
    };
    std::vector<Ranked> best;  // largest first, equal ones in the order of `lines`; at most `kMostRanked`
    std::size_t lines = 0;     // with such a mean
    std::size_t not_drawn = 0; // with a mean and no adjusted one
    struct Pair {
        std::string line;
        double ranked = 0, other = 0;
    };
    std::vector<Pair> pairs; // in the order of `lines`; at most `kMostPairs`

    static constexpr std::size_t kMostRanked = 20, kMostPairs = 2000;
};

// One for each material of which two lines or more have a number, those with most lines first, at most
// `kMostMaterials`. `ranked` and `other` are the first key constituents of the rules but moisture; where the
// rules name none, the first of the table. Provisional means are left out.
// `lines`: a table made by `lines_table`, wide.
std::vector<LineChart> line_charts(const Season& season, const Table& lines);

inline constexpr std::size_t kMostMaterials = 4;

} // namespace thresh::summary
