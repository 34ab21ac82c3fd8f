// Headings under which the columns of sample lists and decisions stand, by language (English, German, French,
// Spanish, Portuguese). Intake compares them without case, accents, blanks and punctuation. Order is that of
// the column enumerations in list_columns.hpp.
#include "batch/list_columns.hpp"

#include <algorithm>
#include <cassert>
#include <thresh/batch/list_reader.hpp>
#include <thresh/batch/reference.hpp>

namespace thresh::batch {

const std::vector<ListHeading>& sample_list_headings() {
    static const std::vector<ListHeading> kHeadings = {
        {"sample", {"sample id",          "sampleid", "sample no",  "sample number", "packet",
                    "packet id",          "seed id",  "barcode",    "Probe",         "Proben ID",
                    "Probennummer",       "Probe Nr", "Tüte",       "échantillon",   "id échantillon",
                    "numéro échantillon", "muestra",  "id muestra", "amostra",       "id amostra"}},
        {"line",
         {"entry",     "entry name",  "line name", "genotype", "breeding line", "variety",  "cultivar",
          "accession", "designation", "Linie",     "Genotyp",  "Zuchtstamm",    "Stamm",    "Sorte",
          "Prüfglied", "lignée",      "génotype",  "variété",  "línea",         "genotipo", "variedad",
          "linha",     "linhagem",    "genótipo",  "variedade"}},
        {"trial",
         {"trial name", "trial id", "experiment", "test", "nursery", "Versuch", "Prüfung", "essai",
          "expérience", "ensayo", "experimento", "ensaio"}},
        {"environment",
         {"env", "site", "trial site", "field site", "Umwelt", "Standort", "Ort", "environnement", "ambiente",
          "sitio", "localidad", "localidade"}},
        {"year",
         {"season", "crop year", "harvest year", "Jahr", "Erntejahr", "année", "año", "ano", "safra"}},
        {"rep",
         {"replication", "replicate", "rep no", "Wiederholung", "Wdh", "répétition", "repetición",
          "repetição"}},
        {"block", {"incomplete block", "blk", "Block", "bloc", "bloque", "bloco"}},
        {"plot",
         {"plot no", "plot number", "plot id", "Parzelle", "Parzellennummer", "Parzelle Nr", "parcelle",
          "parcela", "número de parcela"}},
        {"check",
         {"is check", "check variety", "check cultivar", "control variety", "Vergleichssorte",
          "Standardsorte", "témoin", "testigo", "testemunha"}},
        {"material", {"crop", "seed type", "Fruchtart", "Kultur", "matériel", "cultivo", "cultura"}},
        {"kind", {"seed kind", "sample kind", "sample type", "type", "Art", "Typ", "genre", "tipo"}},
        {"generation", {"gen", "Generation", "Nachkommenschaft", "génération", "generación", "geração"}},
        {"oil_type",
         {"oil type", "oil profile", "fatty acid type", "Öltyp", "type d'huile", "tipo de aceite",
          "tipo de óleo"}},
        {"seed_coat",
         {"seed coat", "coat", "coat color", "coat colour", "seed color", "seed colour", "testa",
          "Samenschale", "Schalenfarbe", "Kornfarbe", "tégument", "couleur", "tegumento", "color de semilla",
          "cor da semente"}},
        {"mass_g",
         {"mass", "mass g", "weight", "weight g", "seed mass", "seed weight", "Masse", "Gewicht", "Masse g",
          "Gewicht g", "poids", "masse g", "peso", "peso g", "masa", "massa"}},
        {"keep_whole",
         {"keep whole", "do not grind", "irreplaceable", "nicht mahlen", "ganz lassen", "ne pas moudre",
          "no moler", "não moer"}},
        {"treated",
         {"treatment", "seed treatment", "treated seed", "gebeizt", "Beize", "Beizung", "traité",
          "traitement", "tratado", "tratada", "tratamiento", "tratamento"}},
        {"location",
         {"storage", "stored at", "shelf", "box", "tray", "Lagerort", "Lager", "Kiste", "emplacement",
          "almacén", "ubicación", "armazém", "localização"}},
        {"due",
         {"due date", "needed by", "deadline", "fällig", "Frist", "bis wann", "échéance", "à rendre",
          "fecha límite", "vence", "prazo"}},
        {"duplicate_of",
         {"duplicate of", "duplicate", "blind duplicate of", "copy of", "Duplikat von", "Doppel von",
          "double de", "duplicado de", "duplicata de"}},
    };
    assert(kHeadings.size() == static_cast<std::size_t>(ListColumnIndex::count));
    return kHeadings;
}

const std::vector<ListHeading>& decision_headings() {
    static const std::vector<ListHeading> kHeadings = {
        {"sample",
         {"sample id", "sampleid", "Probe", "Proben ID", "Probennummer", "échantillon", "muestra",
          "amostra"}},
        {"source", {"file", "file name", "export", "Datei", "Quelle", "fichier", "archivo", "arquivo"}},
        {"row",
         {"row number", "line number", "Zeile", "numéro de ligne", "fila", "número de fila",
          "número da linha"}},
        {"time", {"time of reading", "read at", "timestamp", "Zeit", "Messzeit", "heure", "hora"}},
        {"constituent",
         {"trait", "column", "Inhaltsstoff", "Merkmal", "constituant", "constituyente", "constituinte"}},
        {"code", {"finding", "Befund", "constat", "hallazgo", "achado"}},
        {"decision", {"action", "what", "Entscheidung", "décision", "decisión", "decisão"}},
        {"to", {"new id", "new sample", "rename to", "neu", "neue ID", "nouveau", "nuevo", "novo"}},
        {"reason", {"why", "comment", "remark", "Grund", "Begründung", "raison", "motivo", "razón"}},
        {"initials", {"by", "person", "who", "Kürzel", "Zeichen", "initiales", "iniciales", "iniciais"}},
        {"date", {"decided", "decided on", "Datum", "fecha", "data"}},
    };
    assert(kHeadings.size() == static_cast<std::size_t>(DecisionColumnIndex::count));
    return kHeadings;
}

const std::vector<std::string_view>& list_column_names() {
    static const std::vector<std::string_view> kNames = [] {
        std::vector<std::string_view> names;
        for (const auto* headings : {&sample_list_headings(), &decision_headings(), &reference_headings()})
            for (const ListHeading& heading : *headings)
                if (std::find(names.begin(), names.end(), heading.name) == names.end())
                    names.push_back(heading.name);
        return names;
    }();
    return kNames;
}

} // namespace thresh::batch
