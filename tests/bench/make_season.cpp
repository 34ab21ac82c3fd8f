// Makes an invented season for measuring speed: ROWS readings of 27 columns (22 of them numbers) with lines
// in random order, about four readings a sample, 3 % empty cells. Same arguments, same bytes.
//   make_season ROWS LINES > season.csv
#include <charconv>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <string>

namespace {

std::uint64_t state = 20260803;

std::uint64_t next() { // SplitMix64
    state += 0x9e3779b97f4a7c15ULL;
    std::uint64_t z = state;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9ULL;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebULL;
    return z ^ (z >> 31);
}

double uniform() {
    return static_cast<double>(next() >> 11) * 0x1.0p-53;
}
double about(double mean, double spread) { // nearly normal, bounded
    return mean + spread * (uniform() + uniform() + uniform() + uniform() - 2) * 1.7;
}

std::uint64_t argument(const char* text) {
    std::uint64_t value = 0;
    std::from_chars(text, text + std::string(text).size(), value);
    return value;
}

struct Number {
    const char* heading;
    double mean, spread;
    int decimals;
};
constexpr Number kNumbers[] = {
    {"Moisture (%)", 6.5, 0.5, 2},         {"Protein 13% mb", 35.5, 1.6, 2},
    {"Oil 13% mb", 18.5, 0.9, 2},          {"Fiber 13% mb", 4.7, 0.3, 2},
    {"Ash 13% mb", 4.6, 0.2, 2},           {"Sucrose 13% mb", 4.9, 0.7, 2},
    {"Raffinose 13% mb", 0.75, 0.12, 3},   {"Stachyose 13% mb", 3.2, 0.4, 2},
    {"Palmitic (% of oil)", 10.7, 0.5, 2}, {"Stearic (% of oil)", 3.9, 0.3, 2},
    {"Oleic (% of oil)", 22.5, 1.2, 2},    {"Linoleic (% of oil)", 53.5, 1.2, 2},
    {"Linolenic (% of oil)", 7.8, 0.5, 2}, {"Lysine 13% mb", 2.3, 0.08, 3},
    {"Methionine 13% mb", 0.5, 0.02, 3},   {"Cysteine 13% mb", 0.55, 0.03, 3},
    {"Threonine 13% mb", 1.4, 0.06, 3},    {"Tryptophan 13% mb", 0.47, 0.03, 3},
    {"Arginine 13% mb", 2.6, 0.15, 3},     {"Leucine 13% mb", 2.7, 0.1, 3},
    {"Calibration distance", 1.2, 0.4, 3}, {"Neighbor distance", 0.4, 0.1, 3},
};

} // namespace

int main(int argc, char** argv) {
    if (argc != 3)
        return 2;
    const std::uint64_t rows = argument(argv[1]), lines = argument(argv[2]);
    std::string out = "Sample ID,Date time,Instrument,Operator,Analysis";
    for (const Number& n : kNumbers)
        out += std::string(",") + n.heading;
    out += '\n';
    char buffer[64];
    for (std::uint64_t i = 0; i < rows; ++i) {
        const std::uint64_t line = next() % lines;
        const std::uint64_t plot = next() % 48;
        const std::uint64_t minute = i * 57600 / rows; // forty days: no ID is in use for longer than a season
        out.append(buffer,
                   static_cast<std::size_t>(std::snprintf(
                       buffer, sizeof buffer,
                       "T%02u-L%05u-%02u,20%02u-%02u-%02u %02u:%02u:%02u,Bench %c,%s,Soybean whole",
                       static_cast<unsigned>(line % 40), static_cast<unsigned>(line),
                       static_cast<unsigned>(plot), static_cast<unsigned>(10 + minute / 1440 / 336 % 80),
                       static_cast<unsigned>(1 + minute / 1440 / 28 % 12),
                       static_cast<unsigned>(1 + minute / 1440 % 28), static_cast<unsigned>(minute / 60 % 24),
                       static_cast<unsigned>(minute % 60), static_cast<unsigned>(i % 2 * 30),
                       'A' + static_cast<int>(i % 2), i % 3 == 0 ? "AB" : "CD")));
        for (const Number& n : kNumbers) {
            out += ',';
            if (uniform() < 0.03)
                continue;
            out.append(buffer, static_cast<std::size_t>(std::snprintf(buffer, sizeof buffer, "%.*f",
                                                                      n.decimals, about(n.mean, n.spread))));
        }
        out += '\n';
        if (out.size() > (1 << 20)) {
            std::fwrite(out.data(), 1, out.size(), stdout);
            out.clear();
        }
    }
    std::fwrite(out.data(), 1, out.size(), stdout);
    return 0;
}
