"""What a text says is used: the words that betray the iron, the mains, a lithium cell, a drill, a solvent and the like.

A text is taken at its word. Better one sentence too many asked to declare what it uses than one hazard passed over in
silence: a sentence that is wrongly asked can say how the part is held ("from its socket") or name the use.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Iterator

_ON_THIS: Final = r"(?:the|each|every|all|both|it|its|them|a|an|one|two|this|that|these|those|new|old|\{)"
"""Begins what a verb acts on."""

_BETRAYED_BY: Final[tuple[tuple[str, str, str], ...]] = (
    (
        "iron",
        r"\bsoldering iron\b|\bhot iron\b|\biron tip\b|\b(?:un|de)-?solder\w*|\bre-?flow(?:ed|ing|s)?\b"
        r"|\bre-?solder\w*"
        r"|\bsoldering (?:the|each|it|a|both|them)\b|\bfresh solder\b|\bfeed (?:the )?solder\b"
        # The verb; "Solder has run onto the lug" and the like speak of the metal.
        r"|(?:^|[.;:!?,]\s+|\b(?:and|then|to|or|first|you|must|now|may)\s+)solder\b(?=\s+[\w{])(?!\s+(?:has|is"
        r"|was|are|runs?|ran"
        r"|creeps|feathers|flows?|does|did|that|must|may|can|could|on|of|and|or|in|wire|joints?|splash\w*|fume|stays?"
        r"|will|left|dross|balls?|bridges?|lead-free|leaded)\b)"
        rf"|\btin {_ON_THIS}"
        r"|(?:with|by|of|the|some|solder|desoldering) braid\b"
        rf"|\b(?:melt|heat) (?:up )?{_ON_THIS}\s?(?:[\w{{}}.-]+\s){{0,3}}?(?:solder|joints?|lugs?|pads?|legs?"
        rf"|pins?)\b"
        r"|\b(?:re-?make|mend|re-?do|repair) (?:[\w{}.-]+\s){0,4}?joints?\b"
        r"|\{solder\.",
        "the iron",
    ),
    (
        "tin-lead-solder",
        r"\b(?:leaded|Sn6[03]\w*|SnPb\w*|tin[- ]lead|lead solder|6[03]/(?:40|37))\b",
        "solder with lead",
    ),
    (
        "mains-inlet",
        r"\bmains\b|\b(?:wall|house|venue|stage|power|mains) (?:sockets?|outlets?|power|strip|board)\b"
        r"|\binto the wall\b"
        r"|\bat the wall\b|\bextension (?:lead|cord)\b|\bmulti-?way (?:socket|strip)\b|\b(?:IEC|kettle) (?:lead"
        r"|inlet)\b"
        r"|\b(?:2[234]0|1[12]0|100) ?V ?(?:AC|~)|\b(?:230|240) ?V\b|\bopen(?:ing)? (?:up )?(?:the |its |a |an )?"
        r"(?:\w+ )?(?:power supply|supply unit|adapter|adaptor|charger|wall wart)\b",
        "the mains",
    ),
    (
        "lithium-cell",
        r"\blithium\b|\bli-?(?:ion|po|poly\w*|fe\w*)\b|\bpower[- ]?(?:banks?|packs?)\b|\bbattery packs?\b|\b18650s?\b"
        r"|\brechargeable\b|\b(?:re)?charg(?:e|ing) (?:the |its |a |each )?(?:batter\w+|cells?|packs?)\b"
        r"|\bcoin cells?\b",
        "a lithium cell",
    ),
    (
        "drill",
        r"\bdrill(?:ing)?\b|\bdrills (?:the|it|a|each|of|through)\b|\bdrilled (?:out|through|to|open|with|by"
        r"|up)\b|\bream(?:er|ers|ing)?\b|\bcountersink(?:s|ing)?\b"
        rf"|\bbor(?:e|ing) (?:out )?{_ON_THIS}\b|\bhole (?:cutter|punch)\b|\brotary tool\b|\bstep bit\b",
        "a drill",
    ),
    (
        "saw",
        r"(?<!you )(?<!he )(?<!she )(?<!we )(?<!they )(?<!who )\bsaws?\b|\bsaw(?:ing|n)\b|\b(?:hack|fret|jig|band"
        r"|coping)[- ]?saws?\b",
        "a saw",
    ),
    (
        "file",
        r"\bfile (?:the|each|it|its|both|all|them|off|down|away|back|a|every)\b(?! (?:report|claim|note|name|copy"
        r"|digest))"
        r"|\b(?:needle|flat|round|half-round) files?\b|\bfiling\b|\bdeburr(?:ing)?\b|\b(?:sand|emery"
        r"|glass)[- ]?paper\b"
        r"|\bgrind(?:s|ing|er)?\b|\bsand(?:ing)? (?:the|each|it|its|down|off)\b",
        "a file",
    ),
    (
        "isopropanol",
        r"\bisoprop\w+\b|\bIPA\b|\balcohol\b(?!\s+(?:away|off)\b)|\bmethylated\b|\bmeths\b|\b(?:white"
        r"|surgical) spirit\b|\bacetone\b|\bbenzine\b"
        r"|\bsolvents?\b(?!-)|\bflux (?:remover|cleaner)\b|\bthinners?\b(?= )(?! (?:than|wire))|\bdegreaser\b",
        "a solvent",
    ),
    (
        "contact-cleaner",
        r"\b(?:contact|switch|track|fader|pot|electronics?|carbon) (?:cleaner|spray)\b|\bcleaner (?:made )?for\b"
        r"|\b(?:the|a|of|with|some|any|more|little) cleaner\b(?! than)|\b(?:squirt|drop|jet) of cleaner\b",
        "contact cleaner",
    ),
    (
        "aerosol",
        r"\baerosols?\b|\bspray (?:cans?|paint|lacquer)\b|\b(?:canned|compressed|tinned) (?:air|gas)\b|\bair duster\b"
        r"|\bcan of (?:air|spray)\b|\blacquer\b|\bspray (?:the|each|it|its|on|into|onto|some|a)\b",
        "an aerosol",
    ),
    (
        "freezer-spray",
        r"\b(?:freez\w+|cold|cooling) spray\b|\bfreeze (?:the|each|it|one|part)\b|\bspray\w* (?:it"
        r"|[\w ]{1,20}) cold\b",
        "freezer spray",
    ),
    (
        "hot-air",
        r"\b(?:hot|warm)[- ]air\b|\bheat gun\b|\bhair ?dryer\b|\bhot[- ]?blower\b|\brework station\b"
        r"|(?<!heat-)(?<!heat )\bshrink(?:s|ing)? (?:the|it|its|each|every|all|both|them|on|down|a|new|sleeves?|\{)",
        "hot air",
    ),
    (
        "adhesive",
        r"\bepoxy\b|\bcyanoacrylate\b|\bsuper ?glue\b|\bglu(?:e|es|ed|ing)\b|\bhot[- ](?:glue|melt)\b|\bresin\b"
        r"|\btwo-part\b"
        r"|\b(?:instant|drop of|dab of|with|some|apply|spread) adhesive\b(?! (?:tape|backing|side|strip|film|feet"
        r"|foot|pads?))"
        r"|\bsilicone (?:sealant|rubber)\b",
        "an adhesive",
    ),
    (
        "crimp-tool",
        r"\b(?:re-?)?crimp (?:(?:the|each|it|its|a|an|on|both|new|them|one|every|all|contacts?)\b|\{)"
        r"|\bcrimp(?:ing)? (?:tool|pliers)\b"
        r"|\bcrimper\b",
        "a crimp tool",
    ),
    (
        "torque-driver",
        r"\{torque\}|\btorque[- ](?:driver|screwdriver|wrench|key)\b|\btorque (?:it|the|each|them)\b"
        r"|\btighten\b[^;!?]*?\d\s?c?N[ ·]?c?m\b",
        "a torque",
    ),
    (
        "headphones",
        r"\bhead-?(?:phones?|sets?)\b|\bear-?(?:phones?|buds?|pieces?)\b|\bin-ears?\b|\bphones on\b",
        "headphones",
    ),
    (
        "soak",
        r"\bsoak(?:s|ing)?\b|\bburn-in\b|\bleave (?:it|the \w+|them) (?:\w+ )?(?:on|running|powered)\b(?! (?:the"
        r"|its|a|one)\b)",
        "a soak",
    ),
)  # fmt: skip
"""(use, words that betray it, what it is called): a text that names the thing must declare that it is used."""

_PART: Final = (
    r"(?:(?:capacitors?|resistors?|diodes?|multiplexers?|transistors?|regulators?|chips?|ICs?|LEDs?|ferrites?"
    r"|inductors?"
    r"|pull-(?:ups?|downs?)|receptacles?)\b(?!['’]s?\b)|\d[\d.,]*\s?(?:pF|nF|µF|uF|Ω|kΩ|MΩ|ohm|kohm|Mohm)(?!\w))"
)
"""A small part, by its name or its value."""
_CONTROL: Final = (
    r"(?:faders?|pots?|potentiometers?|encoders?|toggles?|push-?buttons?|lamps?"
    r"|controls?)\b(?!['’]s?\b)(?! (?:caps?|knobs?)\b)"
)
"""A control: its wires are soldered, so that one cannot take another's place without the iron."""

