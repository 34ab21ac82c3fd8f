// sample-unlisted, sample-unread: what was read against what the sample list promises.
#include "rules/limits.hpp"
#include "rules/nearest_ids.hpp"

#include <thresh/batch/materials.hpp>

namespace thresh::rules {

namespace {

constexpr unsigned kUnlisted = 0, kUnread = 1;
constexpr std::size_t kMostNamed = 3; // nearest listed IDs

constexpr Declaration kDeclared[] = {
    {"sample-unlisted", Severity::review, About::sample, Phase::repeats, Action::correct_id,
     "a sample was read that is not in the sample list",
     "it may be another sample with a mistyped ID, whose own reading is then missing; it has no row in "
     "`lines`",
     "correct the ID by `rename` in the decisions file, or add it to the sample list",
     "the sample list; IDs one typing error away are named, and characters that cannot be "
     "seen or look like others (handbooks of sample identification, common "
     "practice)"},
    {"sample-unread", Severity::note, About::sample, Phase::repeats, Action::find_sample,
     "a listed sample has no reading", "its line may have no number",
     "find the packet and read it, or take it off the list", "the sample list"},
};

class SampleListing final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }
    bool has_texts() const override { return true; }

    void check_batch(const Evidence& evidence, Sink& sink) const override {
        const batch::Batch& batch = evidence.batch;
        if (!batch.list.given())
            return;
        std::vector<std::string_view> listed, unlisted;
        for (std::uint32_t s = 0; s < batch.samples.size(); ++s) {
            const batch::Sample& sample = batch.samples[s];
            if (sample.entry != kNone)
                listed.push_back(sample.id);
            else if (!batch.rows_of(s).empty())
                unlisted.push_back(sample.id);
        }
        std::vector<std::vector<std::string_view>> near;
        if (!unlisted.empty())
            near = NearestIds(std::move(unlisted)).among(listed, kMostNamed, evidence.rules.batch.threads);
        std::vector<bool> unselected(batch.samples.size()); // read outside --from, --to or --material
        for (RowId row = 0; row < batch.kind.size(); ++row)
            if (batch.kind[row] == Kind::outside_selection && batch.sample[row] != kNone)
                unselected[batch.sample[row]] = true;
        std::size_t next = 0; // in `near`
        for (std::uint32_t s = 0; s < batch.samples.size(); ++s) {
            const batch::Sample& sample = batch.samples[s];
            const auto rows = batch.rows_of(s);
            if (sample.entry == kNone && !rows.empty())
                sink.subject(kUnlisted, About::sample, s, rows.front(), kNoConstituent, {},
                             sink.keep(join(near[next++])));
            if (sample.entry != kNone && rows.empty() && !unselected[s] &&
                batch::may_be_selected(evidence.rules.batch,
                                       batch.list.text(sample.entry, batch::ListText::material)))
                sink.subject(kUnread, About::sample, s);
        }
    }

    FindingText describe(unsigned which, const Finding& finding, const Evidence& evidence) const override {
        const batch::Sample& sample = evidence.batch.samples[finding.subject];
        FindingText text;
        if (which == kUnread) {
            text.message =
                fmt::format("`{}` is listed ({}:{}) but was not read", sample.id, evidence.batch.list.source,
                            evidence.batch.list.row_line(sample.entry));
            return text;
        }
        const std::string& near = evidence.so_far.details[finding.detail];
        text.message = fmt::format("`{}` is not in the sample list{}", sample.id,
                                   near.empty() ? "" : "; nearest listed: " + near);
        if (const std::string unseen = unseen_difference(sample.id, near); !near.empty() && !unseen.empty())
            text.message += fmt::format("; the one read has {}", unseen);
        else if (const std::string in_list = unseen_difference(near, sample.id); !in_list.empty())
            text.message += fmt::format("; the listed one has {}", in_list);
        return text;
    }

  private:
    static std::string join(const std::vector<std::string_view>& ids) {
        std::string text;
        for (const std::string_view id : ids)
            text += fmt::format("{}`{}`", text.empty() ? "" : ", ", id);
        return text;
    }
};

} // namespace

const Rule& rule_sample_listing() {
    static const SampleListing rule;
    return rule;
}

} // namespace thresh::rules
