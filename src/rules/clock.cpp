// clock-set-back, instrument-shared: what times tell about the instruments themselves. Both are told and
// nothing is moved: which reading came first is then uncertain, and who read what.
#include "rules/limits.hpp"

#include <algorithm>
#include <map>
#include <thresh/core/parallel.hpp>

namespace thresh::rules {

namespace {

constexpr unsigned kSetBack = 0, kShared = 1;
// Clocks are also corrected by a few seconds; that disturbs no order.
constexpr std::int64_t kLeastStep = 60;
// A longer step to before all readings is an export that was joined from several, the newest first.
constexpr std::int64_t kMostStep = 2 * 3600;
// Clocks are set back now and then; times that do so all the time were never in order.
constexpr std::size_t kMostSteps = 2;
constexpr std::size_t kFewestAround = 5; // readings before and after a step
// An instrument needs 30 to 90 s for a reading (common practice); two within this time are two instruments'.
constexpr std::int64_t kReadingSeconds = 10;
constexpr std::size_t kFewestAtOnce = 5;

constexpr Declaration kDeclared[] = {
    {"clock-set-back", Severity::review, About::file, Phase::session, Action::check_instrument,
     "the times of an instrument step back within an export",
     "its clock was set back (end of summer time, an empty battery): the order of readings around the step "
     "is "
     "uncertain, and with it which control and standard stands for which sample",
     "set the clock; look at the readings around the step; correct their times in the export where you know "
     "them",
     "a step back by a minute or more, by up to two hours or into times that the export holds already, in an "
     "export that otherwise runs in order of time"},
    {"instrument-shared", Severity::review, About::file, Phase::session, Action::check_instrument,
     "two instruments seem to bear one name",
     "their controls, standards and sessions are mixed: drift of one is hidden or blamed on the other",
     "give each instrument its own name in its settings, and correct the exports",
     "at least 5 readings of two exports less than 10 s apart under one name; a reading takes 30 to 90 s "
     "(common practice)"},
};

class Clock final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }
    bool has_texts() const override { return true; }

    void check_batch(const Evidence& evidence, Sink& sink) const override {
        check_steps(evidence, sink);
        check_names(evidence, sink);
    }

    FindingText describe(unsigned, const Finding& finding, const Evidence& evidence) const override {
        FindingText text;
        text.message = evidence.so_far.details[finding.detail];
        return text;
    }

  private:
    static std::string_view name_of(const Evidence& evidence, TextId instrument) {
        return instrument == kNoText ? std::string_view("unnamed")
                                     : evidence.batch.readings.pool(TextField::instrument)[instrument];
    }

    // One instrument in one file, in the file's own order.
    struct Course {
        std::size_t readings = 0;
        Time first, last; // first of the stretch since the export jumped back to other days
        struct Step {
            RowId row;
            Time from, to;
            std::size_t before; // readings up to the step, it included
        };
        std::vector<Step> steps; // back into times held already
        std::size_t jumps = 0;   // back to before all of them
    };

    // Readings of one instrument in one block.
    struct Stretch {
        TextId on;
        std::size_t readings;
        RowId row; // the first
        Time first, last;
        bool steps_back; // somewhere between
    };

    // Calls look(instrument, row, time) for the readings of a block that have a time.
    template <typename Look>
    static void for_timed(const batch::Batch& batch, const Block& block, const Look& look) {
        for (std::size_t r = 0; r < block.rows; ++r) {
            const auto row = static_cast<RowId>(block.first + r);
            const Time time = block.time[r];
            if (!time.missing() && batch.kind[row] != Kind::repeated)
                look(block.text_of(TextField::instrument, r), row, time);
        }
    }

    // Instruments of a file take turns from reading to reading.
    static std::vector<Stretch> stretches_of(const batch::Batch& batch, const Block& block) {
        std::vector<Stretch> stretches;
        if (block.time.empty())
            return stretches;
        const std::size_t instruments = batch.readings.pool(TextField::instrument).size();
        std::vector<std::uint32_t> place(instruments + 1, kNone); // one more for those without
        for_timed(batch, block, [&](TextId on, RowId row, Time time) {
            std::uint32_t& at = place[on == kNoText ? instruments : on];
            if (at == kNone) {
                at = static_cast<std::uint32_t>(stretches.size());
                stretches.push_back({on, 1, row, time, time, false});
                return;
            }
            Stretch& stretch = stretches[at];
            ++stretch.readings;
            stretch.steps_back |= stretch.last.seconds() - time.seconds() >= kLeastStep;
            stretch.last = time;
        });
        return stretches;
    }

