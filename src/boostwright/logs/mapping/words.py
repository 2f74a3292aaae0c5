"""Words that name a channel, in the languages logs come in, each brought to one notion of our own.

A name is cut into words at blanks, signs and changes of case; German and Nordic compounds are cut where a known stem
ends. Short words count only when they stand alone.
"""

from __future__ import annotations

import re
from functools import lru_cache

from boostwright.logs.mapping.unit_words import find_unit, folded

__all__ = ["notions"]

# notion -> words; one with a star may stand inside a longer word, the others stand alone
_WORDS = {
    # quantities
    "pressure": "pressure* press pres druck* druecke pression* presion* pressione* cisnienie* tryck* druk* tlak* pressao* p",
    "temperature": "temperature* temperatur* temp temps_ temperatura* teplota* temperatuur* tmp lampotila* thermo",
    "rotation": "rpm drehzahl* dz regime* regimen* giri* obroty* obr varvtal* varv toerental* otacky* rev revs umdrehung* tours n obrotow* rotations revolutions rotacao*",
    "speed": "speed* geschwindigkeit* geschw vitesse* velocidad* velocita* predkosc* hastighet* snelheid* rychlost* spd vel velocity velocidade*",
    "flow": "flow* durchfluss* strom debit* caudal* flusso* portata* przeplyw* flode* stroom* prutok* rate flw durchsatz*",
    "mass": "mass masse* massen* masa* massa* hmotnost*",
    "position": "position* pos stellung* posicion* posizione* pozycja* lage* poloha* stand opening* winkel* offnung* oeffnung* apertura* pct",
    "angle": "angle* winkel* advance* vorhalt* avance* anticipo* kat*",
    "duty": "idc duty* tastverhaeltnis* tastverhaltnis* tv dc dutycycle* wypelnienie* auslastung*",
    "voltage": "voltage* volt volts spannung* tension* tensione* napiecie* spanning* napeti* volts_ spaenning* ubat vbat",
    "torque": "torque* drehmoment* moment* couple* par coppia* mrd md trq moment_obr vridmoment* koppel*",
    "power": "power* leistung* puissance* potencia* potenza* moc effekt* pwr vermogen* vykon* hp_ ps kw",
    "lambda": "lambda* lam o2 oxygen* wideband* breitband* widebands wb wbo2 sonde* sonda*",
    "afr": "afr airfuel* afr1 afr2 air_fuel luftzahl_",
    "humidity": "humidity* feuchte* humidite* humedad* umidita* luftfuktighet*",
    "time": "pw ti time zeit* dauer* duration* pulsewidth* pulse pw ipw czas width*",
    "level": "level* pegel* niveau* nivel* noise*",
    "retard": "retard* ruecknahme* retrait* retardo* retraso* ritardo* rueckzug* pull",
    "trim": "trim* korrektur* correction* correccion* correzione* korekta* stft ltft corr adaption*",
    "load": "load last charge_ carga* carico* obciazenie* belastning*",
    "share": "content* anteil* share percentage* concentration*",
    "difference": "differential* difference* differenz* delta dp diff differenzdruck*",
    "latitude": "latitude* lat breitengrad*",
    "longitude": "longitude* lon laengengrad* lng",
    "acceleration": "acceleration* accel_ beschleunigung* gforce* acc_",
    # places and things
    "engine": "engine* motor* moteur* motore* silnik* eng crank* kurbelwelle* mot motorn",
    "turbo": "turbo* turbocharger* turbolader* atl lader turbosprezarka* turbocompresseur*",
    "shaft": "shaft* welle* arbre* eje albero*",
    "vehicle": "vehicle* fahrzeug* car fzg vehicule* vehiculo* veicolo* pojazd* fordon* auto vss ground* voertuig*",
    "wheel": "wheel* rad* roue* rueda* ruota* kolo whl hub hubs nabe* at_wheels whp wtq",
    "roller": "roller* dyno* rolle* rouleau* rodillo* rullo* rolka prufstand* pruefstand*",
    "gps": "gps gnss sat",
    "gear": "gear* gang rapport* marcha* marcia* bieg vaxel* versnelling* gearpos",
    "throttle": "throttle* drosselklappe* dk papillon* mariposa* farfalla* przepustnica* tps tp spjall* gasspjall* gasklep* dkp etb",
    "pedal": "pedal* accelerator* gaspedal* fahrpedal* accelerateur* acelerador* acceleratore* fp pps app gaz apps fahrerwunsch*",
    "intake": "intake* inlet* saug* ansaug* admision* einlass* admission* collecteur_adm aspiration* aspirazione* dolot* insug* inlaat* sani* ladeluft* inducto* charge_air",
    "manifold": "manifold* saugrohr* collecteur* collettore* colector* kolektor* krummer* kruemmer* plenum* insugsror* sammler*",
    "map": "map",
    "iat": "iat act_ mat",
    "ambient": "ambient* umgebung* aussen* auen* ambiant* ambiente* otoczenia* outside* exterieur* exterior* omgevings* okoli* yttre* oat aat amb",
    "baro": "baro* barometric* barometer* atmospheric* atmos* luftdruck* atmospherique* atmosferica* atm atmospheric_ umgebungsdruck*",
    "boost": "boost* ladedruck* suralimentation* sobrealimentacion* sovralimentazione* doladowan* laddtryck* turbodruk* ladd* turbotryck* ld",
    "compressor": "compressor* verdichter* compresseur* compresor* compressore* sprezark* kompressor* kompressorn* comp",
    "cooler": "cooler* intercooler* ladeluftkuehler* llk ic echangeur* intercooler_ charge_cooler aftercooler* laddluftkylare* caac cac kuehler*",
    "exhaust": "exhaust* abgas* auspuff* echappement* escape* scarico* wydech* spalin* avgas* uitlaat* vyfuk* exh",
    "turbine": "turbine* turbina*",
    "egt": "egt egts abgastemp* avgastemp* tc_egt",
    "emap": "emap emp",
    "gate": "wastegate* gate wg waste",
    "gate_part": "gate_ward",
    "solenoid": "solenoid* taktventil* magnetventil* electrovanne* elettrovalvola* zawor* n75 ebc bcs_ solenoide*",
    "coolant": "coolant* kuehlmittel* kuhlmittel* kuehlwasser* wasser* water* refroidissement* refrigerante* raffreddamento* plynu_chl chlodz* kylvatten* koelvloeistof* koelwater* ect clt cts liquide* agua acqua eau kuhlwasser* kylv* wt ewt",
    "oil": "oil* oel* ol huile* aceite* olio olej* olja olje* olie oile",
    "fuel": "fuel* kraftstoff* benzin* sprit* carburant* combustible* carburante* paliw* bransle* brandstof* essence* palivo* benzina* combustivel* petrol*",
    "rail": "rail* rampe* verteiler* listwa*",
    "injector": "pw idc injector* inj einspritz* injecteur* inyector* iniettore* wtrysk* ipw idc injection* ti insprut*",
    "maf": "maf luftmasse* luftmassen* airmass* air_mass lmm mafr airflow* hfm",
    "air": "air luft* aire aria powietrz* lucht* vzduch*",
    "spark": "spark* ignition* zuendung* zuend* zund* allumage* encendido* accensione* zaplon* ign tandning* timing* zzp ontsteking* zw",
    "knock": "knock* klopf* cliquetis* detonation* picado* detonazione* stuk stukow* knack* klop* ks knk det_ klepani*",
    "battery": "battery* batt batterie* bateria* batteria* akumulator* ubatt ub vbatt bordnetz* accu bat system_v",
    "crankcase": "crankcase* kurbelgehaeuse* carter* blowby* vevhus*",
    "ethanol": "ethanol* flex* alcohol* e85* flexfuel* etanol*",
    "gearbox": "gearbox* transmission* getriebe* boite* caja* cambio* skrzyni* trans vaxellad* versnellingsbak*",
    "cylinder": "cylinder* cyl zylinder* zyl cylindre* cilindro* cylind*",
    "bank": "bank* bnk",
    "short": "short stft kurz* court* corto* stft1 st",
    "long": "long ltft lang* ltft1 lt",
    # where a thing stands, and what is meant by it
    "before": "before* vor pre upstream* avant antes prima inlet_ entry przed fore innan voor ein_ eintritt* entree* preturbo* precomp* preturbine* t3_ p3_ pret",
    "after": "after* nach post downstream* apres despues dopo outlet* out za efter na austritt* sortie* postturbo* posttb* postic* discharge* posturbine* postturbine*",
    "target": "target* soll* desired* setpoint* consigne* objetivo* obiettivo* zadan* bor borvarde* tgt req request* requested* command* commanded* cmd des demand* wanted* goal* sp gewenst* zadany* sollwert* aim",
    "actual": "actual* ist measured* gemessen* act mesure* medido* reel aktuell* filtered* current_",
    "error": "error* abweichung* deviation* err regelabweichung* ecart* fehler*",
    "limit": "limit* max maximum* min minimum* threshold* grenz* cap peak highest lowest warning* alarm* mini maxi",
    "average": "average* avg mean* mittel* moyenne* media_ medio durchschnitt*",
    "absolute": "absolute* absolut* abs absolu* assolut* bezwzgled* absolut",
    "gauge": "gauge* relative* relativ* relatif* rel manometric* ueberdruck* gage",
    "raw": "raw adc counts volts_in voltage_raw sensorspannung*",
    "flag": "flag* active* enabled* status* state* switch* mode fault* aktiv* bit zustand* relay* lamp* light* cut",
    "integral": "integral proportional derivative pid ki kp kd i_term d_term p_term interim",
    "fan": "fan* luefter* ventilateur*",
    "brake": "brake* bremse* frein* freno* hamulec* broms*",
    "steering": "steering* lenkung* lenkwinkel*",
    "egr": "egr agr",
    "cam": "cam cams vvt vanos camshaft* nockenwelle* arbre_a_cames ",
    "backpressure": "backpressure* gegendruck* ebp contrapres*",
    "neutral": "sensor sens value val signal sig channel ch can ecu gas the of de du des di la le der die das von van un el l d e log logged measured input analog analogue in for and at obd pid real data total s a b st state_ corrected_ calc calculated est estimated raw_ main primary reading gasses gases system current ve fuelling from del to based control direct sum y v no nr",
    "model": "model* modelled* modelliert*",
    "clutch": "clutch* kupplung* embrayage*",
    "per": "counter* count index number distance odometer* altitude* consumption* verbrauch* economy cost tank",
}  # fmt: skip

