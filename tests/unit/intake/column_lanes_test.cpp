// Rows of numbers whose columns keep their decimals: every way to read them against the spelling of each
// cell.
#include "intake/column_lanes.hpp"
#include "intake/number_lanes.hpp"

#include <catch2/catch.hpp>

#include <fmt/format.h>
#include <optional>
#include <random>
#include <string>
#include <vector>

using namespace thresh;
using intake::ColumnLanes;

namespace {

// The cell that a text is when `decimals` are expected; nothing where it must be left to others.
std::optional<Cell> cell_of(const std::string& text, unsigned decimals) {
    if (text.empty())
        return Cell();
    const std::size_t mark = decimals == 0 ? text.size() : text.size() - decimals - 1;
    if (text.size() > 8 || text.size() <= decimals)
        return {};
    std::int32_t digits = 0;
    for (std::size_t i = 0; i < text.size(); ++i) {
        if (i == mark ? text[i] != '.' : text[i] < '0' || text[i] > '9')
            return {};
        if (i != mark)
            digits = digits * 10 + (text[i] - '0');
    }
    return Cell::decimal(digits, decimals);
}

class Season {
  public:
    Season(std::size_t columns, std::size_t apart) : decimals_(columns), random_(3) {
        for (std::size_t c = 0; c < columns; ++c) {
            positions.push_back(static_cast<std::uint32_t>(1 + c * apart));
            decimals_[c] = static_cast<unsigned>(random_() % 5);
        }
    }
    // A row; one in so many cells is spelled unlike its column.
    void write(unsigned odd_one_in) {
        cells.clear();
        const std::size_t width = positions.back() + 2;
        std::vector<std::string> texts(width, "text");
        for (std::size_t c = 0; c < positions.size(); ++c) {
            std::string& text = texts[positions[c]];
            text = random_() % 6 == 0
                       ? ""
                       : fmt::format("{:.{}f}", static_cast<double>(random_() % 70000) / 700, decimals_[c]);
            if (random_() % odd_one_in == 0)
                text = odd(text);
            cells.push_back(cell_of(text, decimals_[c]));
        }
        line = std::string(16, 'x') + "\n";
        ends = {static_cast<std::uint32_t>(line.size() - 1)};
        for (const std::string& text : texts) {
            line += text;
            ends.push_back(static_cast<std::uint32_t>(line.size()));
            line += ',';
        }
    }

    std::vector<std::uint32_t> positions, ends; // before the first cell stands where the row starts
    std::vector<std::optional<Cell>> cells;     // expected
    std::string line;

  private:
    std::string odd(const std::string& text) {
        switch (random_() % 8) {
        case 0:
            return "-" + text;
        case 1:
            return text + "0";
        case 2:
            return "1234567" + text;
        case 3:
            return text.substr(text.size() / 2);
        case 4:
            return "." + text;
        case 5:
            return text.empty() ? "?" : text.substr(0, text.size() - 1) + "e";
        case 6:
            return "NA";
        default:
            return " " + text;
        }
    }
    std::vector<unsigned> decimals_;
    std::mt19937 random_;
};

} // namespace

TEST_CASE("numbers whose columns keep their decimals are read, all other spellings are left") {
    if (!intake::has_number_lanes())
        return;
    for (const std::size_t columns : {8U, 9U, 16U, 22U})
        for (const std::size_t apart : {1U, 2U}) {
            Season season(columns, apart);
            ColumnLanes lanes(season.positions, '.');
            int read = 0, left = 0;
            for (int row = 0; row < 3000; ++row) {
                season.write(row < 300 ? 1000000 : 150);
                std::vector<Cell> cells(columns);
                bool filled = false;
                const bool known =
                    std::all_of(season.cells.begin(), season.cells.end(), [](const auto& c) { return c; });
                const bool got = lanes.read(season.line.data(), season.ends.data() + 1, cells.data(), filled);
                if (row < 300) { // by then every column has been met
                    for (std::size_t c = 0; c < columns; ++c)
                        cells[c] = *season.cells[c];
                    lanes.expect(cells);
                    continue;
                }
                INFO(columns << " columns: " << season.line);
                REQUIRE(got == known);
                ++(got ? read : left);
                for (std::size_t c = 0; got && c < columns; ++c)
                    CHECK(cells[c] == *season.cells[c]);
                if (got)
                    CHECK(filled ==
                          std::any_of(cells.begin(), cells.end(), [](Cell c) { return !c.is_missing(); }));
            }
            CHECK(read > 500);
            CHECK(left > 50);
        }
}
