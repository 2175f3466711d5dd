"""``VER-…`` why a plan is refused, ``CHK-…`` what was looked at."""

from nestcut.words.sentence import Sentence

_REMEDY = "Don't cut by this plan; make it again with 'nestcut plan'."

_WHY = {
    "VER-001": "this piece is listed twice.",
    "VER-002": "this part is missing from the plan.",
    "VER-003": "nobody asked for this piece.",
    "VER-004": "its part's shares are {shares}, not whole.",
    "VER-005": "its outline crosses itself or isn't closed.",
    "VER-007": "its true outline strays {by} from what the job draws.",
    "VER-008": "its allowance isn't the job's: {short} mm2 short, {over} mm2 too much.",
    "VER-009": "its {what} is {has}, the job says {needs}.",
    "VER-010": "{pieces} pieces, but {joints} joints.",
    "VER-011": "the part may not be joined.",
    "VER-012": "a joint at {at} doesn't lie where the piece carries it ({lies}).",
    "VER-013": "its {what} is {has} mm, {needs} mm is needed.",
    "VER-014": "its {what} is {has} mm, its joints make it {needs} mm.",
    "VER-015": "its joints aren't at the positions given ({given}).",
    "VER-016": "a joint at {at} lies in '{reason}'.",
    "VER-017": "its grain runs out 1 in {has} at an edge, 1 in {limit} is the limit.",
    "VER-018": "it is {has} long, the least piece is {least}.",
    "VER-019": "its joint at {at} is {apart} from one of {other}, {least} are asked for.",
    "VER-020": "its size, outline, trim or keep-outs aren't those of a stock '{stock}'.",
    "VER-021": "unknown piece on sheet {sheet}.",
    "VER-022": "it is to be cut from a {needs}, not from '{stock}'.",
    "VER-023": "it lies with its good face down.",
    "VER-024": "turned {turn} degrees against its grain or turning rule.",
    "VER-025": "it leaves sheet {sheet} or its trim.",
    "VER-026": "on sheet {sheet} it lies where nothing is to be cut ({reason}).",
    "VER-027": "on sheet {sheet} it is {apart} from {other}, {need} is needed.",
    "VER-028": "on sheet {sheet} it lies in a hole of {host} that is to be kept.",
    "VER-029": "its flattened outline doesn't stand for its true one.",
    "VER-030": "no such board is sold or to hand ('{stock}').",
    "VER-031": "unknown piece on board {board}.",
    "VER-032": "board {board} gives a strip of {has}, it is {needs}.",
    "VER-033": "board {board} gives {has}, {needs} is needed.",
    "VER-034": "it leaves board {board} or its trim.",
    "VER-035": "on board {board} it contains a defect.",
    "VER-036": "on board {board} there is no kerf between it and {other}.",
    "VER-037": "the lines to draw on it ({label}) aren't the job's.",
    "VER-038": "its {what} is {has}, the job says {needs}.",
    "VER-039": "what it carries of its joints isn't what they ask.",
    "VER-040": "this piece has no place in the plan.",
    "VER-041": "this piece has {times} places.",
    "VER-042": "{used} used, but only {has} can be had that serve.",
    "VER-043": "on the buying list its {what} is {has}, the job and the layouts make it {needs}.",
    "VER-044": "the bound {lower} is above what is used, {used}, or below nothing.",
    "VER-045": "it should have number {needs}.",
    "VER-046": "nothing is cut from it.",
    "VER-047": "rectangle {number} to keep isn't what is left over there.",
    "VER-048": "the bound says that {has} is used, the layouts use {needs}.",
    "VER-049": "a bound in {measure} speaks of stock that the job doesn't have.",
    "VER-050": "no strap covers the joint at {at} as the rule asks, its line drawn on it.",
    "VER-051": "this part was added, but no joint asks for it.",
    "VER-052": "what is said of {what} isn't what the joints' places come to.",
    "VER-053": "what reading the job found ({said}) is missing from the plan.",
    "VER-054": "it is said to be unplaced, but nobody knows this piece.",
    "VER-055": "it has {has:line|lines}, the layouts need {needs}.",
    "VER-060": "it has {has:hole|holes}, the job draws {needs}.",
    "VER-062": "its {what} are {has}, not {needs}.",
    "VER-063": "{has:joint|joints}, {most} are allowed.",
    "VER-064": "the joints at its ends run into each other.",
    "VER-066": "the joints at its ends leave {has} of clear wood between them; nestcut keeps {least} "
    "where it chooses the places.",
    "VER-069": "the joints at its ends leave {has} of clear wood between them, not {least}; the plan "
    "doesn't say so.",
    "VER-072": "what proves its bound doesn't hold: {what}.",
    "VER-073": "what the plan tells of it isn't so: {what}.",
    "VER-074": "rectangle {number} to keep is smaller than what is left over there.",
    "VER-075": "a KEEP is missing: {size} at {at} is left over.",
    "VER-076": "the job asks for {needs:rectangle|rectangles} in reserve here, the plan tells of "
    "{has}. Plans made before 30 November 2026 told of none.",
    "VER-077": "its rectangle in reserve isn't kept free: {what}.",
    "VER-078": "its rectangle in reserve is said to have no place, but {size} at {at} is free.",
    "VER-079": "that its rectangle in reserve has no place, and why, isn't said, or isn't so.",
    "VER-067": "no rips and crosscuts right through it part its pieces.",
    "VER-068": "on board {board} it reaches out of the rectangles that parts are sawn from.",
    "VER-071": "rails and parts are said to come from board {board}, but not of the same stock.",
    "VER-070": "rectangle {number} for sawn parts isn't as large as what is sawn from it.",
    "VER-065": "bringing it is said to cost {has}, by the job it is {needs}.",
}

_LOOKED_AT = {
    "CHK-001": "{pieces:piece|pieces} counted against {parts:part|parts}: how many, port and starboard, how big",
    "CHK-002": "{unplaced:piece|pieces} found to be left without a place",
    "CHK-003": "{curves:line or curve|lines and curves} of {outlines:outline|outlines} compared "
    "with the plans', to far less than a pencil line",
    "CHK-004": "{marks:mark|marks} to draw compared with the job's",
    "CHK-005": "{pairs:pair|pairs} of pieces on {where: and } held apart by kerf and gap",
    "CHK-006": "{pieces:piece|pieces} inside the stock they are cut from, with grain, turn and face "
    "as asked",
    "CHK-007": "{cuts:piece|pieces} on {boards:board|boards}: section, length, kerf and trim",
    "CHK-008": "{areas:keep-out or defect|keep-outs and defects} kept clear of",
    "CHK-009": "{joints:joint|joints}: kind, slope, overlap, faces, place and whatever "
    "the job asks of them",
    "CHK-010": "{straps:strap|straps} compared with what their joints ask",
    "CHK-011": "{offcuts:KEEP|KEEPs} on {where: and } found to be left over",
    "CHK-014": "{offcuts:KEEP|KEEPs} on {where: and } found to be left over; "
    "{reserves:rectangle|rectangles} in reserve found to be free",
    "CHK-012": "{lines:line|lines} of the buying list added up against stock, prices and layouts",
    "CHK-013": "{bounds:figure|figures} of what no plan can undercut compared with what this one "
    "takes; that none can isn't checked again",
}

SENTENCES = {
    **{code: Sentence(what, _REMEDY) for code, what in _WHY.items()},
    **{code: Sentence(what) for code, what in _LOOKED_AT.items()},
}