_ALONE: dict[str, set[str]] = {}
_STEMS: list[tuple[str, str]] = []
for _notion, _text in _WORDS.items():
    for _word in _text.split():
        _bare = _word.rstrip("*_")
        _ALONE.setdefault(_bare, set()).add(_notion)
        if _word.endswith("*") and len(_bare) >= 3:
            _STEMS.append((_bare, _notion))
_STEMS.sort(key=lambda pair: -len(pair[0]))

_CAMEL = re.compile(r"(?<=[a-z])(?=[A-Z])|(?<=[A-Z])(?=[A-Z][a-z])|(?<=[A-Za-z])(?=\d)|(?<=\d)(?=[A-Za-z])")
_PHRASES = (
    (re.compile(r"\bair[\s/_-]*fuel\b"), " afr "),
    (re.compile(r"\bmass[\s_-]*air([\s_-]*flow)?\b|\bair[\s_-]*mass\b|\bair[\s_-]*flow([\s_-]*rate)?\b"), " maf "),
    (re.compile(r"\bmasse[\s_-]*d?[' ]?air\b|\bmasa[\s_-]*(de[\s_-]*)?aire\b|\bdebit[\s_-]*d?[' ]?air\b|\bflusso[\s_-]*aria\b"), " maf "),
    (re.compile(r"\bpulse[\s_-]*width\b"), " pulsewidth "),
    (re.compile(r"\bback[\s_-]*pressure\b"), " backpressure pressure "),
    (re.compile(r"\bwaste[\s_-]*gate\b"), " wastegate "),
    (re.compile(r"\bcharge[\s_-]*air[\s_-]*cooler\b|\binter[\s_-]*cooler\b|\bcharge[\s_-]*cooler\b"), " cooler "),
    (re.compile(r"\bcharge[\s_-]*(air|temp)"), r" intake \1"),
    (re.compile(r"\bcharge[\s_-]*pressure"), " boost pressure"),
    (re.compile(r"\bto[\s_-]*rail\b"), " rail "),
    (re.compile(r"\bset[\s_-]*point\b"), " target "),
    (re.compile(r"\bflex[\s_-]*fuel\b"), " ethanol "),
    (re.compile(r"\bfuel[\s_-]*trim\b"), " trim "),
    (re.compile(r"\bduty[\s_-]*cycle\b"), " duty "),
    (re.compile(r"\bpre([\s_-]+(?=[a-z])|(?=turb|comp|throt|cool|cat))"), " before "),
    (re.compile(r"\bpost([\s_-]+(?=[a-z])|(?=turb|comp|throt|cool|cat))"), " after "),
    (re.compile(r"\bbrake[\s_-]*(?=torque|power)"), "engine "),
    (re.compile(r"\bo2\b"), " oxygen "),
    (re.compile(r"\bt[\s_]?amb\b"), " ambient temperature "),
    (re.compile(r"\bde[\s_-]*tours\b|\bdu[\s_-]*moteur\b"), " rpm engine "),
)  # fmt: skip


