// Built-in rules as the text of a rules file: peanut. Limits describe breeding material, not traded goods;
// every one names its source, "from memory" where the figure was not looked up again, or "common practice".
#include "rules/config/builtin_materials.hpp"

namespace thresh::rules {

std::string_view builtin_peanut_text() {
    return R"rules(
    // ---- Peanut (kernels) ----
    // Narrow patterns stand before wide ones: the first match wins.
    "peanut-whole": {
      "like": "peanut",
      "when": { "analysis": ["*peanut*whole*", "*whole*peanut*", "*peanut*kernel*", "*groundnut*whole*", "*whole*groundnut*", "*erdn*ganz*", "*ganz*erdn*", "*arachide*enti*", "*cacahu*enter*", "*amendoim*inteir*"] }
    },
    "peanut-ground": {
      "like": "peanut",
      "when": { "analysis": ["*peanut*ground*", "*ground*peanut*", "*peanut*flour*", "*groundnut*ground*", "*ground groundnut*", "*groundnut*flour*", "*erdn*gemahlen*", "*gemahlen*erdn*", "*arachide*moulu*", "*arachide*broy*", "*cacahu*moulu*", "*cacahu*molid*", "*amendoim*mo?d*", "*amendoim*mo??d*"] }
    },
    "peanut": {
      "when": { "analysis": ["*peanut*", "*groundnut*", "*erdnuss*", "*erdnuß*", "*erdnüsse*", "*erdnuesse*", "*arachide*", "*cacahu*", "maní", "maní *", "mani", "mani *", "*amendoim*"] },
      "basis": "dry", // no official basis: papers use dry matter
      "moisture_window": { "low": 5, "high": 8, "margin": 0, "source": "common practice" },
      "key": ["moisture", "protein", "oil"],
      "prefer": "ground",
      "expected": {
        "protein": { "low": 20, "high": 34, "basis": "dry", "source": "common practice; published 25 to 32" },
        "oil": { "low": 42, "high": 58, "basis": "dry", "source": "common practice; published 42 to 56" },
        "ash": { "low": 2, "high": 3.2, "basis": "dry", "source": "common practice; Ginting & Nugrahaeni 2020: 2.53 to 2.98" },
        "sucrose": { "low": 2.5, "high": 8, "basis": "dry", "source": "common practice; Mahatma et al. 2016: 2.8 to 6.9" },
        "protein_plus_oil": { "low": 70, "high": 86, "basis": "dry", "source": "common practice" },
        // Without an oil type the wide range of the standard as revised in 2017, which covers high-oleic oil.
        "palmitic": { "low": 5.0, "high": 14.0, "source": "Codex CXS 210 Table 1, arachis as revised 2017, from memory" },
        "palmitoleic": { "high": 0.2, "source": "Codex CXS 210 Table 1, arachis, from memory" },
        "stearic": { "low": 1.0, "high": 4.5, "source": "Codex CXS 210 Table 1, arachis, from memory" },
        "oleic": [
          { "low": 35, "high": 80, "source": "Codex CXS 210 Table 1, arachis as revised 2017, from memory" },
          { "low": 35, "high": 69, "oil_type": "normal", "source": "Codex CXS 210 Table 1, arachis until 2015, from memory" },
          { "low": 55, "high": 76, "oil_type": "mid-oleic", "source": "common practice" },
          { "low": 74, "high": 85, "oil_type": "high-oleic", "source": "at least 74: Knauft et al. 2000; upper bound common practice" }
        ],
        "linoleic": [
          { "low": 4.0, "high": 43.0, "source": "Codex CXS 210 Table 1, arachis as revised 2017, from memory" },
          { "low": 12, "high": 43, "oil_type": "normal", "source": "Codex CXS 210 Table 1, arachis until 2015, from memory" },
          { "low": 8, "high": 28, "oil_type": "mid-oleic", "source": "common practice" },
          { "low": 1, "high": 8, "oil_type": "high-oleic", "source": "at most 8: Knauft et al. 2000; donor line about 2" }
        ],
        "linolenic": { "high": 0.5, "source": "Codex CXS 210 Table 1, arachis as revised 2017, from memory" },
        "arachidic": { "low": 0.7, "high": 2.0, "source": "Codex CXS 210 Table 1, arachis as revised 2017, from memory" },
        "gondoic": { "low": 0.7, "high": 3.2, "source": "Codex CXS 210 Table 1, arachis as revised 2017, from memory" },
        "behenic": { "low": 1.5, "high": 4.5, "source": "Codex CXS 210 Table 1, arachis, from memory" },
        "erucic": { "high": 0.5, "source": "Codex CXS 210 Table 1, arachis as revised 2017, from memory" },
        "lignoceric": { "low": 0.5, "high": 2.5, "source": "Codex CXS 210 Table 1, arachis, from memory" },
        // Amino acids: of the sample (profile times 20 to 34 % protein, dry) and of the protein (N x 6.25).
        "lysine": [
          { "low": 0.50, "high": 1.29, "basis": "dry", "source": "USDA food composition, mean profile on N x 6.25, +-20 % (common practice); values other than lysine from memory" },
          { "low": 2.5, "high": 3.8, "part_of": "protein", "source": "USDA food composition, mean profile on N x 6.25, +-20 % (common practice); values other than lysine from memory" }
        ],
        "methionine": [
          { "low": 0.18, "high": 0.44, "basis": "dry", "source": "USDA food composition, mean profile on N x 6.25, +-20 % (common practice); values other than lysine from memory" },
          { "low": 0.9, "high": 1.3, "part_of": "protein", "source": "USDA food composition, mean profile on N x 6.25, +-20 % (common practice); values other than lysine from memory" }
        ],
        "cysteine": [
          { "low": 0.18, "high": 0.44, "basis": "dry", "source": "USDA food composition, mean profile on N x 6.25, +-20 % (common practice); values other than lysine from memory" },
          { "low": 0.9, "high": 1.3, "part_of": "protein", "source": "USDA food composition, mean profile on N x 6.25, +-20 % (common practice); values other than lysine from memory" }
        ],
        "threonine": [
          { "low": 0.48, "high": 1.22, "basis": "dry", "source": "USDA food composition, mean profile on N x 6.25, +-20 % (common practice); values other than lysine from memory" },
          { "low": 2.4, "high": 3.6, "part_of": "protein", "source": "USDA food composition, mean profile on N x 6.25, +-20 % (common practice); values other than lysine from memory" }
        ],
        "tryptophan": [
          { "low": 0.14, "high": 0.34, "basis": "dry", "source": "USDA food composition, mean profile on N x 6.25, +-20 % (common practice); values other than lysine from memory" },
          { "low": 0.7, "high": 1.0, "part_of": "protein", "source": "USDA food composition, mean profile on N x 6.25, +-20 % (common practice); values other than lysine from memory" }
        ],
        "arginine": [
          { "low": 1.68, "high": 4.25, "basis": "dry", "source": "USDA food composition, mean profile on N x 6.25, +-20 % (common practice); values other than lysine from memory" },
          { "low": 8.4, "high": 12.5, "part_of": "protein", "source": "USDA food composition, mean profile on N x 6.25, +-20 % (common practice); values other than lysine from memory" }
        ],
        "leucine": [
          { "low": 0.90, "high": 2.31, "basis": "dry", "source": "USDA food composition, mean profile on N x 6.25, +-20 % (common practice); values other than lysine from memory" },
          { "low": 4.5, "high": 6.8, "part_of": "protein", "source": "USDA food composition, mean profile on N x 6.25, +-20 % (common practice); values other than lysine from memory" }
        ],
        "isoleucine": [
          { "low": 0.50, "high": 1.26, "basis": "dry", "source": "USDA food composition, mean profile on N x 6.25, +-20 % (common practice); values other than lysine from memory" },
          { "low": 2.5, "high": 3.7, "part_of": "protein", "source": "USDA food composition, mean profile on N x 6.25, +-20 % (common practice); values other than lysine from memory" }
        ],
        "valine": [
          { "low": 0.58, "high": 1.50, "basis": "dry", "source": "USDA food composition, mean profile on N x 6.25, +-20 % (common practice); values other than lysine from memory" },
          { "low": 2.9, "high": 4.4, "part_of": "protein", "source": "USDA food composition, mean profile on N x 6.25, +-20 % (common practice); values other than lysine from memory" }
        ],
        "histidine": [
          { "low": 0.36, "high": 0.92, "basis": "dry", "source": "USDA food composition, mean profile on N x 6.25, +-20 % (common practice); values other than lysine from memory" },
          { "low": 1.8, "high": 2.7, "part_of": "protein", "source": "USDA food composition, mean profile on N x 6.25, +-20 % (common practice); values other than lysine from memory" }
        ],
        "phenylalanine": [
          { "low": 0.74, "high": 1.90, "basis": "dry", "source": "USDA food composition, mean profile on N x 6.25, +-20 % (common practice); values other than lysine from memory" },
          { "low": 3.7, "high": 5.6, "part_of": "protein", "source": "USDA food composition, mean profile on N x 6.25, +-20 % (common practice); values other than lysine from memory" }
        ],
        "tyrosine": [
          { "low": 0.56, "high": 1.46, "basis": "dry", "source": "USDA food composition, mean profile on N x 6.25, +-20 % (common practice); values other than lysine from memory" },
          { "low": 2.8, "high": 4.3, "part_of": "protein", "source": "USDA food composition, mean profile on N x 6.25, +-20 % (common practice); values other than lysine from memory" }
        ],
        "alanine": [
          { "low": 0.56, "high": 1.43, "basis": "dry", "source": "USDA food composition, mean profile on N x 6.25, +-20 % (common practice); values other than lysine from memory" },
          { "low": 2.8, "high": 4.2, "part_of": "protein", "source": "USDA food composition, mean profile on N x 6.25, +-20 % (common practice); values other than lysine from memory" }
        ],
        "aspartic_acid": [
          { "low": 1.70, "high": 4.35, "basis": "dry", "source": "USDA food composition, mean profile on N x 6.25, +-20 % (common practice); values other than lysine from memory" },
          { "low": 8.5, "high": 12.8, "part_of": "protein", "source": "USDA food composition, mean profile on N x 6.25, +-20 % (common practice); values other than lysine from memory" }
        ],
        "glutamic_acid": [
          { "low": 2.92, "high": 7.45, "basis": "dry", "source": "USDA food composition, mean profile on N x 6.25, +-20 % (common practice); values other than lysine from memory" },
          { "low": 14.6, "high": 21.9, "part_of": "protein", "source": "USDA food composition, mean profile on N x 6.25, +-20 % (common practice); values other than lysine from memory" }
        ],
        "glycine": [
          { "low": 0.84, "high": 2.14, "basis": "dry", "source": "USDA food composition, mean profile on N x 6.25, +-20 % (common practice); values other than lysine from memory" },
          { "low": 4.2, "high": 6.3, "part_of": "protein", "source": "USDA food composition, mean profile on N x 6.25, +-20 % (common practice); values other than lysine from memory" }
        ],
        "proline": [
          { "low": 0.62, "high": 1.56, "basis": "dry", "source": "USDA food composition, mean profile on N x 6.25, +-20 % (common practice); values other than lysine from memory" },
          { "low": 3.1, "high": 4.6, "part_of": "protein", "source": "USDA food composition, mean profile on N x 6.25, +-20 % (common practice); values other than lysine from memory" }
        ],
        "serine": [
          { "low": 0.68, "high": 1.77, "basis": "dry", "source": "USDA food composition, mean profile on N x 6.25, +-20 % (common practice); values other than lysine from memory" },
          { "low": 3.4, "high": 5.2, "part_of": "protein", "source": "USDA food composition, mean profile on N x 6.25, +-20 % (common practice); values other than lysine from memory" }
        ]
      },
      "possible": {
        "source": "common practice: wider than any breeding material",
        "moisture": { "low": 2, "high": 20, "basis": "as-is" },
        "protein": { "low": 14, "high": 42, "basis": "dry" },
        "oil": { "low": 30, "high": 65, "basis": "dry" },
        "ash": { "low": 1.5, "high": 5, "basis": "dry" },
        "sucrose": { "high": 14, "basis": "dry" },
        "protein_plus_oil": { "low": 55, "high": 92, "basis": "dry" }
      },
      "repeatability_sd": {
        "source": "common practice, customary duplicate limits / 2.8",
        "moisture": 0.07, "protein": 0.18, "oil": 0.14, "ash": 0.11, "sucrose": 0.18, "oleic": 1.07, "linoleic": 1.07
      },
      "sep": {
        "source": "taken over from soybean until the laboratory has its own: common practice",
        "moisture": 0.2, "protein": 0.5, "oil": 0.35, "sucrose": 0.45, "palmitic": 0.7, "stearic": 0.4,
        "oleic": 3, "linoleic": 2.5, "linolenic": 0.8
      },
      "sums": {
        "source": "common practice",
        "fatty_acids": { "low": 94, "high": 106, "note_low": 97, "note_high": 103 },
        // 20:0, 20:1, 22:0 and 24:0 make up 5 to 8 %: the four main acids leave 90 to 96.
        "main_fatty_acids": { "low": 84, "high": 102, "note_low": 87, "note_high": 99 },
        "proximates": { "low": 55, "high": 100 },
        "closure": { "high": 104, "note_high": 102 },
        "sugars": { "high": 1.5 },
        // Profile 0.88 on N x 6.25.
        "amino_acids": { "low": 0.65, "high": 1.20, "note_low": 0.80, "note_high": 1.10 }
      }
    }
)rules";
}

} // namespace thresh::rules
