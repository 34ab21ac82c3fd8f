// Whether values under review change what is decided about a line: its mean is put against a cut-off, or its
// rank against the best so many, once with the values under review and once without them.
#pragma once

#include <thresh/summary/trials.hpp>

#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace thresh::summary {

// `protein >= 36`: a line is in when its mean fulfils it.
struct CutOff {
    enum class Op : std::uint8_t { above, at_least, below, at_most };
    ConstituentId constituent = kNoConstituent;
    Op op = Op::at_least;
    double value = 0;
    std::string text; // as given
    bool fulfilled(double mean) const;
};
// Errors: no comparison, a constituent that the season does not have, no number; a second cut-off for one
// constituent.
Result<std::vector<CutOff>> parse_cut_offs(const std::vector<std::string>& texts, const SampleMeans& means);

struct Decision {
    std::optional<bool> with, without;    // in or out; nothing where there is no number
    std::optional<double> value, certain; // mean with and without the values under review
    std::string rule;                     // `protein >= 36`, `best 10`
    bool changes() const { return with != without; }
};

// `in`, `out`, `in, out without review`, ...; empty where there is no number at all.
std::string decision_words(const Decision& decision);

class Decisions {
  public:
    // Of the adjusted means where `models` are given, else of plain means. With models that ask for the best
    // so many, constituents without a cut-off are decided by rank among lines that are no checks. `models`
    // must outlive this.
    static Result<Decisions> make(const SampleMeans& means, std::vector<CutOff> cut_offs,
                                  const TrialModels* models);
    ~Decisions();
    Decisions(Decisions&&) noexcept;

    // Whether anything is decided about the constituent.
    bool about(ConstituentId id) const;
    // Row `group` of `lines`.
    Decision decide(std::size_t group, std::size_t slot) const;
    // What findings about this sample decide: `protein >= 36: 36.12 with, 35.80 without`, one for each
    // constituent; none where they decide nothing. `constituent`: of the finding, kNoConstituent: of all.
    std::vector<std::string> decided_by(std::uint32_t sample, std::string_view material,
                                        ConstituentId constituent) const;

  private:
    struct State;
    explicit Decisions(std::unique_ptr<State> state);
    std::unique_ptr<State> state_;
};

} // namespace thresh::summary
