// The table of constituents. Headings are compared after folding case, accents, blanks and punctuation, and
// after unit, part of and basis have been cut off, so each is listed once in its plain form.
// Names of fatty acids by carbon number follow the C:D notation of lipid chemistry.
#include <thresh/core/constituent.hpp>

#include <cassert>

namespace thresh {

namespace {

using enum Group;

ConstituentInfo share(std::string name, std::string title, Group group, std::uint8_t decimals,
                      std::vector<std::string_view> headings) {
    const PartOf part = group == fatty_acid ? PartOf::oil : PartOf::sample;
    return {std::move(name), std::move(title), "%", part, group, decimals, std::move(headings)};
}

ConstituentInfo index(std::string name, std::string title, std::string unit, PartOf part, Group group,
                      std::uint8_t decimals) {
    return {std::move(name), std::move(title), std::move(unit), part, group, decimals, {}};
}

std::vector<ConstituentInfo> built_in() {
    std::vector<ConstituentInfo> t = {
        // clang-format off
        share("moisture", "Moisture", proximate, 2, {"water", "moist", "h2o", "water content", "moisture content", "Feuchte", "Feuchtigkeit", "Wasser", "Wassergehalt", "humidité", "eau", "teneur en eau", "humedad", "agua", "umidade", "água"}),
        share("protein", "Protein", proximate, 2, {"crude protein", "prot", "cp", "total protein", "Eiweiß", "Eiweiss", "Rohprotein", "Protein Gehalt", "protéine", "protéines", "protéine brute", "proteína", "proteína cruda", "proteína bruta"}),
        share("oil", "Oil", proximate, 2, {"fat", "crude fat", "crude oil", "total fat", "oil content", "ether extract", "Öl", "Oel", "Fett", "Rohfett", "Ölgehalt", "huile", "matière grasse", "matières grasses", "aceite", "grasa", "óleo", "gordura", "extrato etéreo"}),
        share("ash", "Ash", proximate, 2, {"crude ash", "Asche", "Rohasche", "cendres", "cendre", "ceniza", "cenizas", "cinza", "cinzas"}),
        share("fiber", "Crude fiber", proximate, 2, {"fibre", "crude fiber", "crude fibre", "Rohfaser", "Faser", "fibres", "fibre brute", "cellulose brute", "fibra", "fibra cruda", "fibra bruta"}),
        share("starch", "Starch", proximate, 2, {"Stärke", "Staerke", "amidon", "almidón", "amido"}),
        share("sucrose", "Sucrose", sugar, 2, {"suc", "saccharose", "Saccharose", "sacarosa", "sacarose"}),
        share("raffinose", "Raffinose", sugar, 2, {"raf", "rafinosa", "rafinose"}),
        share("stachyose", "Stachyose", sugar, 2, {"sta", "estaquiosa", "estaquiose"}),
        share("verbascose", "Verbascose", sugar, 2, {"verbascosa"}),
        share("glucose", "Glucose", sugar, 2, {"Glukose", "glucosa", "glicose"}),
        share("fructose", "Fructose", sugar, 2, {"Fruktose", "fructosa", "frutose"}),
        share("sugars", "Total sugars", sugar, 2, {"total sugars", "total sugar", "sugar", "total soluble sugars", "Zucker", "Gesamtzucker", "sucres", "sucres totaux", "azúcares", "azúcares totales", "açúcares", "açúcares totais"}),
        share("lysine", "Lysine", amino_acid, 3, {"lys", "Lysin", "lisina"}),
        share("methionine", "Methionine", amino_acid, 3, {"met", "Methionin", "méthionine", "metionina"}),
        share("cysteine", "Cysteine", amino_acid, 3, {"cys", "cystine", "Cystein", "Cystin", "cystéine", "cisteína", "cistina"}),
        share("threonine", "Threonine", amino_acid, 3, {"thr", "Threonin", "thréonine", "treonina"}),
        share("tryptophan", "Tryptophan", amino_acid, 3, {"trp", "try", "tryptophane", "triptófano", "triptofano"}),
        share("arginine", "Arginine", amino_acid, 3, {"arg", "Arginin", "arginina"}),
        share("leucine", "Leucine", amino_acid, 3, {"leu", "Leucin", "leucina"}),
        share("isoleucine", "Isoleucine", amino_acid, 3, {"ile", "Isoleucin", "isoleucina"}),
        share("valine", "Valine", amino_acid, 3, {"val", "Valin", "valina"}),
        share("histidine", "Histidine", amino_acid, 3, {"his", "Histidin", "histidina"}),
        share("phenylalanine", "Phenylalanine", amino_acid, 3, {"phe", "Phenylalanin", "phénylalanine", "fenilalanina"}),
        share("tyrosine", "Tyrosine", amino_acid, 3, {"tyr", "Tyrosin", "tirosina"}),
        share("alanine", "Alanine", amino_acid, 3, {"ala", "Alanin", "alanina"}),
        share("aspartic_acid", "Aspartic acid", amino_acid, 3, {"asp", "aspartate", "Asparaginsäure", "acide aspartique", "ácido aspártico"}),
        share("glutamic_acid", "Glutamic acid", amino_acid, 3, {"glu", "glutamate", "Glutaminsäure", "acide glutamique", "ácido glutámico", "ácido glutâmico"}),
        share("glycine", "Glycine", amino_acid, 3, {"gly", "Glycin", "glicina"}),
        share("proline", "Proline", amino_acid, 3, {"pro", "Prolin", "prolina"}),
        share("serine", "Serine", amino_acid, 3, {"ser", "Serin", "sérine", "serina"}),
        share("palmitic", "Palmitic acid (16:0)", fatty_acid, 1, {"palmitic acid", "palmitate", "c16:0", "16:0", "c160", "Palmitinsäure", "acide palmitique", "ácido palmítico", "palmítico"}),
        share("palmitoleic", "Palmitoleic acid (16:1)", fatty_acid, 2, {"palmitoleic acid", "c16:1", "16:1", "c161", "Palmitoleinsäure", "acide palmitoléique", "ácido palmitoleico", "palmitoleico"}),
        share("stearic", "Stearic acid (18:0)", fatty_acid, 1, {"stearic acid", "stearate", "c18:0", "18:0", "c180", "Stearinsäure", "acide stéarique", "ácido esteárico", "esteárico"}),
        share("oleic", "Oleic acid (18:1)", fatty_acid, 1, {"oleic acid", "oleate", "c18:1", "18:1", "c181", "Ölsäure", "Oelsaeure", "acide oléique", "ácido oleico", "oleico", "ácido oléico"}),
        share("linoleic", "Linoleic acid (18:2)", fatty_acid, 1, {"linoleic acid", "linoleate", "c18:2", "18:2", "c182", "Linolsäure", "acide linoléique", "ácido linoleico", "linoleico"}),
        share("linolenic", "Linolenic acid (18:3)", fatty_acid, 1, {"linolenic acid", "linolenate", "alpha linolenic acid", "c18:3", "18:3", "c183", "Linolensäure", "acide linolénique", "ácido linolénico", "linolénico"}),
        share("arachidic", "Arachidic acid (20:0)", fatty_acid, 2, {"arachidic acid", "c20:0", "20:0", "c200", "Arachinsäure", "acide arachidique", "ácido araquídico", "araquídico"}),
        share("gondoic", "Gondoic acid (20:1)", fatty_acid, 2, {"gondoic acid", "eicosenoic", "eicosenoic acid", "c20:1", "20:1", "c201", "Gondosäure", "Eicosensäure", "acide gondoïque", "ácido gondoico"}),
        share("behenic", "Behenic acid (22:0)", fatty_acid, 2, {"behenic acid", "c22:0", "22:0", "c220", "Behensäure", "acide béhénique", "ácido behénico", "behénico"}),
        share("erucic", "Erucic acid (22:1)", fatty_acid, 2, {"erucic acid", "c22:1", "22:1", "c221", "Erucasäure", "acide érucique", "ácido erúcico", "erúcico"}),
        share("lignoceric", "Lignoceric acid (24:0)", fatty_acid, 2, {"lignoceric acid", "c24:0", "24:0", "c240", "Lignocerinsäure", "acide lignocérique", "ácido lignocérico", "lignocérico"}),
        index("protein_plus_oil", "Protein + oil", "%", PartOf::sample, derived, 2),
        index("saturates", "Saturated fatty acids", "%", PartOf::oil, derived, 1),
        index("monounsaturates", "Monounsaturated fatty acids", "%", PartOf::oil, derived, 1),
        index("polyunsaturates", "Polyunsaturated fatty acids", "%", PartOf::oil, derived, 1),
        index("iodine_value", "Iodine value", "g I2/100 g", PartOf::none, derived, 1),
        index("raffinose_family", "Raffinose-family sugars", "%", PartOf::sample, derived, 2),
        index("critical_amino_acids", "Five critical amino acids", "%", PartOf::sample, derived, 3),
        index("defatted_meal_protein", "Protein of oil-free meal", "%", PartOf::sample, derived, 2),
        index("oleic_linoleic", "Oleic : linoleic", "", PartOf::none, ratio, 2),
        index("calibration_distance", "Distance to calibration", "", PartOf::none, instrument, 2),
        index("neighbor_distance", "Distance to nearest neighbour", "", PartOf::none, instrument, 2),
        index("peak", "Peak of the wavelength standard", "nm", PartOf::none, instrument, 2),
        // clang-format on
    };
    t[constituent::calibration_distance].headings = {"calibration distance", "distance to calibration",
                                                     "distance", "global distance", "Kalibrationsabstand"};
    t[constituent::neighbor_distance].headings = {"neighbor distance", "neighbour distance",
                                                  "nearest neighbour distance", "Nachbarabstand"};
    t[constituent::peak].headings = {"peak wavelength",
                                     "peak position",
                                     "polystyrene peak",
                                     "wavelength",
                                     "Peaklage",
                                     "Wellenlänge",
                                     "pic",
                                     "pico"};
    assert(t.size() == constituent::kBuiltInCount);
    return t;
}

} // namespace

ConstituentTable::ConstituentTable() : infos_(built_in()) {}

std::optional<ConstituentId> ConstituentTable::find(std::string_view name) const {
    for (std::size_t i = 0; i < infos_.size(); ++i)
        if (infos_[i].name == name)
            return static_cast<ConstituentId>(i);
    return std::nullopt;
}

ConstituentId ConstituentTable::add_trait(ConstituentInfo info) {
    assert(!find(info.name));
    infos_.push_back(std::move(info));
    return static_cast<ConstituentId>(infos_.size() - 1);
}

const FieldInfo& field_info(TextField field) {
    static const FieldInfo kFields[kTextFields] = {
        {"sample",
         {"sample id", "sample no", "sample number", "sample name", "sampleid", "id", "packet", "packet id",
          "Probe", "Proben ID", "Probennummer", "Probe Nr", "échantillon", "id échantillon",
          "numéro échantillon", "muestra", "id muestra", "amostra", "id amostra"}},
        {"instrument",
         {"instrument id", "instrument name", "instrument serial", "device", "serial number", "Gerät",
          "Geraet", "Gerätenummer", "appareil", "instrumento", "equipo", "equipamento"}},
        {"operator",
         {"user", "technician", "read by", "Bediener", "Bearbeiter", "opérateur", "operador", "operario"}},
        {"analysis",
         {"analysis name", "product", "application", "Analyse", "Produkt", "produit", "application produit",
          "análisis", "producto", "análise", "produto"}},
        {"calibration",
         {"calibration version", "calibration name", "model", "model version", "Kalibration", "Kalibrierung",
          "étalonnage", "calibración", "calibração"}},
        {"material",
         {"material type", "crop", "seed type", "Material", "Fruchtart", "matériel", "matière", "cultivo",
          "cultura"}},
    };
    return kFields[static_cast<std::size_t>(field)];
}

const FieldInfo& time_field_info() {
    static const FieldInfo kTime = {
        "time", {"date",    "datetime",   "date time",   "timestamp",     "date and time", "time of reading",
                 "read at", "measured",   "measured at", "analysis time", "scan time",     "Datum",
                 "Zeit",    "Zeitpunkt",  "Datum Zeit",  "Messzeit",      "date heure",    "heure",
                 "fecha",   "fecha hora", "hora",        "data",          "data hora"}};
    return kTime;
}

} // namespace thresh
