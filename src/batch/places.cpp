// Samples are gone through in pieces side by side; the texts that each piece met become numbers in bytewise
// order. Then two counting sorts bring the samples line by line, unless their IDs have done so already.
#include "batch/places.hpp"

#include <algorithm>
#include <numeric>
#include <thresh/core/parallel.hpp>
#include <tuple>

namespace thresh::batch {

namespace {

constexpr auto kTrial = static_cast<std::size_t>(PlaceField::trial);
constexpr auto kLine = static_cast<std::size_t>(PlaceField::line);

PlaceTexts listed_place(const SampleList& list, std::uint32_t entry) {
    const std::string_view line = list.text(entry, ListText::line);
    return {list.text(entry, ListText::trial),       line.empty() ? list.text(entry, ListText::sample) : line,
            list.text(entry, ListText::environment), list.text(entry, ListText::rep),
            list.text(entry, ListText::block),       list.text(entry, ListText::plot),
            list.text(entry, ListText::year)};
}

// Interns texts that mostly are the same as the one before: samples come in bytewise order.
class RunPool {
  public:
    TextId intern(std::string_view text) {
        if (last_ == kNoText || text != pool_[last_])
            last_ = pool_.intern(text);
        return last_;
    }
    TextPool& pool() { return pool_; }

  private:
    TextPool pool_;
    TextId last_ = kNoText;
};

// Samples of one piece; trials and lines are numbers of its own pools.
struct Piece {
    std::vector<Placed> placed;
    RunPool trials, lines;
};

Piece find_some(const Batch& batch, const IdPattern* pattern, std::uint32_t begin, std::uint32_t end) {
    Piece piece;
    piece.placed.reserve(end - begin);
    for (std::uint32_t s = begin; s < end; ++s) {
        const Sample& sample = batch.samples[s];
        const bool has_place = batch.list.given() ? sample.entry != kNone && sample.original == kNone
                                                  : !batch.rows_of(s).empty();
        if (!has_place)
            continue;
        const PlaceTexts texts = place_of(batch, pattern, s);
        piece.placed.push_back({s, piece.trials.intern(texts[kTrial]), piece.lines.intern(texts[kLine])});
    }
    return piece;
}

// Stable counting sort by one of the ranks.
void sort_by(std::vector<Placed>& placed, std::uint32_t Placed::*rank, std::size_t ranks) {
    std::vector<std::uint32_t> begin(ranks + 1, 0);
    for (const Placed& p : placed)
        ++begin[p.*rank + 1];
    std::partial_sum(begin.begin(), begin.end(), begin.begin());
    std::vector<Placed> sorted(placed.size());
    for (const Placed& p : placed)
        sorted[begin[p.*rank]++] = p;
    placed = std::move(sorted);
}

// Ranks of the texts of one kind over all pieces, by piece and number; returns how many there are.
std::size_t rank(std::vector<Piece>& pieces, RunPool Piece::*kind, unsigned threads,
                 std::vector<std::vector<TextId>>& ranks) {
    std::vector<const TextPool*> pools;
    for (Piece& piece : pieces)
        pools.push_back(&(piece.*kind).pool());
    return TextPool::merge(pools, threads, ranks).size();
}

} // namespace

PlaceTexts place_of(const Batch& batch, const IdPattern* pattern, std::uint32_t sample) {
    if (batch.list.given())
        return listed_place(batch.list, batch.samples[sample].entry);
    if (const auto match = pattern ? pattern->match(batch.samples[sample].id) : std::nullopt)
        return *match;
    PlaceTexts texts;
    texts[kLine] = batch.samples[sample].id;
    return texts;
}

std::vector<Placed> find_places(const Batch& batch, const IdPattern* pattern, unsigned threads) {
    constexpr std::size_t kPiece = 16384;
    const std::size_t samples = batch.samples.size();
    std::vector<Piece> pieces((samples + kPiece - 1) / kPiece);
    parallel_for(pieces.size(), threads, [&](std::size_t p) {
        pieces[p] = find_some(batch, pattern, static_cast<std::uint32_t>(p * kPiece),
                              static_cast<std::uint32_t>(std::min(samples, (p + 1) * kPiece)));
    });
    std::vector<std::vector<TextId>> trial_ranks, line_ranks;
    const std::size_t trials = rank(pieces, &Piece::trials, threads, trial_ranks);
    const std::size_t lines = rank(pieces, &Piece::lines, threads, line_ranks);
    std::vector<Placed> placed;
    placed.reserve(samples);
    for (std::size_t p = 0; p < pieces.size(); ++p)
        for (const Placed& one : pieces[p].placed)
            placed.push_back({one.sample, trial_ranks[p][one.trial], line_ranks[p][one.line]});
    const auto by_line = [](const Placed& a, const Placed& b) {
        return std::tie(a.trial, a.line) < std::tie(b.trial, b.line);
    };
    if (!std::is_sorted(placed.begin(), placed.end(), by_line)) {
        sort_by(placed, &Placed::line, lines);
        sort_by(placed, &Placed::trial, trials);
    }
    return placed;
}

} // namespace thresh::batch
