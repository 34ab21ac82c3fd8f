// The shortest encoding is found from the end: for each place in the text and each code set, how few symbol
// characters the rest needs, and by which step. Ties go to staying in a set, then to B, C, A, so that the
// choice is always the same. The table of bars is written from memory of ISO/IEC 15417 table 1; an
// independent decoder reads every one of its characters back (tests/interop/barcodes).
#include "plot/code128.hpp"

#include <array>
#include <cassert>
#include <fmt/format.h>
#include <limits>
#include <thresh/plot/barcode.hpp>

namespace thresh::plot {

namespace {

constexpr std::size_t kLongest = 80; // characters

constexpr std::array<std::string_view, 107> kBars = {
    "212222", "222122", "222221", "121223", "121322", "131222", "122213", "122312", "132212", "221213",
    "221312", "231212", "112232", "122132", "122231", "113222", "123122", "123221", "223211", "221132",
    "221231", "213212", "223112", "312131", "311222", "321122", "321221", "312212", "322112", "322211",
    "212123", "212321", "232121", "111323", "131123", "131321", "112313", "132113", "132311", "211313",
    "231113", "231311", "112133", "112331", "132131", "113123", "113321", "133121", "313121", "211331",
    "231131", "213113", "213311", "213131", "311123", "311321", "331121", "312113", "312311", "332111",
    "314111", "221411", "431111", "111224", "111422", "121124", "121421", "141122", "141221", "112214",
    "112412", "122114", "122411", "142112", "142211", "241211", "221114", "413111", "241112", "134111",
    "111242", "121142", "121241", "114212", "124112", "124211", "411212", "421112", "421211", "212141",
    "214121", "412121", "111143", "111341", "131141", "114113", "114311", "411113", "411311", "113141",
    "114131", "311141", "411131", "211412", "211214", "211232", "2331112"};

enum Set : std::uint8_t { set_b, set_c, set_a }; // in the order in which ties are settled
constexpr std::array<Set, 3> kSets = {set_b, set_c, set_a};
constexpr std::array<int, 3> kStart = {104, 105, 103}; // by set
constexpr std::array<int, 3> kSwitch = {100, 99, 101}; // to the set
constexpr int kShift = 98, kStop = 106;

bool digit(char c) {
    return c >= '0' && c <= '9';
}

bool in_set(Set set, char c) {
    return set == set_a ? c < 96 : set == set_b && c >= 32;
}

int value_in(Set set, char c) {
    return set == set_a && c < 32 ? c + 64 : c - 32;
}

// How the rest of a text is begun in a set.
enum class Step : std::uint8_t { none, one, pair, shifted };

struct Plan {
    static constexpr int kNever = std::numeric_limits<int>::max() / 2;
    struct State {
        int encode = kNever; // symbols for the rest when the next one is data of this set
        int cost = kNever;   // the same when the set may be left first
        Step step = Step::none;
        Set next = set_b; // set to encode in: another one after a switch
    };
    std::vector<std::array<State, 3>> at; // by place, then set

    explicit Plan(std::string_view text) : at(text.size() + 1) {
        for (State& state : at.back())
            state.cost = 0;
        for (std::size_t i = text.size(); i-- > 0;) {
            for (const Set set : kSets)
                at[i][set].encode = cheapest(text, i, set, at[i][set].step);
            for (const Set set : kSets) {
                at[i][set].cost = at[i][set].encode;
                at[i][set].next = set;
                for (const Set other : kSets)
                    if (at[i][other].encode + 1 < at[i][set].cost) {
                        at[i][set].cost = at[i][other].encode + 1;
                        at[i][set].next = other;
                    }
            }
        }
    }

    int cheapest(std::string_view text, std::size_t i, Set set, Step& step) const {
        if (set == set_c) {
            if (i + 1 >= text.size() || !digit(text[i]) || !digit(text[i + 1]))
                return kNever;
            step = Step::pair;
            return 1 + at[i + 2][set].cost;
        }
        const bool own = in_set(set, text[i]);
        step = own ? Step::one : Step::shifted;
        return (own ? 1 : 2) + at[i + 1][set].cost;
    }
};

} // namespace

int check_symbol(std::span<const int> symbols) {
    assert(!symbols.empty());
    long sum = symbols[0];
    for (std::size_t i = 1; i < symbols.size(); ++i)
        sum += static_cast<long>(i) * symbols[i];
    return static_cast<int>(sum % 103);
}

std::string_view bar_widths(int symbol) {
    return kBars.at(static_cast<std::size_t>(symbol));
}

Result<std::vector<int>> code128_symbols(std::string_view text) {
    if (text.empty())
        return fail("an empty text has no bar code", "give the sample an ID");
    if (text.size() > kLongest)
        return fail(
            fmt::format("{} characters are too many for one bar code (at most {})", text.size(), kLongest),
            "use a shorter sample ID");
    for (std::size_t i = 0; i < text.size(); ++i)
        if (static_cast<unsigned char>(text[i]) > 127)
            return fail(
                fmt::format("byte {} of the text is not ASCII, which is all that Code 128 holds", i + 1),
                "use an ID of unaccented Latin letters, digits and signs for bar codes");
    const Plan plan(text);
    Set set = set_b;
    for (const Set other : kSets)
        if (plan.at[0][other].encode < plan.at[0][set].encode)
            set = other;
    std::vector<int> symbols = {kStart[set]};
    for (std::size_t i = 0; i < text.size();) {
        const Set next = plan.at[i][set].next;
        if (next != set)
            symbols.push_back(kSwitch[next]);
        set = next;
        switch (plan.at[i][set].step) {
        case Step::pair:
            symbols.push_back((text[i] - '0') * 10 + (text[i + 1] - '0'));
            i += 2;
            continue;
        case Step::shifted:
            symbols.push_back(kShift);
            symbols.push_back(value_in(set == set_a ? set_b : set_a, text[i]));
            break;
        case Step::one:
        case Step::none:
            symbols.push_back(value_in(set, text[i]));
            break;
        }
        ++i;
    }
    symbols.push_back(check_symbol(symbols));
    symbols.push_back(kStop);
    return symbols;
}

} // namespace thresh::plot
