// The built-in rules: the frame here, the materials in a file for each crop. It is a rules file like any
// other, read by the same parser and checked by the same table.
#include "rules/config/builtin_rules.hpp"

#include "rules/config/builtin_materials.hpp"

namespace thresh::rules {

namespace {

constexpr std::string_view kHead = R"rules({
  // Rules that hold where no rules file says otherwise.
  "materials": {)rules";

constexpr std::string_view kTail = R"rules(
  },
  "standard": {
    // Polystyrene: aromatic C-H, second overtone. A working value: the laboratory's own certificate comes first.
    "when": { "analysis": ["*polystyr?ne*", "*polystyr??ne*", "*polystyrol*", "*poliestireno*", "*wavelength*standard*", "*wellenl*ngen*standard*"] },
    "column": "peak", "target": 1143.6, "review": 0.5, "exclude": 1.0, "unit": "nm", "required": "auto",
    "source": "common practice"
  },
  "ignore": { "sample": ["warm-up*", "warmup*", "warm up*"] },
  // Coats that absorb so much that whole seed is read wrong: common practice.
  "dark_coats": ["black", "brown", "dark", "schwarz", "braun", "dunkel", "noir", "brun", "negro", "marrón", "preto", "marrom"],
  "below_limit": "omit", "few_samples": 2, "session_gap_hours": 4, "nitrogen_factor": 6.25
}
)rules";

} // namespace

const std::string& builtin_rules_text() {
    static const std::string kText = std::string(kHead)
                                         .append(builtin_soybean_text())
                                         .append(",\n")
                                         .append(builtin_peanut_text())
                                         .append(kTail);
    return kText;
}

} // namespace thresh::rules
