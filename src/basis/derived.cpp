// One recipe a derived constituent, in one table: inputs, formula and source for people, and the function
// that computes it. Inputs are already converted to one basis; sums add in the order of the recipe.
#include <thresh/basis/derived.hpp>

#include <algorithm>
#include <cassert>
#include <cmath>
#include <span>
#include <thresh/basis/convert.hpp>
#include <thresh/basis/fatty_acids.hpp>
#include <thresh/core/nothing.hpp>

namespace thresh::basis {

namespace {

using namespace constituent;

bool present(const Inputs& in, ConstituentId id) {
    return !std::isnan(in.at(id));
}

std::optional<double> share_of_sample(const Inputs& in, ConstituentId id) {
    if (!present(in, id) || in.part_of[id] != PartOf::sample)
        return std::nullopt;
    return in.at(id);
}

bool any_of_sample(std::span<const PartOf> part_of) {
    return std::any_of(fatty_acids().begin(), fatty_acids().end(),
                       [&](const FattyAcid& acid) { return part_of[acid.id] == PartOf::sample; });
}

// What fatty acids have to be multiplied by to be percent of oil (of all fatty acids read).
std::optional<double> fatty_acid_scale(const Inputs& in) {
    double sum = 0;
    bool of_sample = false, of_oil = false;
    for (const FattyAcid& acid : fatty_acids()) {
        const ConstituentId id = acid.id;
        if (!present(in, id))
            continue;
        sum += in.at(id);
        of_sample = of_sample || in.part_of[id] == PartOf::sample;
        of_oil = of_oil || in.part_of[id] != PartOf::sample;
    }
    if (!of_sample)
        return 1.0;
    if (of_oil || sum <= 0)
        return std::nullopt;
    return 100 / sum;
}

// The scale of one reading's fatty acids, computed when first asked for.
class Scale {
  public:
    explicit Scale(const Inputs& in) : in_(in) {}
    const std::optional<double>& operator()() {
        if (!known_) {
            scale_ = fatty_acid_scale(in_);
            known_ = true;
        }
        return scale_;
    }

