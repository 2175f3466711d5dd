# ruff: noqa: E501 - a list of words reads best in one line
"""Words that builders and designers write on drawings, in English, French, German and Spanish."""

from __future__ import annotations

import re

_I = re.IGNORECASE

COUNT = re.compile(
    r"(?<![\w.])(?:"
    r"[x\u00d7]\s?(?P<a>\d{1,3})"
    r"|(?P<b>\d{1,3})\s?[x\u00d7](?!\s?\d)"
    r"|(?P<c>\d{1,3})\s?(?:-\s?)?(?:off|pcs?\.?|pieces?|stk\.?|st\.|st\u00fcck|mal|fois|pi\u00e8ces?|veces|piezas?"
    r"|uds?\.?|unidades|times|req(?:uired|'?d)?|needed|exemplaires?|ex\.)"
    r"|(?:qty|quantity|qt\u00e9|quantit\u00e9|anzahl|menge|cantidad|cant\.?|make|cut|needs?|fertige|s\u00e4ge|faire"
    r"|couper|hacer|cortar)\.?\s?[:=]?\s?(?P<d>\d{1,3})"
    r")(?![\w.])(?!\s?(?:mm|cm|in\b|ft\b))",
    _I,
)
"""A number of pieces: "x 6", "2x", "2 off", "MAKE 2", "qty: 3", "4 Stk", "2 fois", "cant. 2"."""

SECTION = re.compile(r"(?<![\w.])(?P<a>\d{2,3})(\s?)[x\u00d7]\2(?P<b>\d{2,3})(?![\w.])", _I)
"""Width and thickness of a batten in mm, "32 x 18": no number of pieces, and no name."""

THICKNESS = re.compile(
    r"(?<![\w./])(?P<t>\d{1,2}(?:[.,]\d+)?\s?mm"
    r"|(?:\d+[- ])?\d+/\d+\s?(?:in(?:ch(?:es)?)?\b|\"|\u2033))"
    r"(?:\s?(?:ply(?:wood)?|thk|thick|marine|sperrholz|dick|contreplaqu\u00e9|\u00e9p\.?|contrachapado))?(?!\w)",
    _I,
)

HAND = re.compile(
    r"(?<!\w)(?P<hand>port(?:\s?(?:&|and|\+|/)\s?(?:starboard|stbd))?|starboard|stbd|stb|p\s?[&/+]\s?s|b\s?[&/+]\s?s"
    r"|(?:(?:make|cut)\s(?:a\s|one\s)?)?(?:(?P<pairs>\d{1,2})\s?)?(?:pairs?|prs?\b\.?|paires?|paar|pare?s?\b)|backbord|steuerbord|b\u00e2bord|tribord|babor|estribor|mirrored|gespiegelt"
    r"|handed|(?:1|one)\s(?:each\s)?(?:hand|side))(?!\w)",
    _I,
)
"""Which side of the boat, or both."""

PAIRED = re.compile(
    r"&|\+|/|and|pair|paar|\bpare?s?\b|\bprs?\b|mirror|spiegel|handed|hand|side", _I
)
"""Hands that mean one for each side."""

LAYERS = re.compile(
    r"(?<![\w./-])(?P<n>[2-9])\s?(?:layers?|laminations?|lagen|lagig|schichten|couches|\u00e9paisseurs|capas)(?!\w)",
    _I,
)
"""How many layers are glued up to one part."""

HALF = re.compile(
    r"(?<!\w)(?:\(?\s*half(?:[ -](?:shown|drawn|only|pattern|section))?\s*\)?|1/2\s(?:shown|drawn)|\u00bd|h\u00e4lfte|halb(?:er|e|es)?"
    r"|moiti\u00e9|demi(?:e)?|mitad|medi[oa])(?!\w)",
    _I,
)
"""Half of it is drawn."""

HOLE = re.compile(
    r"hole|cut[- ]?out|lighten|limber|opening|hatch|inspection|\u00d8|\bdia\b|loch|ausschnitt|\u00f6ffnung|bohr"
    r"|trou|d\u00e9coupe|ouverture|per\u00e7age|agujero|hueco|recorte|taladro|drill|pocket|inside|inner|\bint\b",
    _I,
)
"""Says that a line is cut out."""

