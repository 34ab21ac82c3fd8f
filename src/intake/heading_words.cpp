// One table of phrases, tried longest first at each word. `#` in a phrase is a number: the moisture of a
// basis. Spellings are common practice of laboratories in the five languages of the headings.
#include "intake/heading_words.hpp"

#include "intake/fold.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <unordered_map>

namespace thresh::intake {

namespace {

enum class Says : unsigned char { unit, oil, protein, sample, dry, as_is, fixed, bare, dry_share };

struct Phrase {
    std::string_view words;
    Says says;
    int shift = 0;     // of a unit
    bool unit = false; // a unit stands inside the phrase as well
    bool weak = false;
};

// clang-format off
constexpr Phrase kPhrases[] = {
    // Units: decimals to add for percent.
    {"%", Says::unit}, {"pct", Says::unit}, {"percent", Says::unit}, {"per cent", Says::unit}, {"prozent", Says::unit},
    {"wt %", Says::unit}, {"mass %", Says::unit}, {"w / w", Says::unit}, {"% w / w", Says::unit}, {"% m / m", Says::unit},
    {"gew %", Says::unit}, {"ma %", Says::unit}, {"por ciento", Says::unit}, {"pour cent", Says::unit}, {"por cento", Says::unit},
    {"g / 100 g", Says::unit}, {"g per 100 g", Says::unit}, {"g 100 g 1", Says::unit}, {"g pro 100 g", Says::unit},
    {"g / kg", Says::unit, 1}, {"g kg 1", Says::unit, 1}, {"g per kg", Says::unit, 1}, {"mg / g", Says::unit, 1}, {"mg g 1", Says::unit, 1}, {"mg per g", Says::unit, 1},
    {"mg / 100 g", Says::unit, 3}, {"mg / kg", Says::unit, 4}, {"mg kg 1", Says::unit, 4}, {"ppm", Says::unit, 4}, {"ug / g", Says::unit, 4},
    {"g / g", Says::unit, -2}, {"kg / kg", Says::unit, -2}, {"fraction", Says::unit, -2},
    {"nm", Says::unit},
    // Part of the oil.
    {"of oil", Says::oil}, {"of the oil", Says::oil}, {"in oil", Says::oil}, {"oil basis", Says::oil}, {"of fat", Says::oil}, {"in fat", Says::oil},
    {"of lipid", Says::oil}, {"of total lipid", Says::oil}, {"of fatty acids", Says::oil}, {"of total fatty acids", Says::oil}, {"of all fatty acids", Says::oil}, {"total fatty acids", Says::oil},
    {"of fa", Says::oil}, {"of tfa", Says::oil}, {"fa", Says::oil}, {"tfa", Says::oil}, {"fame", Says::oil}, {"of fame", Says::oil}, {"of total fa", Says::oil},
    {"im ol", Says::oil}, {"im oel", Says::oil}, {"vom ol", Says::oil}, {"des ols", Says::oil}, {"im fett", Says::oil}, {"der fettsauren", Says::oil}, {"d fettsauren", Says::oil}, {"an fettsauren", Says::oil}, {"fs", Says::oil},
    {"de l'huile", Says::oil}, {"de l huile", Says::oil}, {"de l'huile totale", Says::oil}, {"des acides gras", Says::oil}, {"des ag", Says::oil}, {"del aceite", Says::oil}, {"de los acidos grasos", Says::oil}, {"do oleo", Says::oil}, {"dos acidos graxos", Says::oil},
    {"% oil", Says::oil, 0, true, true}, {"% fat", Says::oil, 0, true, true}, {"g / 100 g oil", Says::oil, 0, true, true}, {"g / 100 g fat", Says::oil, 0, true, true}, {"g / 100 g fa", Says::oil, 0, true}, {"g / 100 g fatty acids", Says::oil, 0, true},
    {"g / kg oil", Says::oil, 1, true, true}, {"mg / g oil", Says::oil, 1, true, true}, {"% ol", Says::oil, 0, true, true},
    // Part of the protein.
    {"of protein", Says::protein}, {"of the protein", Says::protein}, {"in protein", Says::protein}, {"of crude protein", Says::protein}, {"of cp", Says::protein}, {"of total protein", Says::protein}, {"protein basis", Says::protein},
    {"im protein", Says::protein}, {"vom protein", Says::protein}, {"des proteins", Says::protein}, {"im rohprotein", Says::protein}, {"vom rohprotein", Says::protein},
    {"de la proteine", Says::protein}, {"des proteines", Says::protein}, {"de la proteina", Says::protein}, {"da proteina", Says::protein},
    {"% protein", Says::protein, 0, true, true}, {"% cp", Says::protein, 0, true, true}, {"g / 100 g protein", Says::protein, 0, true, true}, {"g / 100 g cp", Says::protein, 0, true, true}, {"g / 100 g crude protein", Says::protein, 0, true, true},
    {"g per 100 g protein", Says::protein, 0, true, true}, {"g / kg protein", Says::protein, 1, true, true}, {"mg / g protein", Says::protein, 1, true, true},
    // Part of the sample.
    {"of sample", Says::sample}, {"of the sample", Says::sample}, {"of seed", Says::sample}, {"of seeds", Says::sample}, {"of grain", Says::sample}, {"in seed", Says::sample}, {"in sample", Says::sample}, {"of meal", Says::sample}, {"of flour", Says::sample},
    {"der probe", Says::sample}, {"in der probe", Says::sample}, {"im samen", Says::sample}, {"de l'echantillon", Says::sample}, {"de la muestra", Says::sample}, {"da amostra", Says::sample},
    {"% seed", Says::sample, 0, true}, {"% sample", Says::sample, 0, true}, {"g / 100 g sample", Says::sample, 0, true}, {"g / 100 g seed", Says::sample, 0, true}, {"g / kg seed", Says::sample, 1, true}, {"mg / g seed", Says::sample, 1, true},
    // Dry.
    {"dm", Says::dry}, {"of dm", Says::dry}, {"in dm", Says::dry}, {"dry", Says::dry}, {"dry matter", Says::dry}, {"of dry matter", Says::dry}, {"in dry matter", Says::dry}, {"dry basis", Says::dry}, {"dry matter basis", Says::dry}, {"dmb", Says::dry}, {"db", Says::dry},
    {"dry weight", Says::dry}, {"dry weight basis", Says::dry}, {"dw", Says::dry}, {"of dw", Says::dry}, {"dwb", Says::dry}, {"moisture free", Says::dry}, {"moisture free basis", Says::dry}, {"mfb", Says::dry}, {"zero moisture", Says::dry},
    {"ts", Says::dry}, {"i ts", Says::dry}, {"in ts", Says::dry}, {"in der ts", Says::dry}, {"its", Says::dry}, {"i tr", Says::dry}, {"itr", Says::dry}, {"i tm", Says::dry}, {"itm", Says::dry}, {"tm", Says::dry}, {"in tm", Says::dry}, {"in der tm", Says::dry}, {"der tm", Says::dry}, {"der ts", Says::dry},
    {"trockenmasse", Says::dry}, {"trockensubstanz", Says::dry}, {"in der trockenmasse", Says::dry}, {"der trockenmasse", Says::dry}, {"in der trockensubstanz", Says::dry}, {"trocken", Says::dry},
    {"ms", Says::dry}, {"matiere seche", Says::dry}, {"de ms", Says::dry}, {"de la ms", Says::dry}, {"sur ms", Says::dry}, {"sur sec", Says::dry}, {"sur matiere seche", Says::dry}, {"de la matiere seche", Says::dry}, {"base seche", Says::dry},
    {"base seca", Says::dry}, {"materia seca", Says::dry}, {"bs", Says::dry}, {"en ms", Says::dry}, {"na ms", Says::dry}, {"de la materia seca", Says::dry}, {"da materia seca", Says::dry},
    // As the sample is.
    {"as is", Says::as_is}, {"asis", Says::as_is}, {"as is basis", Says::as_is}, {"as received", Says::as_is}, {"as received basis", Says::as_is}, {"as fed", Says::as_is}, {"as measured", Says::as_is}, {"ar", Says::as_is}, {"fresh", Says::as_is}, {"fresh weight", Says::as_is}, {"fw", Says::as_is}, {"fresh basis", Says::as_is},
    {"wet basis", Says::as_is}, {"wb", Says::as_is}, {"w b", Says::as_is}, {"wet", Says::as_is}, {"fm", Says::as_is}, {"fs basis", Says::as_is}, {"frischmasse", Says::as_is}, {"in der frischmasse", Says::as_is}, {"originalsubstanz", Says::as_is}, {"os", Says::as_is}, {"wie vorliegend", Says::as_is},
    {"tel quel", Says::as_is}, {"sur brut", Says::as_is}, {"matiere brute", Says::as_is}, {"tal cual", Says::as_is}, {"base humeda", Says::as_is}, {"base umida", Says::as_is}, {"materia natural", Says::as_is},
    // At a stated dry matter.
    {"# % dm", Says::dry_share}, {"# % dry matter", Says::dry_share}, {"# % dry", Says::dry_share}, {"# pct dm", Says::dry_share}, {"# percent dry matter", Says::dry_share}, {"# % ts", Says::dry_share}, {"# % tm", Says::dry_share}, {"# % trockensubstanz", Says::dry_share}, {"# % trockenmasse", Says::dry_share},
    {"# % ms", Says::dry_share}, {"# % de ms", Says::dry_share}, {"# % matiere seche", Says::dry_share}, {"# % de matiere seche", Says::dry_share}, {"# % materia seca", Says::dry_share}, {"# % de materia seca", Says::dry_share},
    {"dm # %", Says::dry_share}, {"dry matter # %", Says::dry_share}, {"ts # %", Says::dry_share}, {"tm # %", Says::dry_share}, {"trockensubstanz # %", Says::dry_share}, {"trockenmasse # %", Says::dry_share}, {"ms # %", Says::dry_share}, {"matiere seche # %", Says::dry_share}, {"materia seca # %", Says::dry_share},
    // At a stated moisture.
    {"# %", Says::bare}, {"# % mb", Says::fixed}, {"# % m b", Says::fixed}, {"# % mc", Says::fixed}, {"# % moisture", Says::fixed}, {"# % moisture basis", Says::fixed}, {"# % basis", Says::fixed}, {"# % water", Says::fixed}, {"# % h2o", Says::fixed}, {"# % wb", Says::fixed}, {"# % wet basis", Says::fixed},
    {"# mb", Says::fixed}, {"# pct", Says::bare}, {"# pct mb", Says::fixed}, {"# pct moisture", Says::fixed}, {"# percent moisture", Says::fixed}, {"# percent moisture basis", Says::fixed}, {"# moisture", Says::fixed},
    {"# % feuchte", Says::fixed}, {"# % feuchtigkeit", Says::fixed}, {"# % wasser", Says::fixed}, {"# % d'humidite", Says::fixed}, {"# % d humidite", Says::fixed}, {"# % humidite", Says::fixed}, {"# % d'eau", Says::fixed}, {"# % humedad", Says::fixed}, {"# % de humedad", Says::fixed}, {"# % umidade", Says::fixed}, {"# % de umidade", Says::fixed},
};
// clang-format on

std::optional<double> number_of(std::string_view word) {
    double value = 0;
    const auto [end, error] = std::from_chars(word.data(), word.data() + word.size(), value);
    if (error != std::errc{} || end != word.data() + word.size() || !(value >= 0 && value < 100))
        return std::nullopt;
    return value;
}

// How many words of `words` the phrase takes; 0 when it is not there.
std::size_t match(std::string_view phrase, std::span<const std::string> words, double& number) {
    std::size_t count = 0;
    while (!phrase.empty()) {
        const std::size_t cut = std::min(phrase.find(' '), phrase.size());
        const std::string_view word = phrase.substr(0, cut);
        phrase.remove_prefix(std::min(cut + 1, phrase.size()));
        if (count == words.size())
            return 0;
        if (word == "#") {
            const auto value = number_of(words[count]);
            if (!value)
                return 0;
            number = *value;
        } else if (words[count] != word) {
            return 0;
        }
        ++count;
    }
    return count;
}

// The phrases that begin with a word, and those that begin with a number, by the word behind it. Every phrase
// with a number has one: rows of numbers, in which a heading is looked for, meet none of them.
struct PhraseIndex {
    using ByWord = std::unordered_map<std::string_view, std::vector<const Phrase*>>;
    ByWord first, behind_number;
};

const PhraseIndex& phrase_index() {
    static const PhraseIndex kIndex = [] {
        PhraseIndex index;
        for (const Phrase& phrase : kPhrases) {
            constexpr std::string_view kNumber = "# ";
            const bool number = phrase.words.starts_with(kNumber);
            const std::string_view words = phrase.words.substr(number ? kNumber.size() : 0);
            (number ? index.behind_number : index.first)[words.substr(0, words.find(' '))].push_back(&phrase);
        }
        return index;
    }();
    return kIndex;
}

// Percent of dry matter that a basis has; no basis has as much moisture.
constexpr double kMostlyDry = 50;

void take_if_longer(const Phrase& phrase, std::span<const std::string> words, Qualifier& best) {
    double number = 0;
    const std::size_t count = match(phrase.words, words, number);
    if (count <= best.words || (phrase.says == Says::dry_share && number < kMostlyDry))
        return;
    best = {count, phrase.says == Says::unit || phrase.unit, phrase.shift, {}, {}, false, phrase.weak};
    switch (phrase.says) {
    case Says::unit:
        break;
    case Says::oil:
        best.part_of = PartOf::oil;
        break;
    case Says::protein:
        best.part_of = PartOf::protein;
        break;
    case Says::sample:
        best.part_of = PartOf::sample;
        break;
    case Says::dry:
        best.basis = Basis::dry();
        break;
    case Says::as_is:
        best.basis = Basis::as_is();
        break;
    case Says::fixed:
        best.basis = Basis::at(number);
        break;
    case Says::bare:
        best.basis = Basis::at(number);
        best.basis_doubtful = number >= kMostlyDry;
        break;
    case Says::dry_share:
        best.basis = Basis::at(std::round((100 - number) * 1e6) / 1e6); // 100 - 87.3 is 12.7
        break;
    }
}

} // namespace

std::vector<std::string> heading_words(std::string_view heading) {
    const std::string text = fold_words(heading);
    std::vector<std::string> words;
    std::string word;
    const auto flush = [&] {
        if (!word.empty())
            words.push_back(std::move(word));
        word.clear();
    };
    const auto digit = [](char c) { return c >= '0' && c <= '9'; };
    const auto letter = [](char c) {
        return (c >= 'a' && c <= 'z') || static_cast<unsigned char>(c) >= 0x80;
    };
    for (std::size_t i = 0; i < text.size(); ++i) {
        const char c = text[i];
        const bool between_digits =
            !word.empty() && digit(word.back()) && i + 1 < text.size() && digit(text[i + 1]);
        const bool number = !word.empty() && digit(word.front());
        if (letter(c)) {
            if (number)
                flush();
            word.push_back(c);
        } else if (digit(c) || (c == ':' && between_digits) || (c == '\'' && !word.empty())) {
            word.push_back(c);
        } else if ((c == '.' || c == ',') && between_digits && number) {
            word.push_back('.');
        } else if (c == '.' && !word.empty() && letter(word.back()) && i + 1 < text.size() &&
                   letter(text[i + 1])) {
            continue; // d.b. -> db
        } else {
            flush();
            if (c == '%' || c == '/')
                words.emplace_back(1, c);
        }
    }
    flush();
    return words;
}

Qualifier qualifier_at(std::span<const std::string> words, bool allow_weak) {
    Qualifier best;
    if (words.empty())
        return best;
    const bool number = number_of(words[0]).has_value();
    if (number && words.size() == 1)
        return best;
    const PhraseIndex::ByWord& index = number ? phrase_index().behind_number : phrase_index().first;
    const auto found = index.find(words[number ? 1 : 0]);
    if (found != index.end())
        for (const Phrase* phrase : found->second)
            if (!phrase->weak || allow_weak)
                take_if_longer(*phrase, words, best);
    return best;
}

bool is_filler(std::string_view word) {
    static constexpr std::string_view kFillers[] = {"in",   "at",  "on",  "of", "basis",
                                                    "base", "the", "a",   "en", "sur",
                                                    "bei",  "auf", "als", "to", "corrected"};
    return std::find(std::begin(kFillers), std::end(kFillers), word) != std::end(kFillers);
}

bool is_only_qualifiers(std::string_view text) {
    const std::vector<std::string> words = heading_words(text);
    std::size_t found = 0;
    for (std::size_t i = 0; i < words.size();) {
        const Qualifier q = qualifier_at(std::span(words).subspan(i), true);
        if (q.words == 0 && !is_filler(words[i]))
            return false;
        found += q.words > 0;
        i += std::max<std::size_t>(1, q.words);
    }
    return found > 0;
}

std::optional<int> unit_shift(std::string_view unit) {
    const std::vector<std::string> words = heading_words(unit);
    const Qualifier q = qualifier_at(words, false);
    if (!q.unit || q.words != words.size())
        return std::nullopt;
    return q.unit_shift;
}

} // namespace thresh::intake
