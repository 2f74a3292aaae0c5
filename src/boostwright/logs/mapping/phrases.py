"""Words of a name that mean something together: put as one word, or as words that the table of words knows."""

from __future__ import annotations

import re

__all__ = ["joined"]

_OF = r"(?:[\s_'-]*(?:de|du|des|do|da|del|della|dell|di|d|l|la|of|the)(?=[\s_'-]))*[\s_'-]*"
"""Small words that may stand between two nouns."""

_ENDS = {"v": " before ", "n": " after "}
"""German logs write v and n for vor and nach."""

_TABLE = (
    # thoughts of one language that fall apart as single words
    (r"\bfly[\s_-]*wheel\b|\bvolant[\s_-]*moteur\b|\bvolant\b(?=.*\bmoteur)|\bvolano\b", " engine "),
    (r"\bdrivers?[\s_-]*(s[\s_-]*)?demand\b(?!.*torque)|\bfahrer[\s_-]*wunsch\b(?!.*moment)", " pedal "),
    (r"\bdrivers?[\s_-]*(s[\s_-]*)?(demand|request)\b", " target "),
    (r"\b(demande|souhait)[\s_-]*(du[\s_-]*)?conducteur\b", " pedal "),
    (r"\brichiesta[\s_-]*(del[\s_-]*)?(guidatore|pilota)\b", " pedal "),
    (r"\bacc(el(erator)?)?[\s_.-]*(?=pedal|pdl|pos\b)", " pedal "),
    (r"(?<=\bpedale )acc(el)?\b", " "),
    (r"\btb[\s_-]*(?=angle|pos|opening)", " throttle "),
    (r"\bgas[\s_-]*(?=pedal|pedaal)", " "),
    (r"\bpedal[\s_-]*foot\b|\bfoot[\s_-]*pedal\b", " pedal "),
    (r"\bdes[\s_'-]+(?=gaz|roue|inject|cylind|tours|motor|turbo|verdicht|lade|kuehl|oel|abgas|fahr|kraft)", " "),
    (r"\b(rapport|marcia|marcha|vitesse|gear|gang|bieg)[\s_-]+(engag|enclench|inserit|engran)\w*", " gear "),
    (r"\brapport[\s_-]+(de[\s_]+)?(boite|vitesse)\w*|\bnumero[\s_-]+(de[\s_]+)?(rapport|marcha)", " gear "),
    (r"\bcurrent[\s_-]+gear\b|\b(transmission|gearbox|trans)[\s_-]+(actual[\s_-]+|current[\s_-]+)*gear\b", " gear "),
    (rf"\b(rapport|ciclo|cycle|cykl){_OF}(cyclique|cycl|trabajo|lavoro|travail|service|trabalho|pracy)\b", " duty "),
    (r"\bduty[\s_-]*cycle\b|\bduty[\s_-]*ratio\b|\bcyclic[\s_-]*ratio\b|\barbeids?syklus\b", " duty "),
    (
        rf"\b(temps|tiempo|tempo|time|tid|czas|tijd|duree|durata){_OF}"
        r"(?=d[ei]?[\s_']|inj|ini|iny|ins|wtr|opn|open|apert|ouv)",
        " time ",
    ),
    (r"\bopen(ing)?[\s_-]*time\b|\bon[\s_-]*time\b", " time "),
    (r"\bsonde?a?([\s_-]*\d)?$(?<=\d)|^sond[ae]([\s_-]*\d)?$", " lambda "),
    (r"\beq(uiv(alence)?)?[\s_-]*rat(io)?\b", " lambda ratio "),
    (r"\bair[\s_-]*ratio\b|\bexcess[\s_-]*air\b", " lambda "),
    (r"\bmixture([\s_-]*(ratio|strength))?\b", " afr "),
    (r"\ba/f\b|\bair[\s/_-]*(to[\s/_-]*)?fuel([\s_-]*ratio)?\b|\brapport[\s_-]*air[\s_-]*\w*\b", " afr "),
    (r"\brapporto[\s_-]*aria[\s_/-]*\w*|\brelacion[\s_-]*aire[\s_/-]*\w*|\brelacao[\s_-]*ar[\s_/-]*\w*", " afr "),
    (
        r"\b(lucht|luft|air|aire|aria|ar)[\s/_-]*(brandstof|kraftstoff|benzin|carburant|bransle|combust|paliw)\w*"
        r"([\s_-]*(verhouding|verhaeltnis|ratio))?",
        " afr ",
    ),
    (r"\bgas[\s_-]*klep\w*", " throttle "),
    (r"\bkr\b", " knock retard "),
    (r"\bf/a([\s_-]*ratio)?\b|\bfuel[\s/_-]*(to[\s/_-]*)?air([\s_-]*ratio)?\b|\brichesse\b(?!.*lambda)", " foreign "),
    (r"\brev(olution)?s?[\s_-]*(counter|count)\b", " rpm "),
    (r"\bdrive[\s_-]*press(ure)?\b", " backpressure "),
    (
        r"\bair[\s_-]*box\b|\bair[\s_-]*filter\b|\bfiltre?[oa]?[\s_-]*(a|de|di|d)?[\s_'-]*(air|aire|aria|ar)\b",
        " airbox ",
    ),
    (r"\bn[\s_-]*(tc|tl|atl)\b", " turbo rpm "),
    (r"\b([nv])[\s_.-]*(t|tl|atl|tu)\s*$", lambda found: _ENDS[found[1]] + "turbine "),
    (r"\b([nv])[\s_.-]*(llk|ic)\b", lambda found: _ENDS[found[1]] + "cooler "),
    (r"\b([nv])[\s_.-]*(dk)\b", lambda found: _ENDS[found[1]] + "throttle "),
    (r"\b([nv])[\s_.-]*(v|vd|verd)\s*$", lambda found: _ENDS[found[1]] + "compressor "),
    (r"\bped\w*[\s_-]+(przyspieszen\w*|gazu)", " pedal "),
    (r"^(avance|anticipo|advance|avanco|timing)$", " spark angle "),
    (r"\brco\b", " duty "),
    (r"\btac[\s_]*(?=pct|$)", " throttle target "),
    (r"\bcinp\b", " compressor intake pressure "),
    (r"\bcint\b", " compressor intake temperature "),
    (r"\bbp[\s_]+[ab][\s_]+(act|cmd)\b", r" boost pressure \1 "),
    (r"^ep[\s_]*\d*$", " exhaust pressure "),
    (r"\btit\b|\btot\b(?=.*tur)", " turbine before temperature "),
    (r"\bfuel[\s_-]*pr\b", " fuel pressure "),
    (r"\bfrp\b", " fuel rail pressure "),
    (r"\beot\b", " oil temperature "),
    (r"\beop\b", " oil pressure "),
    (r"\biap\b", " intake pressure "),
    (r"\bcact\b|\bact\b(?=[\s_]*\d*$)(?<!\w[\s_]act)", " iat "),
    (r"\bh[\s_]*2[\s_]*o\b", " coolant "),
    (r"\be[\s_]*85\b", " ethanol "),
    (r"\bvehicle[\s_-]*speed[\s_-]*sensor\b|\bwheel[\s_-]*based[\s_-]*(vehicle[\s_-]*)?speed\b", " vehicle speed "),
    (r"\broad[\s_-]*speed\b|\bground[\s_-]*speed\b", " vehicle speed "),
    (r"\bo[\s_]*2[\s_]*s?\b", " oxygen "),
    (r"\bcrank[\s_-]*shaft\b|\bcrank[\s_-]*angle[\s_-]*(?=speed)", " crankshaft "),
    (r"\bcam[\s_-]*shaft\b", " camshaft "),
    (r"\b(drive|throttle)[\s_-]*by[\s_-]*wire\b|\b[dte]bw\b|\betc\b", " throttle "),
    (r"\b(luft|lucht|air|aire?|aria)[\s_'-]*(verbrauch|verbruik|consumption|forbrukning)\w*\b", " maf "),
    (r"\bth?[\s_]*pos(ition|n)?\b", " throttle position "),
    (r"^im[\s_]+(?=pr|p\b|te?mp|t\b)", " intake manifold "),
    (r"^em[\s_]+(?=pr|p\b|te?mp|t\b)", " exhaust manifold "),
    (r"\bp[\s_]*crank\b|\bcrank[\s_]*(case)?[\s_]*(?=pres|prs|p\b)", " crankcase pressure "),
    # which end of a thing
    (r"\b(off|out[\s_]*of|leaving|from)[\s_]+(the[\s_]+)?(?=turb|comp|cool|inter|charge|ic\b)", " after "),
    (r"\b(into|entering|going[\s_]*in(to)?)[\s_]+(the[\s_]+)?(?=turb|comp|cool|inter|charge|ic\b|throt)", " before "),
    (r"\b(turbine|turbo|compressor|comp|cooler|ic|intercooler)[\s_-]+in\b", r"\1 before "),
    (r"\bna[\s_-]+wlocie\b|\bprzed\b", " before "),
    (r"\bna[\s_-]+wylocie\b", " after "),
    (r"\ben[\s_-]+(entree|amont)\b|\ba[\s_-]+monte\b|\baguas[\s_-]+arriba\b|\bup[\s_-]*stream\b", " before "),
    (r"\ben[\s_-]+(sortie|aval)\b|\ba[\s_-]+valle\b|\baguas[\s_-]+abajo\b|\bdown[\s_-]*stream\b", " after "),
    (r"\bpre(\.|[\s_-]+(?=[a-z])|(?=turb|comp|throt|cool|cat|inter|ic\b))", " before "),
    (r"\bpost(\.|[\s_-]+(?=[a-z])|(?=turb|comp|throt|cool|cat|inter|ic\b))", " after "),
    (r"\bdown[\s_-]*pipe\b", " exhaust after turbine "),
    (r"\bboost[\s_-]*pipe\b|\bcharge[\s_-]*pipe\b|\bladeluftrohr\b", " cooler after "),
    # stations along the charge
    (
        rf"\bcharge[\s_-]*air[\s_-]*cooler\b|\binter[\s_-]*cooler\b|\bcharge[\s_-]*cooler\b|\bair[\s_-]*cooler\b"
        rf"|\becha?ngeur{_OF}(air)?\b|\bradiateur{_OF}air\b|\bchlodnic\w*[\s_-]*powietrz\w*"
        rf"|\bscambiatore{_OF}\w*\b|\bintercambiador{_OF}\w*\b|\brefroidisseur{_OF}air\b",
        " cooler ",
    ),
    (r"\bcharge[\s_-]*(air|temp)", r" intake \1"),
    (r"\b(air|temp\w*)[\s_-]*charge\b", r" intake \1 "),
    (r"\bcharge[\s_-]*pressure", " boost pressure"),
    (r"\bt(emp)?[\s_-]*charge\b", " boost temperature "),
    (r"\bmoment[\s_'-]*d?[\s_'-]*allumage\b|\bpoint[\s_'-]*d?[\s_'-]*allumage\b", " spark angle "),
    (r"\bpressure[\s_-]*charge\b", " boost pressure "),
    (r"\b(inlet|intake)[\s_-]*(tract|runner|plenum)\b", " intake manifold "),
    (r"\bback[\s_-]*pressure\b|\bback[\s_-]*press\b|\bcontre?a?[\s_-]*press?i?\w*\b|\bpressione[\s_-]*di[\s_-]*ritorno\b",
     " backpressure pressure "),
    (r"\bwa?ste?[\s_-]*ga?te?\b|\bw[\s_-]*gate\b", " wastegate "),
    (r"\b(turbine|turbo|compressor)[\s_-]*wheel\b", r" \1 shaft "),
    # flows and fuel
    (
        rf"\bmass[\s_-]*air([\s_-]*flow)?\b|\bair[\s_-]*mass\b|\bair[\s_-]*flow([\s_-]*rate)?\b|\bdebit{_OF}air\b"
        rf"|\bmass[ea]{_OF}(air|aire|aria|ar|powietrza)\b|\b(flusso|portata|caudal|vazao|przeplyw|consumo|consommation){_OF}(aria|aire|ar|powietrza)\b"
        rf"|\bmasow\w*{_OF}powietrza\b|\bdebit[\s_-]*massique\b",
        " maf ",
    ),
    (r"\bpulse[\s_-]*width\b|\bpuls[\s_-]*breite\b", " pulsewidth "),
    (r"\bto[\s_-]*rail\b|\bcommon[\s_-]*rail\b", " rail "),
    (r"\bset[\s_-]*point\b|\bset[\s_-]*value\b", " target "),
    (r"\bflex[\s_-]*fuel\b", " ethanol "),
    (r"\bfuel[\s_-]*trim\b", " trim "),
    (r"\b(short|long)[\s_-]*term\b", r" \1 "),
    (r"\btaken[\s_-]*(out|back)\b|\bpulled[\s_-]*(out|back)?\b", " retard "),
    # the rest
    (r"\bbrake[\s_-]*(?=torque|power)", " engine "),
    (r"\bat[\s_-]*(the[\s_-]*)?(wheels?|hubs?)\b|\baux?[\s_-]*roues?\b|\balle[\s_-]*ruote\b", " wheel "),
    (r"\bam[\s_-]*rad\b|\ba[\s_-]*la[\s_-]*(rueda|roue)\b", " wheel "),
    (r"\b(control|ecu)[\s_-]*(module|unit)?[\s_-]*(voltage|supply|volts)\b", " battery voltage "),
    (r"\bsystem[\s_-]*(voltage|volts)\b|\bkey[\s_-]*switch\b", " battery voltage "),
    (r"\bbattery[\s_-]*potential\b(\s*/?\s*power[\s_-]*input[\s_-]*\d*)?", " battery voltage "),
    (r"\b(revolutions|revoluciones|revs|tours|rotacoes|giri|umdrehungen|obrotow|varv|toeren|omwentelingen)"
     r"[\s_-]*(per|por|par|al|na|pro)[\s_-]*(min\w*|minuto|minut[ey]?)\b", " rpm "),
    (r"\bde[\s_-]*tours\b", " rpm "),
    (r"\bdu[\s_-]*moteur\b", " engine "),
    (r"\bt[\s_]?amb\b", " ambient temperature "),
    (r"\bat[\s_-]*current[\s_-]*speed\b", " "),
)  # fmt: skip
_PHRASES = tuple((re.compile(pattern), put) for pattern, put in _TABLE)
_STATION = re.compile(r"^\s*([pt])[\s_.-]*(21|22|[1-4])(?![0-9])")
_STATIONS = {"p": "pressure", "t": "temperature"}


def joined(text: str) -> str:
    """A name in small letters with its phrases put as words of the table."""
    for pattern, put in _PHRASES:
        text = pattern.sub(put, text)
    return _STATION.sub(lambda found: f" {_STATIONS[found[1]]} station{found[2]} ", text)
