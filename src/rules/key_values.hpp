// The values of all readings by which repeats, outliers and drift are judged, decoded once for these rules
// and laid out sample by sample: readings of one sample lie far apart in the files, and going there is what
// costs time.
#pragma once

#include <thresh/batch/batch.hpp>
#include <thresh/rules/judge.hpp>
#include <thresh/rules/ruleset.hpp>

#include <cstdint>
#include <cstring>
#include <memory>
#include <span>
#include <vector>

namespace thresh::rules {

// By place in Batch::sample_rows.
class KeyValues {
  public:
    KeyValues(const batch::Batch& batch, const Ruleset& rules, const Judgement& so_far);

    // kNoMaterial for readings that are not to be compared: excluded ones, and those of no known material.
    std::uint8_t material(std::size_t place) const { return head(place).material; }
    // As in Batch::session.
    std::uint32_t session(std::size_t place) const { return head(place).session; }
    // One value for each key constituent of the reading's material, in the order of Material::key: shares of
    // the sample on dry basis, everything else (moisture too) as read. NaN when absent, of another share than
    // in results, marked to be excluded, or its moisture is absent; NaN too behind the last of them.
    std::span<const double> of(std::size_t place) const { return {records_ + place * stride() + 1, width_}; }

    std::size_t width() const { return width_; } // most key constituents of any material

    // Takes the material from readings that are not usable any more, and gives it back to those that are
    // again: what would have replaced them turned out unsound itself.
    void follow(const batch::Batch& batch, const std::vector<Verdict>& verdict, unsigned threads);

  private:
    // What goes before the values of a place, in the room of one: whoever looks at one needs the other.
    struct Head {
        std::uint32_t session;
        std::uint8_t material;
    };
    static_assert(sizeof(Head) == sizeof(double));

    std::size_t stride() const { return width_ + 1; }
    Head head(std::size_t place) const {
        Head head;
        std::memcpy(&head, records_ + place * stride(), sizeof head);
        return head;
    }
    void set_head(std::size_t place, Head head) {
        std::memcpy(records_ + place * stride(), &head, sizeof head);
    }
    void fill(const batch::Batch& batch, const Ruleset& rules, const Judgement& so_far,
              const std::uint32_t* place_of, std::size_t block, std::size_t first, std::size_t last);

    std::size_t width_ = 0;
    // Not cleared beforehand: the threads that fill it are the first to touch its memory.
    std::unique_ptr<double[]> memory_;
    double* records_ = nullptr;    // in memory_, from the beginning of a cache line on
    std::vector<Verdict> verdict_; // by row, as the materials have them
};

} // namespace thresh::rules