_GAP: Final = (
    r"\s+(?:(?!over\b|under\b|near\b|beside\b|behind\b|before\b|after\b|until\b|while\b|when\b|where\b|whether\b"
    r"|which\b"
    r"|values?\b|readings?\b|ranges?\b|names?\b|labels?\b|note\b|lid\b|knobs?\b|caps?\b|lead of\b|mapping\b|design\b"
    r"|threshold\b|off\b)[\w{}.µ'’-]+\s+){0,6}?"
)
"""What may stand between a verb and the part it acts on: nothing that makes another thing the one acted on."""
_PUT: Final = (
    r"(?:fit(?:s|ting)?|replac(?:e|es|ing)|swap(?:s|ping)?|exchang(?:e|es|ing)|chang(?:e|es|ing)|renew(?:s|ing)?"
    r"|substitut(?:e|es|ing)|install(?:s|ing)?|mount(?:s|ing)?|remov(?:e|es|ing)|add(?:s|ing)?|insert(?:s|ing)?"
    r"|attach(?:es|ing)?|connect(?:s|ing)?|join(?:s|ing)?|(?:lift|pull|cut|clip|snip|take) (?:out|off)|(?:put"
    r"|wire|tack) (?:in|on|back))"
)
"""Verbs that put a part in or take it out."""