  private:
    const Inputs& in_;
    std::optional<double> scale_;
    bool known_ = false;
};

struct Term {
    ConstituentId id;
    double weight;
    bool needed;
};

constexpr Term kProteinPlusOil[] = {{protein, 1, true}, {oil, 1, true}};
constexpr Term kSaturates[] = {{palmitic, 1, true},
                               {stearic, 1, true},
                               {arachidic, 1, false},
                               {behenic, 1, false},
                               {lignoceric, 1, false}};
constexpr Term kMonounsaturates[] = {
    {oleic, 1, true}, {palmitoleic, 1, false}, {gondoic, 1, false}, {erucic, 1, false}};
constexpr Term kPolyunsaturates[] = {{linoleic, 1, true}, {linolenic, 1, true}};
// AOCS Cd 1c-85, triglycerides.
constexpr Term kIodineValue[] = {{oleic, 0.860, true},     {linoleic, 1.732, true},
                                 {linolenic, 2.616, true}, {palmitoleic, 0.950, false},
                                 {gondoic, 0.785, false},  {erucic, 0.723, false}};
constexpr Term kRaffinoseFamily[] = {{raffinose, 1, true}, {stachyose, 1, true}, {verbascose, 1, false}};
constexpr Term kCriticalAminoAcids[] = {{lysine, 1, true},
                                        {methionine, 1, true},
                                        {cysteine, 1, true},
                                        {threonine, 1, true},
                                        {tryptophan, 1, true}};

// Weighted sum of fatty acids as percent of oil.
std::optional<double> sum_of_fatty_acids(const Inputs& in, Scale& scale_of, std::span<const Term> terms) {
    const auto scale = scale_of();
    if (!scale)
        return std::nullopt;
    double sum = 0;
    for (const Term& term : terms) {
        if (present(in, term.id))
            sum += term.weight * (in.at(term.id) * *scale);
        else if (term.needed)
            return std::nullopt;
    }
    return sum;
}

template <const auto& kTerms>
std::optional<double> make_fatty_acid_sum(const Inputs& in, Scale& scale) {
    return sum_of_fatty_acids(in, scale, kTerms);
}

std::optional<double> make_protein_plus_oil(const Inputs& in, Scale& /*scale*/) {
    const auto p = share_of_sample(in, protein), o = share_of_sample(in, oil);
    if (!p || !o)
        return std::nullopt;
    return *p + *o;
}

std::optional<double> make_raffinose_family(const Inputs& in, Scale& /*scale*/) {
    const auto r = share_of_sample(in, raffinose), s = share_of_sample(in, stachyose);
    if (!r || !s)
        return std::nullopt;
    if (!present(in, verbascose))
        return *r + *s;
    const auto v = share_of_sample(in, verbascose);
    return v ? std::optional(*r + *s + *v) : std::nullopt;
}

std::optional<double> make_critical_amino_acids(const Inputs& in, Scale& /*scale*/) {
    double sum = 0;
    for (const ConstituentId id : {lysine, methionine, cysteine, threonine, tryptophan}) {
        if (!present(in, id))
            return std::nullopt;
        double share = in.at(id);
        if (in.part_of[id] == PartOf::protein) {
            const auto p = share_of_sample(in, protein);
            if (!p)
                return std::nullopt;
            share = share * *p / 100;
        } else if (in.part_of[id] != PartOf::sample) {
            return std::nullopt;
        }
        sum += share;
    }
    return sum;
}

std::optional<double> unless_nan(double value) {
    return std::isnan(value) ? std::nullopt : std::optional(value);
}

// Of meal at the moisture that the seed's percentages stand on: dry matter without oil grows to dry matter.
double meal_protein(double protein, double oil, double moisture) {
    if (!valid_moisture(moisture))
        return kNothing;
    const double dry_matter = 100 - moisture;
    const double oil_free = dry_matter - oil;
    return oil_free <= 0 ? kNothing : protein * (dry_matter / oil_free);
}

double moisture_of_basis(const Inputs& in) {
    return in.basis.kind == Basis::Kind::fixed ? in.basis.percent : in.moisture.value_or(kNothing);
}

double quotient(double over, double under) {
    return under <= 0 ? kNothing : over / under;
}

std::optional<double> make_defatted_meal_protein(const Inputs& in, Scale& /*scale*/) {
    const auto p = share_of_sample(in, protein), o = share_of_sample(in, oil);
    return p && o ? unless_nan(meal_protein(*p, *o, moisture_of_basis(in))) : std::nullopt;
}

std::optional<double> make_oleic_linoleic(const Inputs& in, Scale& scale) {
    return scale() ? unless_nan(quotient(in.at(oleic), in.at(linoleic))) : std::nullopt;
}

struct Entry {
    Recipe recipe;
    std::optional<double> (*make)(const Inputs&, Scale&);
    std::span<const Term> sum; // what it comes to where every input enters as it is; empty: no sum
};

// Whether what is derived is no more than its sum: no fatty acid has to be put on its oil, nothing else is a
// share of something else than the sample.
bool is_plain_sum(const Entry& entry, std::span<const PartOf> part_of) {
    if (entry.sum.empty())
        return false;
    const auto is_acid = [](const Term& term) {
        return std::any_of(fatty_acids().begin(), fatty_acids().end(),
                           [&](const FattyAcid& acid) { return acid.id == term.id; });
    };
    if (is_acid(entry.sum.front()))
        return !any_of_sample(part_of);
    return std::all_of(entry.sum.begin(), entry.sum.end(),
                       [&](const Term& term) { return part_of[term.id] == PartOf::sample; });
}

const std::vector<Entry>& entries() {
    static const std::vector<Entry> kEntries = {
        {{protein_plus_oil, {protein, oil}, {}, "protein + oil, on one basis", "common practice"},
         make_protein_plus_oil,
         kProteinPlusOil},
        {{saturates,
          {palmitic, stearic},
          {arachidic, behenic, lignoceric},
          "16:0 + 18:0 (+ 20:0 + 22:0 + 24:0 when read)",
          "sum of the saturated fatty acids read; common practice"},
         make_fatty_acid_sum<kSaturates>,
         kSaturates},
        {{monounsaturates,
          {oleic},
          {palmitoleic, gondoic, erucic},
          "18:1 (+ 16:1 + 20:1 + 22:1 when read)",
          "sum of the monounsaturated fatty acids read; common practice"},
         make_fatty_acid_sum<kMonounsaturates>,
         kMonounsaturates},
        {{polyunsaturates,
          {linoleic, linolenic},
          {},
          "18:2 + 18:3",
          "sum of the polyunsaturated fatty acids read; common practice"},
         make_fatty_acid_sum<kPolyunsaturates>,
         kPolyunsaturates},
        {{iodine_value,
          {oleic, linoleic, linolenic},
          {palmitoleic, gondoic, erucic},
          "0.860 18:1 + 1.732 18:2 + 2.616 18:3 (+ 0.950 16:1 + 0.785 20:1 + 0.723 22:1 when read)",
          "AOCS Cd 1c-85, calculated iodine value of triglycerides"},
         make_fatty_acid_sum<kIodineValue>,
         kIodineValue},
        {{raffinose_family,
          {raffinose, stachyose},
          {verbascose},
          "raffinose + stachyose (+ verbascose when read)",
          "Canadian Grain Commission, sum of oligosaccharides in natto soybean reports"},
         make_raffinose_family,
         kRaffinoseFamily},
        {{critical_amino_acids,
          {lysine, methionine, cysteine, threonine, tryptophan},
          {protein},
          "lysine + methionine + cysteine + threonine + tryptophan, of the sample",
          "five critical amino acids (CAA5) of soybean quality surveys"},
         make_critical_amino_acids,
         kCriticalAminoAcids},
        {{defatted_meal_protein,
          {protein, oil},
          {moisture},
          "protein (100 - T) / (100 - T - oil), T the moisture of the basis",
          "mass balance with the oil fully removed; reproduces oil-free meal protein of Canadian Grain "
          "Commission canola reports"},
         make_defatted_meal_protein,
         {}},
        {{oleic_linoleic, {oleic, linoleic}, {}, "mean 18:1 / mean 18:2", "common practice"},
         make_oleic_linoleic,
         {}},
    };
    return kEntries;
}

} // namespace

std::optional<double> derive(ConstituentId id, const Inputs& inputs) {
    assert((inputs.place.empty() ? inputs.value.size() : inputs.place.size()) >= kBuiltInCount &&
           inputs.part_of.size() >= kBuiltInCount);
    Scale scale(inputs);
    for (const Entry& entry : entries())
        if (entry.recipe.id == id)
            return entry.make(inputs, scale);
    return std::nullopt;
}

Derivations::Derivations(std::span<const ConstituentId> ids, std::span<const PartOf> part_of,
                         const std::vector<bool>& read, std::span<const std::size_t> place) {
    const auto place_of = [&](ConstituentId id) { return place.empty() ? std::size_t{id} : place[id]; };
    const auto add_sum = [&](ConstituentId id, std::span<const Term> terms) {
        std::vector<WeightedSums::Term> needed, optional;
        for (const Term& term : terms)
            if (term.needed)
                needed.push_back({term.weight, place_of(term.id)});
            else if (read[term.id])
                optional.push_back({term.weight, place_of(term.id)});
        sums_.add(place_of(id), needed, optional);
    };
    for (const ConstituentId id : ids)
        for (std::size_t i = 0; i < entries().size(); ++i) {
            const Entry& entry = entries()[i];
            if (entry.recipe.id != id)
                continue;
            const std::vector<ConstituentId>& inputs = entry.recipe.needed;
            const bool placed = std::all_of(inputs.begin(), inputs.end(),
                                            [&](ConstituentId input) { return place_of(input) != kNoPlace; });
            const bool of_sample = std::all_of(inputs.begin(), inputs.end(), [&](ConstituentId input) {
                return part_of[input] == PartOf::sample;
            });
            if (placed && is_plain_sum(entry, part_of))
                add_sum(id, entry.sum);
            else if (placed && id == defatted_meal_protein && of_sample)
                meals_.push_back({place_of(id), place_of(protein), place_of(oil)});
            else if (placed && id == oleic_linoleic && !any_of_sample(part_of))
                quotients_.push_back({place_of(id), place_of(oleic), place_of(linoleic)});
            else
                others_.push_back({i, place_of(id)});
        }
}

void Derivations::compute(const Inputs& inputs, std::span<double> values) const {
    const double* const value = inputs.value.data();
    sums_.compute(value, values.data());
    for (const OfTwo& meal : meals_)
        values[meal.place] = meal_protein(value[meal.first], value[meal.second], moisture_of_basis(inputs));
    for (const OfTwo& ratio : quotients_)
        values[ratio.place] = quotient(value[ratio.first], value[ratio.second]);
    if (others_.empty())
        return;
    Scale scale(inputs);
    const std::vector<Entry>& table = entries();
    for (const Other& other : others_)
        values[other.place] = table[other.recipe].make(inputs, scale).value_or(kNothing);
}

const std::vector<Recipe>& recipes() {
    static const std::vector<Recipe> kRecipes = [] {
        std::vector<Recipe> all;
        for (const Entry& entry : entries())
            all.push_back(entry.recipe);
        return all;
    }();
    return kRecipes;
}

} // namespace thresh::basis
