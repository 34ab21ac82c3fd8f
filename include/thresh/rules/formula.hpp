// Formulas and conditions over constituents, as rules files hold them: arithmetic, comparisons, && || !, a ?
// b : c, and the usual functions (abs, min, max, sqrt, ln, log10, exp, ...).
#pragma once

#include <thresh/core/constituent.hpp>
#include <thresh/core/result.hpp>

#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace thresh::rules {

// A formula that was found to be one. Copies are cheap and may be shared between threads; they compute
// through a FormulaValue of their own.
class Formula {
  public:
    // Error::column is the character of `text`, from 1, at which it goes wrong. Errors: no formula; a name
    // that is no constituent (the nearest is named) or another trait; an assignment; a comma that separates
    // nothing.
    // Traits may stand in conditions; in a trait's own formula they may not, so none can lead to itself.
    enum class Traits : std::uint8_t { refused, allowed };
    static Result<Formula> compile(std::string_view text, const ConstituentTable& table, Traits traits);

    // What it is computed from, each once, in table order.
    const std::vector<ConstituentId>& inputs() const { return inputs_; }
    const std::string& text() const { return text_; }

  private:
    friend class FormulaValue;
    std::string text_;
    std::vector<ConstituentId> inputs_;
    std::vector<std::string> names_; // of the inputs
};

// Computes one formula for many readings; for one thread.
class FormulaValue {
  public:
    explicit FormulaValue(const Formula& formula);
    ~FormulaValue();
    FormulaValue(FormulaValue&&) noexcept;

    // `inputs` in the order of Formula::inputs(). NaN when one of them is NaN (missing), or when the result
    // is no finite number (a division by zero): a missing input never counts as 0.
    double operator()(std::span<const double> inputs);

  private:
    friend class Formula;
    struct Parser;
    std::unique_ptr<Parser> parser_;
};

} // namespace thresh::rules
