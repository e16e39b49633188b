#include "importer/register/heading_table.h"

#include <algorithm>
#include <array>

namespace trayproof::registers {
namespace {

// English as wards write it, and the commonest words in German, Spanish, French and Portuguese; from memory.
constexpr auto table = std::to_array<HeadingWords>({
    {"by",
     "operator|done by|staff|nurse|attendant|technician|conducted by|performed by|recorded by|entered by|packed by|"
     "read by|bediener|durchgefuhrt von|personal|responsable|operador|realizado por|operateur|effectue par",
     ""},
    {"note", "notes|remark|remarks|comment|comments|bemerkung|bemerkungen|observaciones|observacoes|remarques", ""},
    {"precision", "time precision", ""},
    {"second", "second person|countersigned by|second signature|zweite person", ""},
    {"patient",
     "mrn|mothers hosp no|mother s hosp no|mother s hospital no|hosp no|mothers hospital no|patient number|patient "
     "no|patient id|hospital number|hospital no|registration number|uhid|ip no|"
     "patientennummer|patienten nr|paciente|numero de paciente|historia clinica|numero patient",
     ""},
    {"newborns", "newborn|newborn number|baby|babies|infant|child number|neugeborene|kind|recien nacido|nouveau ne",
     ""},
    {"newborns_without_number", "newborns without number|babies without number", ""},
    {"procedure",
     "procedure no|procedure number|case|case number|delivery no|delivery number|operation no|"
     "operation number|register no|eingriff|op nr|fall|procedimiento|intervencion|acte|procedimento",
     ""},
    {"sort",
     "procedure type|type of procedure|type of delivery|delivery type|mode of delivery|mode|delivery|operation|"
     "procedure name|name of procedure|art|art des eingriffs|tipo|type d acte",
     "procedure-done"},
    {"sort", "kind|equipment type|type of equipment|device type|supply|geratetyp|tipo|type", "equipment-registered"},
    {"sort", "kind|supply|supply type|product", "supply-received"},
    {"place",
     "ward|room|location|department|unit|labour room|labor room|theatre|shelf|issued to|ort|station|raum|lugar|"
     "sala|servicio|lieu|salle",
     ""},
    {"packs",
     "pack|pack ids|packs used|packs in load|sets used|trays|tray ids|contents|pakete|packungen|paquetes|"
     "paquets|pacotes",
     "procedure-done|load-started"},
    {"pack", "pack id|pack number|tray pack|paket|packung|paquete|paquet|pacote", ""},
    {"set", "tray|kit|instrument set|set name|sieb|juego|bandeja|plateau|conjunto", ""},
    {"wrap", "wrapping|packaging|wrapped in|verpackung|envoltura|emballage|embalagem", ""},
    {"indicator_lot", "indicator batch|lot of indicator|ci lot|indikator charge", ""},
    {"wrap_lot", "wrap batch|lot of wrap", ""},
    {"detergent_lot", "detergent batch|lot of detergent", ""},
    {"disposable_lot", "disposable kit lot|kit lot|kit batch", ""},
    {"disposable", "disposable kit|disposable kit used", ""},
    {"implant", "implant used|implantat|implante", ""},
    {"lot", "batch|batch number|lot number|charge|chargennummer|lote", ""},
    {"load", "load number|load id|cycle load|chargen nr|charge|carga|charge no|numero de carga", ""},
    {"method",
     "programme|program|cycle type|process|type of cycle|verfahren|programm|metodo|ciclo|methode|programa|"
     "cleaning method",
     ""},
    {"equipment",
     "sterilizer|steriliser|autoclave|machine|device|equipment id|sterilisator|gerat|autoklav|esterilizador|"
     "autoclave no|equipo|sterilisateur|equipamento|logger",
     ""},
    {"cycle", "cycle number|cycle counter|zyklus|zyklusnummer|numero de ciclo|numero de cycle", ""},
    {"temperature_c", "temperature|temp|temp reached|temperatur|temperatura|sterilizing temperature", ""},
    {"hold_min",
     "hold|hold time|holding time|exposure time|exposure|sterilizing time|haltezeit|"
     "tiempo de exposicion|temps de maintien|time at temperature",
     ""},
    {"pressure_kpa_gauge", "pressure|druck|uberdruck|presion|pression|pressao|gauge pressure", ""},
    {"dry", "packs dry|load dry|trocken|seco|sec", ""},
    {"complete", "completed|cycle complete|cycle completed|vollstandig|completo|complet", ""},
    {"result", "outcome|test result|reading result|ergebnis|resultado|resultat", ""},
    {"control", "control result|control ampoule|kontrolle|kontrollampulle|testigo|temoin", ""},
    {"biological", "bi|spore test|biological indicator|ampoule|bioindikator|indicador biologico", ""},
    {"hours", "incubation|incubation hours|hours incubated|incubation time|inkubation", ""},
    {"where", "position|indicator position|where placed|lage", ""},
    {"type", "indicator type|class|klasse|clase", "indicator-read|supply-received"},
    {"basis", "released on|release basis", ""},
    {"early", "early release|reason for early release", ""},
    {"why", "reason|why|grund|motivo|motif|razon", ""},
    {"why_withdrawn", "reason|reason withdrawn|grund", ""},
    {"state", "returned as|condition", ""},
    {"found", "inspection|findings|inspection result|befund", ""},
    {"missing", "missing instruments|missing items|fehlend|faltante", ""},
    {"rinsed", "rinsing|gespult", ""},
    {"solution", "bath|basin|solution id|solution number|losung|solucion|bain|solucao", ""},
    {"agent", "chemical|disinfectant|product|mittel|desinfektionsmittel|desinfectante|desinfectant", ""},
    {"use", "used for|purpose|zweck|uso|usage", ""},
    {"percent", "strength|concentration|percentage|konzentration|concentracion|concentracao|measured strength", ""},
    {"strip", "strip result|test strip|teststreifen", ""},
    {"stock_percent", "stock strength|stock concentration", ""},
    {"stock_ml", "stock|stock volume|stock solution", ""},
    {"water_ml", "water|water volume|wasser|agua|eau", ""},
    {"powder_g", "powder|powder weight|pulver", ""},
    {"available_percent", "available chlorine|available strength", ""},
    {"covered", "lid|covered with lid|abgedeckt", ""},
    {"check", "check type|type of check|test|prufung|art der prufung|control type", "equipment-checked"},
    {"as_found_k", "as found|error found|deviation|abweichung|as found error", ""},
    {"accuracy_k", "accuracy|uncertainty|genauigkeit", ""},
    {"certificate", "certificate number|cert|zertifikat|certificado|certificat", ""},
    {"serial", "serial number|serial no|s n|seriennummer|numero de serie", ""},
    {"person",
     "staff|staff id|staff number|staff no|employee|employee number|person id|mitarbeiter|personalnummer|"
     "empleado|matricula",
     ""},
    {"name", "full name|staff name|name of staff|nombre|nom", ""},
    {"roles", "role|designation|function|funktion|rolle|cargo|fonction|funcao", ""},
    {"skill", "competence|competency|trained in|fahigkeit", ""},
    {"title", "name|description|bezeichnung|nombre|nom", "set-defined|facility-described"},
    {"items", "instruments|contents|list of instruments|inhalt|instrumente|instrumental", "set-defined"},
    {"contact", "category|risk|spaulding|risk class", ""},
    {"count", "quantity|qty|pieces|anzahl|menge|cantidad|quantite", ""},
    {"number", "count|total|anzahl|numero|nombre", "counted"},
    {"what", "counted", "counted"},
    {"read_hours", "read after|reading time", ""},
    {"from", "supplier|received from|source|lieferant|proveedor|fournisseur", "pack-received"},
    {"use_by", "expiry|expires|best before|verfall|caducidad|peremption|validade", ""},
    {"expires", "expiry|best before|use by|verfall|verfallsdatum|caducidad|peremption|validade", ""},
    {"until", "valid until|next due|due|next calibration|calibration due|gultig bis|valido hasta",
     "equipment-checked|competence-recorded"},
});

constexpr auto times = std::to_array<std::pair<std::string_view, TimeWord>>({
    {"date", TimeWord::time},
    {"datum", TimeWord::time},
    {"fecha", TimeWord::time},
    {"data", TimeWord::time},
    {"dia", TimeWord::time},
    {"day", TimeWord::time},
    {"jour", TimeWord::time},
    {"tag", TimeWord::time},
    {"time", TimeWord::time},
    {"zeit", TimeWord::time},
    {"uhrzeit", TimeWord::time},
    {"zeitpunkt", TimeWord::time},
    {"hora", TimeWord::time},
    {"heure", TimeWord::time},
    {"clock", TimeWord::time},
    {"timestamp", TimeWord::time},
    {"when", TimeWord::time},
    {"datetime", TimeWord::time},
    {"at", TimeWord::time},
    {"start", TimeWord::start},
    {"started", TimeWord::start},
    {"begin", TimeWord::start},
    {"began", TimeWord::start},
    {"beginn", TimeWord::start},
    {"inicio", TimeWord::start},
    {"debut", TimeWord::start},
    {"from", TimeWord::start},
    {"von", TimeWord::start},
    {"beginning", TimeWord::start},
    {"startzeit", TimeWord::start},
    {"in", TimeWord::start},
    {"end", TimeWord::end},
    {"ended", TimeWord::end},
    {"ende", TimeWord::end},
    {"finish", TimeWord::end},
    {"finished", TimeWord::end},
    {"until", TimeWord::end},
    {"stop", TimeWord::end},
    {"fin", TimeWord::end},
    {"fim", TimeWord::end},
    {"to", TimeWord::end},
    {"bis", TimeWord::end},
    {"endzeit", TimeWord::end},
    {"out", TimeWord::end},
    {"expiry", TimeWord::expiry},
    {"expires", TimeWord::expiry},
    {"expiration", TimeWord::expiry},
    {"verfall", TimeWord::expiry},
    {"caducidad", TimeWord::expiry},
    {"peremption", TimeWord::expiry},
    {"validade", TimeWord::expiry},
    {"due", TimeWord::due},
    {"next", TimeWord::due},
    {"valid", TimeWord::due},
    {"gultig", TimeWord::due},
    {"placed", TimeWord::placed},
});

constexpr auto deeds = std::to_array<std::string_view>(
    {"delivery",    "procedure", "operation",   "surgery",  "birth",        "geburt",    "parto",    "read",
     "reading",     "test",      "tested",      "check",    "checked",      "packing",   "packed",   "wash",
     "washed",      "cleaning",  "cleaned",     "received", "receipt",      "prepared",  "mixed",    "issue",
     "issued",      "opened",    "stored",      "cycle",    "load",         "run",       "released", "release",
     "calibration", "service",   "enrolled",    "joined",   "soak",         "soaked",    "returned", "discarded",
     "done",        "performed", "event",       "rejected", "withdrawn",    "inspected", "recorded", "counted",
     "eingriff",    "prufung",   "preparation", "solution", "sterilization"});

constexpr auto fillers = std::to_array<std::string_view>(
    {"no", "nr",  "id",  "ids", "num", "number", "numero", "nummer", "n",  "of",   "the", "and",
     "or", "der", "die", "das", "des", "und",    "de",     "del",    "la", "el",   "y",   "le",
     "du", "d",   "l",   "et",  "do",  "da",     "e",      "code",   "s",  "used", "on",  "per"});

template <typename List>
bool holds(const List& list, std::string_view word) {
  return std::find(list.begin(), list.end(), word) != list.end();
}

}  // namespace

std::span<const HeadingWords> heading_table() { return table; }

TimeWord time_word(std::string_view word) {
  const auto found = std::find_if(times.begin(), times.end(), [&](const auto& one) { return one.first == word; });
  return found == times.end() ? TimeWord::none : found->second;
}

bool is_deed(std::string_view word) { return holds(deeds, word); }
bool is_filler(std::string_view word) { return holds(fillers, word); }

}  // namespace trayproof::registers