@lru_cache(maxsize=8192)
def notions(name: str) -> tuple[frozenset[str], tuple[int, ...], tuple[str, ...]]:
    """What a name speaks of: its notions, the numbers in it, and the words that are not known."""
    text = _CAMEL.sub(" ", re.sub(r"\bO2", "oxygen", name))
    text = folded(text.replace("ä", "ae").replace("ö", "oe").replace("ü", "ue").replace("Ä", "ae").replace("Ö", "oe").replace("Ü", "ue"))
    for pattern, put in _PHRASES:
        text = pattern.sub(put, text)
    found: set[str] = set()
    numbers: list[int] = []
    unknown: list[str] = []
    for word in re.split(r"[^a-z0-9]+", text):
        if not word:
            continue
        if word.isdigit():
            numbers.append(int(word))
            continue
        got = _of_word(word)
        if got:
            found |= got
        elif find_unit(word, strict=True) is None:  # a unit in the name says nothing of the channel
            unknown.append(word)
    return frozenset(found), tuple(numbers), tuple(unknown)


def _of_word(word: str) -> set[str]:
    """The notions of one word: of the whole, else of the stems it is made of."""
    if word in _ALONE:
        return _ALONE[word]
    found: set[str] = set()
    rest = word
    for stem, notion in _STEMS:
        if len(stem) >= 4 and stem in rest or rest.startswith(stem) and len(stem) >= 4:
            found.add(notion)
            rest = rest.replace(stem, " ", 1)
    for piece in rest.split():
        if piece in _ALONE and len(piece) >= 3:
            found |= _ALONE[piece]
    return found
