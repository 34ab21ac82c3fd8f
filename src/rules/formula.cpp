// muParser does the parsing and computing. What it would let pass and nobody can mean in a rules file is
// refused here and by check_shape: `=` for `==`, a list of results, names that mean nothing.
#include "rules/formula_shape.hpp"

#include <thresh/core/nothing.hpp>
#include <thresh/rules/formula.hpp>

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <muParser.h>
#include <thresh/core/nearest.hpp>

namespace thresh::rules {

namespace {

tl::unexpected<Error> fail_here(std::size_t position, std::string message, std::string help) {
    return fail(std::move(message), std::move(help), {}, 0, static_cast<std::uint32_t>(position + 1));
}

// The place of a single `=`; npos when there is none.
std::size_t assignment_in(std::string_view text) {
    for (std::size_t i = 0; i < text.size(); ++i) {
        if (text[i] != '=')
            continue;
        if (i + 1 < text.size() && text[i + 1] == '=') {
            ++i;
            continue;
        }
        if (i == 0 || std::string_view("<>!").find(text[i - 1]) == std::string_view::npos)
            return i;
    }
    return std::string_view::npos;
}

bool is_word(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_';
}

// Where `name` stands as a whole word.
std::size_t place_of_word(std::string_view text, std::string_view name) {
    for (std::size_t at = text.find(name); at != std::string_view::npos; at = text.find(name, at + 1)) {
        const std::size_t end = at + name.size();
        if ((at == 0 || !is_word(text[at - 1])) && (end == text.size() || !is_word(text[end])))
            return at;
    }
    return 0;
}

// Names that a formula may hold: what is read or derived from one reading, not other traits.
std::vector<std::string> usable_names(const ConstituentTable& table) {
    std::vector<std::string> names;
    for (std::size_t id = 0; id < table.size(); ++id)
        if (table[static_cast<ConstituentId>(id)].group != Group::trait)
            names.push_back(table[static_cast<ConstituentId>(id)].name);
    return names;
}

} // namespace

struct FormulaValue::Parser {
    mu::Parser parser;
    std::vector<double> values;
};

FormulaValue::FormulaValue(const Formula& formula) : parser_(std::make_unique<Parser>()) {
    parser_->values.resize(formula.names_.size());
    parser_->parser.SetExpr(formula.text_);
    for (std::size_t i = 0; i < formula.names_.size(); ++i)
        parser_->parser.DefineVar(formula.names_[i], &parser_->values[i]);
}
FormulaValue::~FormulaValue() = default;
FormulaValue::FormulaValue(FormulaValue&&) noexcept = default;

double FormulaValue::operator()(std::span<const double> inputs) {
    for (std::size_t i = 0; i < inputs.size(); ++i) {
        if (std::isnan(inputs[i]))
            return kNothing;
        parser_->values[i] = inputs[i];
    }
    const double result = parser_->parser.Eval(); // compiled once, cannot throw any more
    return std::isfinite(result) ? result : kNothing;
}

Result<Formula> Formula::compile(std::string_view text, const ConstituentTable& table, Traits traits) {
    if (text.find_first_not_of(" \t") == std::string_view::npos)
        return fail_here(0, "the formula is empty", "write one such as `oil * 0.95`");
    if (const std::size_t at = assignment_in(text); at != std::string_view::npos)
        return fail_here(at, "a formula assigns nothing", "`==` compares; leave the `=` out otherwise");
    Formula made;
    made.text_ = std::string(text);
    try {
        mu::Parser parser;
        parser.SetExpr(made.text_);
        const mu::varmap_type used = parser.GetUsedVar();
        for (const auto& [name, unused] : used) {
            const auto id = table.find(name);
            if (!id)
                return fail_here(place_of_word(text, name), fmt::format("`{}` is no constituent", name),
                                 nearest_hint(name, usable_names(table), "known constituents"));
            if (table[*id].group == Group::trait && traits == Traits::refused)
                return fail_here(place_of_word(text, name), fmt::format("`{}` is itself a trait", name),
                                 "write its formula here: a trait is computed from constituents");
            made.inputs_.push_back(*id);
        }
        std::sort(made.inputs_.begin(), made.inputs_.end());
        for (const ConstituentId id : made.inputs_)
            made.names_.push_back(table[id].name);
        // A trial: what only shows when it is computed.
        FormulaValue value(made);
        for (double& input : value.parser_->values)
            input = 1;
        int results = 0;
        value.parser_->parser.Eval(results);
        if (results != 1)
            return fail_here(text.find(','), "a comma separates nothing here",
                             "write one formula; decimals are written with a point: 0.95");
        if (made.inputs_.empty())
            return fail_here(0, "the formula holds no constituent", "write one such as `oil * 0.95`");
    } catch (const mu::ParserError& error) {
        const auto position = static_cast<std::size_t>(std::max(0, error.GetPos()));
        return fail_here(std::min(position, text.size()), fmt::format("not a formula: {}", error.GetMsg()),
                         "operators are + - * / ^, < <= == != >= >, &&, ||, a ? b : c");
    }
    if (const auto shaped = check_shape(text, traits == Traits::allowed); !shaped) // they stand in conditions
        return tl::unexpected<Error>(shaped.error());
    return made;
}

} // namespace thresh::rules
