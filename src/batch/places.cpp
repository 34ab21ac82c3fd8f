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
    // The text must live on.
    TextId intern(std::string_view text) {
        const bool same_bytes = text.data() == last_text_.data() && text.size() == last_text_.size();
        if (last_ == kNoText || (!same_bytes && text != last_text_))
            last_ = pool_.intern(text);
        last_text_ = text;
        return last_;
    }
    TextPool& pool() { return pool_; }

  private:
    TextPool pool_;
    std::string_view last_text_;
    TextId last_ = kNoText;
};

// Samples of one piece that have a place; trials and lines are numbers of its own pools.
struct Piece {
    std::size_t begin = 0, end = 0; // where they stand among the placed samples
    RunPool trials, lines;
};

// `piece.begin` and `piece.end`: all its samples, and then those that have a place.
void find_some(const Batch& batch, const IdPattern* pattern, Piece& piece, std::vector<Placed>& placed) {
    PlaceFinder finder(batch, pattern);
    std::size_t to = piece.begin;
    for (auto s = static_cast<std::uint32_t>(piece.begin); s < piece.end; ++s) {
        const Sample& sample = batch.samples[s];
        const bool has_place = batch.list.given() ? sample.entry != kNone && sample.original == kNone
                                                  : !batch.rows_of(s).empty();
        if (!has_place)
            continue;
        const PlaceTexts& texts = finder.place(s);
        placed[to++] = {s, piece.trials.intern(texts[kTrial]), piece.lines.intern(texts[kLine])};
    }
    piece.end = to;
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

const PlaceTexts& PlaceFinder::place(std::uint32_t sample) {
    if (batch_.list.given())
        return texts_ = listed_place(batch_.list, batch_.samples[sample].entry);
    if (const PlaceTexts* const match = matcher_ ? matcher_->match(batch_.samples[sample].id) : nullptr)
        return *match;
    texts_[kLine] = batch_.samples[sample].id;
    return texts_;
}

std::vector<Placed> find_places(const Batch& batch, const IdPattern* pattern, unsigned threads) {
    constexpr std::size_t kPiece = 16384;
    const std::size_t samples = batch.samples.size();
    std::vector<Placed> placed(samples);
    std::vector<Piece> pieces((samples + kPiece - 1) / kPiece);
    parallel_for(pieces.size(), threads, [&](std::size_t p) {
        pieces[p].begin = p * kPiece;
        pieces[p].end = std::min(samples, (p + 1) * kPiece);
        find_some(batch, pattern, pieces[p], placed);
    });
    std::vector<std::vector<TextId>> trial_ranks, line_ranks;
    const std::size_t trials = rank(pieces, &Piece::trials, threads, trial_ranks);
    const std::size_t lines = rank(pieces, &Piece::lines, threads, line_ranks);
    std::size_t to = 0; // those without a place leave gaps
    for (std::size_t p = 0; p < pieces.size(); ++p)
        for (std::size_t i = pieces[p].begin; i < pieces[p].end; ++i)
            placed[to++] = {placed[i].sample, trial_ranks[p][placed[i].trial], line_ranks[p][placed[i].line]};
    placed.resize(to);
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