TITLE = re.compile(
    r"(?<!\w)(?:scale|drawn(?: by)?|date|drg|dwg|drawing (?:no|number|title)|sheet (?:no\.?|number)?\s?\d+ of"
    r"|rev(?:ision)?\.?|checked|approved|design(?:er|ed by)|project|title|copyright"
    r"|ma(?:\u00df|ss)stab|gezeichnet|gepr\u00fcft|datum|zeichnung(?:snr)?|entwurf"
    r"|\u00e9chelle|dessin\u00e9|v\u00e9rifi\u00e9|titre|plan n|escala|fecha|dibujado|revisado|t\u00edtulo|plano)(?!\w)",
    _I,
)

EDGE = re.compile(
    r"edge view|side view|end view|profile view|section [a-z]-|seitenansicht|schnitt [a-z]|vue de (?:c\u00f4t\u00e9|profil|chant)"
    r"|vista (?:lateral|de canto)",
    _I,
)

STATION = re.compile(
    r"^\s*(?:st|sta|stn|station|stat|sp|spt|spant|couple|cuaderna|section|frame line)?\.?\s?#?\s?\d{1,2}(?:[.,]\d)?\s*$",
    _I,
)
"""A whole label that numbers a station."""

REFERENCE = re.compile(
    r"^\s*(?:c\.?\s?l\.?|(?:c\s?/\s?l)|\u2104|centre?[ -]?lines?|center[ -]?lines?|base[ -]?lines?|b\.?\s?l\.?|(?:load |design(?:ed)? )?water[ -]?lines?"
    r"|d?w\.?l\.?|l\.?w\.?l\.?|buttocks?(?: lines?)?|stations?|sta\.?|mittellinie|basislinie|wasserlinie|ligne (?:m\u00e9diane|de base|d'eau)"
    r"|l\u00ednea (?:central|base|de agua)|cruj\u00eda)\s?\d{0,2}\s*[.:]?\s*$",
    _I,
)
"""A whole label that names a line to measure from, never a part."""

_WORD = r"(?:^|[\W_\d])"
_END = r"(?:$|[\W_\d])"
BORDER_LAYER = re.compile(
    r"frame[ _-]?(line|border)|border|title|drawing[ _-]?frame|sheet|page|paper|rahmen|blatt|cadre|cartouche|marco"
    r"|stock|hoja|l\u00e1mina",
    _I,
)
TITLE_LAYER = re.compile(r"title|cartouche|schriftfeld|rotulo|r\u00f3tulo|caj\u00e9tin", _I)
DIMENSION_LAYER = re.compile(
    _WORD
    + r"dim(?:s|ension\w*)?"
    + _END
    + r"|measur|annot|bema\u00df|bemass|"
    + _WORD
    + r"(?:ma\u00dfe?|masse?)"
    + _END
    + r"|"
    + _WORD
    + r"(?:cotes?|cotas?|quotes?)"
    + _END
    + r"|defpoints|acotaci",
    _I,
)
STATION_LAYER = re.compile(
    r"station|spanten?riss|grid|buttock|waterline|wasserlin|raster|trame|rejilla", _I
)
MARKER_LAYER = re.compile(
    r"mark(?:er|s|ing)?" + _END + r"|balloon|bubble|symbol|rep\u00e8re|marca", _I
)
ALLOWANCE_LAYER = re.compile(
    r"allow|tool[ _-]?path|offset|zugabe|\u00fcberma\u00df|surcote|marge|sobremedida|margen|router|cutter|fr\u00e4sbahn|kerf",
    _I,
)
CONSTRUCTION_LAYER = re.compile(
    r"constr|hilfs|"
    + _WORD
    + r"aux\w*"
    + _END
    + r"|guide|konstr|refer|centre?[ _-]?line|mittellin|"
    + _WORD
    + r"axe?s?"
    + _END,
    _I,
)
TEXT_LAYER = re.compile(r"text|letter|schrift|label|beschrift|note", _I)
LOGO_LAYER = re.compile(r"logo|emblem", _I)
HOLE_LAYER = HOLE

NUMBERED = re.compile(
    r"\b(frames?|fr|stations?|sta|bulkheads?|bhd|sections?|mou?lds?|ribs?|panels?|parts?|pieces?|no|nr|"
    r"spant|schott|teil|couples?|membrures?|cloisons?|cuadernas?|mamparos?|piezas?)\.?\s*$",
    re.IGNORECASE,
)
"""Words that a number belongs to, at the end of what stands before it."""
