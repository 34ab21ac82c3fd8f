// Built-in rules as the text of a rules file: soybean. Limits describe breeding material, not traded goods;
// every one names its source, "from memory" where the figure was not looked up again, or "common practice".
#include "rules/config/builtin_materials.hpp"

namespace thresh::rules {

std::string_view builtin_soybean_text() {
    return R"rules(
    // ---- Soybean ----
    // Narrow patterns stand before wide ones: the first match wins.
    "soybean-whole": {
      "like": "soybean",
      "when": { "analysis": ["*soy*whole*", "*whole*soy*", "*soja*ganz*", "*ganz*soja*", "*soja*enti*", "*grain*soja*", "*soja*grain*", "*soja*grano*", "*grano*soja*", "*soja*inteir*"] }
    },
    // Ground seed: the limits of whole seed until the laboratory has its own.
    "soybean-ground": {
      "like": "soybean",
      "when": { "analysis": ["*soy*ground*", "*ground*soy*", "*soy*flour*", "*soy*powder*", "*soja*gemahlen*", "*gemahlen*soja*", "*soja*schrot*", "*soja*mehl*", "*soja*moulu*", "*soja*broy*", "*farine*soja*", "*so?a*molid*", "*harina*so?a*", "*soja*mo?d*", "*soja*mo??d*", "*farinha*soja*"] }
    },
    // The presentation is not known: these limits are also the base of whole and ground.
    "soybean": {
      "when": { "analysis": ["*soy*", "*soja*"] },
      "basis": 13, // US official soybean protein and oil
      "moisture_window": { "low": 5, "high": 8, "margin": 0, "source": "common practice" },
      "key": ["moisture", "protein", "oil"],
      "prefer": "ground", // a sample is ground because its whole reading was in doubt: common practice
      "expected": {
        // Proximates, starch and sugars: what breeding material usually shows.
        "protein": { "low": 32, "high": 50, "basis": "dry", "source": "germplasm span, from memory; N x 6.25" },
        "oil": { "low": 14, "high": 26, "basis": "dry", "source": "germplasm span, from memory" },
        "ash": { "low": 4, "high": 6.5, "basis": "dry", "source": "common practice" },
        "fiber": { "low": 3.5, "high": 7, "basis": "dry", "source": "common practice" },
        "starch": { "high": 2, "basis": "dry", "source": "common practice; mature seed 0.2 to 1, Saldivar et al. 2011" },
        "sucrose": { "low": 2.5, "high": 8.5, "basis": "dry", "source": "common practice; published 2.5 to 8.2" },
        "raffinose": { "low": 0.1, "high": 1.5, "basis": "dry", "source": "common practice; published 0.1 to 1.0" },
        "stachyose": { "low": 0.3, "high": 5, "basis": "dry", "source": "common practice; published 1.4 to 4.1, low-stachyose lines below" },
        "protein_plus_oil": { "low": 55, "high": 66, "basis": "dry", "source": "common practice" },
        // Fatty acids: the traded oil where the sample list names no oil type, else by type.
        "palmitic": [
          { "low": 8.0, "high": 13.5, "source": "Codex CXS 210 Table 1, soya, from memory" },
          { "low": 2.5, "high": 8, "oil_type": "high-oleic", "source": "high-oleic lines, from memory" }
        ],
        "palmitoleic": { "high": 0.2, "source": "Codex CXS 210 Table 1, soya, from memory" },
        "stearic": [
          { "low": 2.0, "high": 5.4, "source": "Codex CXS 210 Table 1, soya, from memory" },
          { "low": 2, "high": 5, "oil_type": "high-oleic", "source": "high-oleic lines, from memory" }
        ],
        "oleic": [
          { "low": 17, "high": 30, "source": "Codex CXS 210 Table 1, soya, from memory" },
          { "low": 30, "high": 65, "oil_type": "mid-oleic", "source": "between normal and high-oleic, common practice" },
          { "low": 65, "high": 87, "oil_type": "high-oleic", "source": "high-oleic lines, from memory" }
        ],
        "linoleic": [
          { "low": 48.0, "high": 59.0, "source": "Codex CXS 210 Table 1, soya" },
          { "low": 16, "high": 52, "oil_type": "mid-oleic", "source": "between normal and high-oleic, common practice" },
          { "low": 1, "high": 16, "oil_type": "high-oleic", "source": "high-oleic lines, from memory" },
          { "low": 48, "high": 66, "oil_type": "low-linolenic", "source": "common practice" }
        ],
        "linolenic": [
          { "low": 4.5, "high": 11.0, "source": "Codex CXS 210 Table 1, soya" },
          { "low": 1.5, "high": 9, "oil_type": "mid-oleic", "source": "between normal and high-oleic, common practice" },
          { "low": 0.5, "high": 6, "oil_type": "high-oleic", "source": "high-oleic lines, from memory" },
          { "low": 0.5, "high": 4.5, "oil_type": "low-linolenic", "source": "common practice" }
        ],
        "arachidic": { "low": 0.1, "high": 0.6, "source": "Codex CXS 210 Table 1, soya, from memory" },
        "gondoic": { "high": 0.5, "source": "Codex CXS 210 Table 1, soya, from memory" },
        "behenic": { "high": 0.7, "source": "Codex CXS 210 Table 1, soya, from memory" },
        "erucic": { "high": 0.3, "source": "Codex CXS 210 Table 1, soya, from memory" },
        "lignoceric": { "high": 0.5, "source": "Codex CXS 210 Table 1, soya, from memory" },
        // Amino acids: of the sample (profile times 32 to 50 % protein, dry) and of the protein (N x 6.25).
        "lysine": [
          { "low": 1.86, "high": 3.45, "basis": "dry", "source": "breeding-laboratory range on N x 6.25, from memory" },
          { "low": 5.8, "high": 6.9, "part_of": "protein", "source": "breeding-laboratory range on N x 6.25, from memory" }
        ],
        "methionine": [
          { "low": 0.38, "high": 0.85, "basis": "dry", "source": "breeding-laboratory range on N x 6.25, from memory" },
          { "low": 1.2, "high": 1.7, "part_of": "protein", "source": "breeding-laboratory range on N x 6.25, from memory" }
        ],
        "cysteine": [
          { "low": 0.38, "high": 0.90, "basis": "dry", "source": "breeding-laboratory range on N x 6.25, from memory" },
          { "low": 1.2, "high": 1.8, "part_of": "protein", "source": "breeding-laboratory range on N x 6.25, from memory" }
        ],
        "threonine": [
          { "low": 1.12, "high": 2.20, "basis": "dry", "source": "breeding-laboratory range on N x 6.25, from memory" },
          { "low": 3.5, "high": 4.4, "part_of": "protein", "source": "breeding-laboratory range on N x 6.25, from memory" }
        ],
        "tryptophan": [
          { "low": 0.32, "high": 0.80, "basis": "dry", "source": "breeding-laboratory range on N x 6.25, from memory" },
          { "low": 1.0, "high": 1.6, "part_of": "protein", "source": "breeding-laboratory range on N x 6.25, from memory" }
        ],
        "arginine": [
          { "low": 2.14, "high": 4.55, "basis": "dry", "source": "USDA food composition, mean profile on N x 6.25, +-15 % (common practice)" },
          { "low": 6.7, "high": 9.1, "part_of": "protein", "source": "USDA food composition, mean profile on N x 6.25, +-15 % (common practice)" }
        ],
        "leucine": [
          { "low": 2.24, "high": 4.75, "basis": "dry", "source": "USDA food composition, mean profile on N x 6.25, +-15 % (common practice)" },
          { "low": 7.0, "high": 9.5, "part_of": "protein", "source": "USDA food composition, mean profile on N x 6.25, +-15 % (common practice)" }
        ],
        "isoleucine": [
          { "low": 1.34, "high": 2.85, "basis": "dry", "source": "USDA food composition, mean profile on N x 6.25, +-15 % (common practice)" },
          { "low": 4.2, "high": 5.7, "part_of": "protein", "source": "USDA food composition, mean profile on N x 6.25, +-15 % (common practice)" }
        ],
        "valine": [
          { "low": 1.38, "high": 2.90, "basis": "dry", "source": "USDA food composition, mean profile on N x 6.25, +-15 % (common practice)" },
          { "low": 4.3, "high": 5.8, "part_of": "protein", "source": "USDA food composition, mean profile on N x 6.25, +-15 % (common practice)" }
        ],
        "histidine": [
          { "low": 0.74, "high": 1.60, "basis": "dry", "source": "USDA food composition, mean profile on N x 6.25, +-15 % (common practice)" },
          { "low": 2.3, "high": 3.2, "part_of": "protein", "source": "USDA food composition, mean profile on N x 6.25, +-15 % (common practice)" }
        ],
        "phenylalanine": [
          { "low": 1.44, "high": 3.05, "basis": "dry", "source": "USDA food composition, mean profile on N x 6.25, +-15 % (common practice)" },
          { "low": 4.5, "high": 6.1, "part_of": "protein", "source": "USDA food composition, mean profile on N x 6.25, +-15 % (common practice)" }
        ],
        "tyrosine": [
          { "low": 1.06, "high": 2.20, "basis": "dry", "source": "USDA food composition, mean profile on N x 6.25, +-15 % (common practice)" },
          { "low": 3.3, "high": 4.4, "part_of": "protein", "source": "USDA food composition, mean profile on N x 6.25, +-15 % (common practice)" }
        ],
        "alanine": [
          { "low": 1.31, "high": 2.75, "basis": "dry", "source": "USDA food composition, mean profile on N x 6.25, +-15 % (common practice)" },
          { "low": 4.1, "high": 5.5, "part_of": "protein", "source": "USDA food composition, mean profile on N x 6.25, +-15 % (common practice)" }
        ],
        "aspartic_acid": [
          { "low": 3.49, "high": 7.35, "basis": "dry", "source": "USDA food composition, mean profile on N x 6.25, +-15 % (common practice)" },
          { "low": 10.9, "high": 14.7, "part_of": "protein", "source": "USDA food composition, mean profile on N x 6.25, +-15 % (common practice)" }
        ],
        "glutamic_acid": [
          { "low": 5.38, "high": 11.35, "basis": "dry", "source": "USDA food composition, mean profile on N x 6.25, +-15 % (common practice)" },
          { "low": 16.8, "high": 22.7, "part_of": "protein", "source": "USDA food composition, mean profile on N x 6.25, +-15 % (common practice)" }
        ],
        "glycine": [
          { "low": 1.28, "high": 2.70, "basis": "dry", "source": "USDA food composition, mean profile on N x 6.25, +-15 % (common practice)" },
          { "low": 4.0, "high": 5.4, "part_of": "protein", "source": "USDA food composition, mean profile on N x 6.25, +-15 % (common practice)" }
        ],
        "proline": [
          { "low": 1.63, "high": 3.45, "basis": "dry", "source": "USDA food composition, mean profile on N x 6.25, +-15 % (common practice)" },
          { "low": 5.1, "high": 6.9, "part_of": "protein", "source": "USDA food composition, mean profile on N x 6.25, +-15 % (common practice)" }
        ],
        "serine": [
          { "low": 1.60, "high": 3.40, "basis": "dry", "source": "USDA food composition, mean profile on N x 6.25, +-15 % (common practice)" },
          { "low": 5.0, "high": 6.8, "part_of": "protein", "source": "USDA food composition, mean profile on N x 6.25, +-15 % (common practice)" }
        ]
      },
      "possible": {
        "source": "common practice: wider than any breeding material",
        "moisture": { "low": 2, "high": 20, "basis": "as-is" },
        "protein": { "low": 25, "high": 60, "basis": "dry" },
        "oil": { "low": 8, "high": 32, "basis": "dry" },
        "ash": { "low": 3, "high": 9, "basis": "dry" },
        "fiber": { "low": 2, "high": 12, "basis": "dry" },
        // No lower bounds where 0 is natural: a small negative prediction is kept and used.
        "starch": { "high": 15, "basis": "dry" },
        "sucrose": { "high": 14, "basis": "dry" },
        "raffinose": { "high": 3, "basis": "dry" },
        "stachyose": { "high": 8, "basis": "dry" },
        "protein_plus_oil": { "low": 45, "high": 75, "basis": "dry" }
      },
      // 2.8 x SD are the customary limits for duplicates until a laboratory has its own SD:
      // 0.5 protein, 0.4 oil, 0.2 moisture, 0.3 ash and fiber, 3 oleic and linoleic, 0.5 sucrose.
      "repeatability_sd": {
        "source": "common practice, customary duplicate limits / 2.8",
        "moisture": 0.07, "protein": 0.18, "oil": 0.14, "ash": 0.11, "fiber": 0.11, "sucrose": 0.18,
        "oleic": 1.07, "linoleic": 1.07
      },
      "sep": {
        "source": "middle of the usual span of whole-seed calibrations, from memory; sugars but sucrose, palmitic and stearic common practice",
        "moisture": 0.2, "protein": 0.5, "oil": 0.35, "fiber": 0.3, "sucrose": 0.45, "raffinose": 0.15,
        "stachyose": 0.4, "lysine": 0.065, "palmitic": 0.7, "stearic": 0.4, "oleic": 3, "linoleic": 2.5,
        "linolenic": 0.8
      },
      "sums": {
        "source": "common practice",
        "fatty_acids": { "low": 94, "high": 106, "note_low": 97, "note_high": 103 },
        // The five main acids make up 97 to 99.5 % of soybean oil (Canadian surveys 98.4).
        "main_fatty_acids": { "low": 92, "high": 105, "note_low": 95, "note_high": 102 },
        "proximates": { "low": 55, "high": 100 },
        // Only an upper bound: part of the carbohydrate is not read.
        "closure": { "high": 104, "note_high": 102 },
        "sugars": { "high": 1.5 },
        // Free amino acids weigh about a sixth more than their residues; profile 1.08 on N x 6.25.
        "amino_acids": { "low": 0.65, "high": 1.20, "note_low": 0.80, "note_high": 1.10 }
      }
    }
)rules";
}

} // namespace thresh::rules
