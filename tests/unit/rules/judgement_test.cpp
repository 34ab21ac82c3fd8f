#include <catch2/catch.hpp>

#include <map>
#include <random>
#include <thresh/rules/judge.hpp>

using namespace thresh;
using namespace thresh::rules;

TEST_CASE("marks are those of their row, wherever it stands") {
    std::mt19937 random(2);
    for (const std::size_t rows : {1U, 63U, 64U, 65U, 700U})
        for (const unsigned one_in : {1U, 3U, 40U}) {
            Judgement judgement;
            for (RowId row = 0; row < rows; ++row)
                if (random() % one_in == 0)
                    for (ConstituentId id = 0; id < 1 + random() % 3; ++id)
                        judgement.marks.push_back(
                            {row, id, random() % 2 == 0 ? Mark::exclude : Mark::review});
            judgement.index_marks(rows);
            for (RowId row = 0; row < rows; ++row) {
                std::vector<Judgement::ValueMark> wanted;
                for (const Judgement::ValueMark& mark : judgement.marks)
                    if (mark.row == row)
                        wanted.push_back(mark);
                const auto found = judgement.marks_of(row);
                REQUIRE(found.size() == wanted.size());
                CHECK(judgement.has_marks(row) == !wanted.empty());
                for (std::size_t i = 0; i < found.size(); ++i) {
                    CHECK((found[i].row == row && found[i].constituent == wanted[i].constituent));
                    CHECK(judgement.mark(row, wanted[i].constituent) == wanted[i].mark);
                }
            }
        }
}

TEST_CASE("marks and findings of a hundred thousand rows are those of their row, whatever the threads") {
    std::mt19937 random(3);
    for (const std::size_t rows : {65535U, 65536U, 65537U, 131072U, 200001U})
        for (const unsigned threads : {1U, 3U}) {
            Judgement judgement;
            std::vector<std::uint8_t> flags(rows, 0);
            std::map<RowId, std::size_t> first;
            for (RowId row = 0; row < rows; ++row) {
                if (random() % 5 != 0 && row + 1 != rows)
                    continue;
                first[row] = judgement.marks.size();
                for (ConstituentId id = 0; id < 1 + random() % 2; ++id) {
                    const Mark mark = random() % 2 == 0 ? Mark::exclude : Mark::review;
                    judgement.marks.push_back({row, id, mark});
                    flags[row] |= mark == Mark::exclude ? Judgement::kHasExclude : Judgement::kHasReview;
                }
            }
            for (RowId row = 0; row < rows; row += 1 + static_cast<RowId>(random() % 9)) {
                Finding finding;
                finding.about = random() % 2 == 0 ? About::reading : About::value;
                finding.row = row;
                judgement.findings.push_back(finding);
                flags[row] |= Judgement::kHasFinding;
            }
            judgement.row_flags.assign(9, 255); // of before
            judgement.index_marks(rows, threads);
            CHECK(judgement.row_flags == flags);
            std::size_t wrong = 0;
            for (RowId row = 0; row < rows; ++row) {
                const auto found = judgement.marks_of(row);
                const auto at = first.find(row);
                wrong += at == first.end()
                             ? !found.empty()
                             : found.data() != &judgement.marks[at->second] || found.back().row != row;
            }
            CHECK(wrong == 0);
        }
}

TEST_CASE("without marks no row has any") {
    Judgement judgement;
    judgement.index_marks(64);
    for (const RowId row : {0U, 1U, 63U})
        CHECK(judgement.marks_of(row).empty());
}
