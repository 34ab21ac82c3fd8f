// Makes an invented season for measuring speed: ROWS readings of 27 columns (22 of them numbers), about four
// readings a sample, 3 % empty cells, every thousandth reading exported twice. Same arguments, same bytes.
//   make_season ROWS LINES > season.csv         samples in random order over two instruments: the hardest
//   case make_season ROWS LINES field > season.csv   as people work: each sample read twice in a row, plot by
//   plot
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
    {"Moisture (%)", 6.5, 0.5, 2},          {"Protein (% as is)", 35.5, 1.6, 2},
    {"Oil (% as is)", 18.5, 0.9, 2},        {"Fiber (% as is)", 4.7, 0.3, 2},
    {"Ash (% as is)", 4.6, 0.2, 2},         {"Sucrose (% as is)", 4.9, 0.7, 2},
    {"Raffinose (% as is)", 0.75, 0.12, 3}, {"Stachyose (% as is)", 3.2, 0.4, 2},
    {"Palmitic (% of oil)", 10.7, 0.5, 2},  {"Stearic (% of oil)", 3.9, 0.3, 2},
    {"Oleic (% of oil)", 22.5, 1.2, 2},     {"Linoleic (% of oil)", 53.5, 1.2, 2},
    {"Linolenic (% of oil)", 7.8, 0.5, 2},  {"Lysine (% as is)", 2.3, 0.08, 3},
    {"Methionine (% as is)", 0.5, 0.02, 3}, {"Cysteine (% as is)", 0.55, 0.03, 3},
    {"Threonine (% as is)", 1.4, 0.06, 3},  {"Tryptophan (% as is)", 0.47, 0.03, 3},
    {"Arginine (% as is)", 2.6, 0.15, 3},   {"Leucine (% as is)", 2.7, 0.1, 3},
    {"Calibration distance", 1.2, 0.4, 3},  {"Neighbor distance", 0.4, 0.1, 3},
};

struct Place {
    std::uint64_t line, plot, bench;
};

// Rows 2 apart share an instrument and perhaps a second, but never a sample.
Place random_place(std::uint64_t row, std::uint64_t lines) {
    const std::uint64_t line = next() % lines;
    return {line, next() % 24 * 2 + row / 2 % 2, row % 2};
}
// Twelve thousand samples on one instrument, then as many on the other.
Place field_place(std::uint64_t row, std::uint64_t lines) {
    const std::uint64_t sample = row / 2;
    return {sample % lines, sample / lines % 48, sample / 12000 % 2};
}

} // namespace

int main(int argc, char** argv) {
    if (argc != 3 && !(argc == 4 && std::string(argv[3]) == "field"))
        return 2;
    const std::uint64_t rows = argument(argv[1]), lines = argument(argv[2]);
    std::string out = "Sample ID,Date time,Instrument,Operator,Analysis";
    for (const Number& n : kNumbers)
        out += std::string(",") + n.heading;
    out += '\n';
    char buffer[80];
    for (std::uint64_t i = 0; i < rows; ++i) {
        const Place place = argc == 4 ? field_place(i, lines) : random_place(i, lines);
        const std::uint64_t second =
            i * 3456000 / rows; // forty days: no ID is in use for longer than a season
        const std::size_t start = out.size();
        out.append(
            buffer,
            static_cast<std::size_t>(std::snprintf(
                buffer, sizeof buffer,
                "T%02u-L%05u-%02u,2026-%02u-%02u %02u:%02u:%02u,Bench %c,%s,Soybean whole",
                static_cast<unsigned>(place.line % 40), static_cast<unsigned>(place.line),
                static_cast<unsigned>(place.plot), static_cast<unsigned>(8 + second / 86400 / 28 % 5),
                static_cast<unsigned>(1 + second / 86400 % 28), static_cast<unsigned>(second / 3600 % 24),
                static_cast<unsigned>(second / 60 % 60), static_cast<unsigned>(second % 60),
                'A' + static_cast<int>(place.bench), i % 3 == 0 ? "AB" : "CD")));
        for (const Number& n : kNumbers) {
            out += ',';
            if (uniform() < 0.03)
                continue;
            out.append(buffer, static_cast<std::size_t>(std::snprintf(buffer, sizeof buffer, "%.*f",
                                                                      n.decimals, about(n.mean, n.spread))));
        }
        out += '\n';
        if (i % 1000 == 999)
            out += std::string(out, start); // exported twice
        if (out.size() > (1 << 20)) {
            std::fwrite(out.data(), 1, out.size(), stdout);
            out.clear();
        }
    }
    std::fwrite(out.data(), 1, out.size(), stdout);
    return 0;
}
