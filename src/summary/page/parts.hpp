// The parts of the season's page, one file each.
#pragma once

#include "summary/line_groups.hpp"
#include "summary/line_numbers.hpp"

#include <thresh/summary/season_page.hpp>

#include <map>
#include <string>
#include <vector>

namespace thresh::summary {

page::Quantity page_quantity(const SampleMeans& means, std::size_t slot, std::uint8_t material);
page::Quantity page_quantity(const Season& season, ConstituentId id, std::string basis);

std::vector<page::Session> page_sessions(const Season& season);
std::vector<page::Task> page_tasks(const Season& season);
// Fills in `groups` and `missing`. `models` may be null.
void add_page_lines(const Season& season, const SampleMeans& means, const LineGroups& groups,
                    const TrialModels* models, SeasonPage& page);
// Fills in `changes` and `adjusted_lines`.
void add_page_changes(const Season& season, const SampleMeans& means, const LineGroups& groups,
                      SeasonPage& page);
std::vector<page::Distribution> page_distributions(const Season& season, const SampleMeans& means);
// Fills in `charts`, `unjudged`, `estimates` and `standard_target`.
void add_page_charts(const Season& season, SeasonPage& page);
void add_page_agreement(const Season& season, const ReferenceComparison& reference, SeasonPage& page);
// Fills in `rules`, `settings` and `formulas`.
void add_page_rules(const Season& season, const SampleMeans& means, SeasonPage& page);
void add_page_answers(SeasonPage& page);

// `EH-101, EH-102 and 4 more`; at most `most` names.
std::string few_names(const std::vector<std::string>& names, std::size_t most);

// Why readings of a row of `lines` are left out or marked, in words with codes and packets: open findings of
// at least a severity, superseded readings, and what decisions dropped.
class Reasons {
  public:
    explicit Reasons(const Season& season) : season_(season) {}
    struct Options {
        Severity least = Severity::review;
        bool values = true; // findings about single values too
    };
    std::string words(const LineGroups& groups, const LineGroup& group, const Options& options) const;

  private:
    using Found = std::map<std::string, std::vector<std::string>>; // what: packets
    void add_reading(RowId row, const Options& options, Found& found) const;
    void add(const Finding& finding, std::uint32_t sample, const Options& options, Found& found) const;
    void note(const std::string& what, std::uint32_t sample, Found& found) const;

    Season season_;
};

} // namespace thresh::summary
