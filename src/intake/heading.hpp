// Understanding headings, with the lookup table built once.
#pragma once

#include <thresh/core/constituent.hpp>
#include <thresh/intake/exports.hpp>
#include <thresh/intake/list_table.hpp>

#include <shared_mutex>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

namespace thresh::intake {

class HeadingDictionary {
  public:
    // Both must outlive the dictionary.
    HeadingDictionary(const ConstituentTable& table, const std::vector<ColumnRule>& rules);

    // Makes further headings known, so that the heading row of a list is found by them.
    void add_list_headings(const std::vector<ListColumn>& columns);
    bool for_lists() const { return for_lists_; }

    // See understand_heading. Several threads may ask; what was asked before is remembered, for the files of
    // a folder have much the same headings.
    HeadingMeaning understand(std::string_view heading) const;
    // The same with what the rules file says of the constituent without naming headings: it holds where the
    // heading states nothing. Apart from `understand`, for a group above the heading states it too.
    HeadingMeaning with_rules(HeadingMeaning meaning) const;
    const ConstituentTable& table() const { return table_; }

  private:
    struct Name {
        std::optional<ConstituentId> constituent;
        std::optional<TextField> field;
        bool time = false;
    };
    void add(std::string_view heading, Name name);
    const Name* find(std::string_view key) const;
    bool cut_qualifiers(const std::vector<std::string>& words, bool allow_weak, HeadingMeaning& meaning,
                        std::string& name) const;
    HeadingMeaning built_in(std::string_view heading) const;
    HeadingMeaning work_out(std::string_view heading) const;
    void apply_rule(std::string_view heading, const ColumnRule& rule, HeadingMeaning& meaning) const;

    const ConstituentTable& table_;
    const std::vector<ColumnRule>& rules_;
    bool for_lists_ = false;
    std::unordered_map<std::string, Name> names_; // by fold_key; only looked up, never walked

    static constexpr std::size_t kRemembered = 4096;
    mutable std::shared_mutex guard_;
    mutable std::unordered_map<std::string, HeadingMeaning> remembered_;
};

} // namespace thresh::intake