_FITTED: Final = re.compile(
    rf"\b{_PUT}{_GAP}(?:{_PART})"
    # "Take the old resistor out", "Lift one end of the diode off the board".
    rf"|\b(?:take|lift|put|pull|cut|clip|snip|lay|set){_GAP}{_PART}[^,;:]*?\b(?:out|off|in|back|across"
    rf"|between)\b(?!\s+(?:its|the) (?:middle|hand)\b)"
    rf"|\b(?:replac(?:e|es|ing)|chang(?:e|es|ing)|renew(?:s|ing)?|swap(?:s|ping)? (?:in|out)){_GAP}(?:{_CONTROL})"
    # "The resistor is replaced", "the old diode comes out".
    rf"|{_PART}(?:\s+(?!that\b|which\b|not\b)[\w{{}}.-]+){{0,4}}?\s+(?:replaced|changed|swapped|exchanged|renewed"
    rf"|removed|taken (?:out|off)"
    r"|put (?:in|back|on))\b"
    rf"|{_PART}\s+(?:comes?|goes|go) (?:out|in|off|on|back)\b"
    # Wires and legs on lugs and pads.
    r"|\b(?:attach|join|connect|fasten|fix|take|lift|free|remove|move|put)\s+(?:[\w{}.'’-]+\s+){0,5}?"
    r"(?:wires?|leads?|strands?|legs?|ends?)\s+(?:[\w{}.'’-]+\s+){0,5}?(?:(?:to|onto|on|off|from|into)\s+)"
    r"(?:[\w{}.'’-]+\s+){0,3}?(?:lugs?|pads?|joints?)\b",
    re.I,
)
"""Words that put a small part or a wire in, or take it out: it is soldered unless the clause says otherwise."""

_HELD: Final = re.compile(
    r"\bpress(?:ed|es)? (?:it )?in\b"
    r"|\b(?:from|into|in|out of|to|onto|between|across)\s+(?:[\w{}-]+\s+){0,3}?"
    r"(?:sockets?|clips?|crocodiles?|screw terminals?|test leads?|hooks?|breadboard|header)\b",
    re.I,
)
"""Words of a clause in which the part is held by something else than solder."""
_FROM_STORE: Final = re.compile(
    r"\b(?:tak\w+|remov\w+|lift\w*|pull\w*)\b.*\b(?:from|out of)\s+(?:[\w{}-]+\s+){0,3}?"
    r"(?:trays?|bags?|box|boxes|reels?|tape|drawers?|kit)\b"
    r"|\b(?:put|add|lay|set)\b.*\b(?:to|into|in|on)\s+(?:[\w{}-]+\s+){0,3}?"
    r"(?:trays?|bags?|box|boxes|drawers?|kit|bench|mat|list|bill|order|note)\b",
    re.I,
)
"""Words of a clause in which the part is only handled."""

_CLAUSE: Final = re.compile(
    r"[.;:!?]+(?=\s|$)|,(?!\s*(?:\d|of\b|between\b|into\b|from\b|in\b))|\bthen\b"
    r"|\b(?:and|or|but)\b(?=\s+(?:then\s+)?(?:put|take|lay|keep|bag|measure|replace|fit|remove|swap|change|plug"
    r"|unplug|clip|look"
    r"|lift|set|clean|solder|pull|drop|store|label|note|press|add|exchange|check|mark|write|wipe|test|bend|cut"
    r"|push|hold)\b)",
    re.I,
)
"""Where one act of a sentence ends: what holds one part says nothing of the part in the next clause."""

_NEGATED: Final = re.compile(
    r"\b(?:no|never|not|without|avoid|instead of|unplugged from the)\s+(?:any\s+|the\s+|an?\s+)?$", re.I
)


def hidden_uses(text: str) -> Iterator[tuple[str, str]]:
    """What a text says is used, as (use, words); a thing that the text forbids is not used."""
    for use, pattern, what in _BETRAYED_BY:
        for match in re.finditer(pattern, text, re.I):
            if not _NEGATED.search(text[: match.start()] + re.match(r"\W*", match[0])[0]):  # type: ignore[index]
                yield use, what
                break
        else:
            if use == "iron" and any(map(_is_fitted, _CLAUSE.split(text))):
                yield use, "fitting a part, which is soldered"


def _is_fitted(clause: str) -> bool:
    """Whether a clause has a small part soldered in or out, without naming the iron."""
    match = _FITTED.search(clause)
    if match is None or _NEGATED.search(clause[: match.start()]):
        return False
    return not _HELD.search(clause) and not _FROM_STORE.search(clause)