    // The next reading of a course.
    static void take(Course& course, RowId row, Time time) {
        ++course.readings;
        const std::int64_t back = course.last.missing() ? 0 : course.last.seconds() - time.seconds();
        if (back >= kLeastStep) {
            if (time < course.first && back > kMostStep) {
                ++course.jumps;
                course.first = time;
            } else {
                course.steps.push_back({row, course.last, time, course.readings});
            }
        } else if (course.last.missing()) {
            course.first = time;
        }
        course.last = time;
    }

    static void check_steps(const Evidence& evidence, Sink& sink) {
        const batch::Batch& batch = evidence.batch;
        const std::vector<Block>& blocks = batch.readings.blocks;
        // Blocks are looked at side by side; reading by reading only those in which a clock may step back.
        std::vector<std::vector<Stretch>> stretches(blocks.size());
        parallel_for(blocks.size(), evidence.rules.batch.threads,
                     [&](std::size_t b) { stretches[b] = stretches_of(batch, blocks[b]); });
        std::map<std::pair<std::uint32_t, TextId>, Course> courses;
        for (std::size_t b = 0; b < blocks.size(); ++b) {
            for (const Stretch& stretch : stretches[b]) {
                Course& course = courses[{blocks[b].file, stretch.on}];
                if (stretch.steps_back) {
                    for_timed(batch, blocks[b], [&](TextId on, RowId row, Time time) {
                        if (on == stretch.on)
                            take(course, row, time);
                    });
                    continue;
                }
                take(course, stretch.row, stretch.first);
                course.readings += stretch.readings - 1;
                course.last = stretch.last;
            }
        }
        for (const auto& [place, course] : courses) {
            // An export in another order than that of time says nothing about the clock.
            if (course.steps.empty() || course.steps.size() + course.jumps > kMostSteps ||
                course.readings < 10 * course.steps.size())
                continue;
            for (const Course::Step& step : course.steps) {
                // A few rows that were put at the end or the beginning are no clock's doing.
                if (std::min(step.before, course.readings - step.before) < kFewestAround)
                    continue;
                sink.subject(kSetBack, About::file, place.first, step.row, kNoConstituent, {},
                             sink.keep(fmt::format(
                                 "the times of {} step back from {} to {}: its clock was set back, and the "
                                 "order of readings between the two is uncertain",
                                 name_of(evidence, place.second), to_text(step.from), to_text(step.to))));
            }
        }
    }

    static void check_names(const Evidence& evidence, Sink& sink) {
        const batch::Batch& batch = evidence.batch;
        const auto& blocks = batch.readings.blocks;
        if (std::all_of(blocks.begin(), blocks.end(),
                        [&](const Block& block) { return block.file == blocks.front().file; }))
            return;
        for (const batch::Session& session : batch.sessions) {
            if (session.rows.empty() || session.instrument == kNoText ||
                session.start.precision() != Time::Precision::second)
                continue;
            std::map<std::pair<std::uint32_t, std::uint32_t>, std::pair<std::size_t, RowId>> at_once;
            const Block* here = &batch.block_of(session.rows.front()); // of the row before
            for (std::size_t i = 1; i < session.rows.size(); ++i) {
                const RowId row = session.rows[i], before = session.rows[i - 1];
                if (row >= here->first && row - here->first < here->rows)
                    continue; // of the same file, as nearly all are
                const Block& other = *here;
                const Block& block = *(here = &batch.block_of(row));
                if (block.file == other.file || batch.sample[row] == batch.sample[before])
                    continue;
                const Time time = block.time_of(row - block.first),
                           time_before = other.time_of(before - other.first);
                if (time.precision() != Time::Precision::second ||
                    time_before.precision() != Time::Precision::second ||
                    time.seconds() - time_before.seconds() >= kReadingSeconds)
                    continue;
                auto& [count, first] = at_once[std::minmax(block.file, other.file)];
                first = count++ == 0 ? row : first;
            }
            for (const auto& [files, seen] : at_once)
                if (seen.first >= kFewestAtOnce)
                    sink.subject(
                        kShared, About::file, batch.block_of(seen.second).file, seen.second, kNoConstituent,
                        {},
                        sink.keep(fmt::format("{} readings of `{}` and `{}` under the name {} lie less than "
                                              "{} s apart: two instruments seem to bear one name",
                                              seen.first, batch.readings.files[files.first].source,
                                              batch.readings.files[files.second].source,
                                              name_of(evidence, session.instrument), kReadingSeconds)));
        }
    }
};

} // namespace

const Rule& rule_clock() {
    static const Clock rule;
    return rule;
}

} // namespace thresh::rules
