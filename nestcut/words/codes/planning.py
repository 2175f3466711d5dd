"""``JNT-3…``: what a choice of joints comes to, and what other choices would have been."""

from nestcut.words.sentence import Sentence

_CHOSEN = {
    "JNT-301": Sentence("{part}: {places}; the best for the stock of {tried} tried"),
    "JNT-302": Sentence("{part}: {places}; no other way keeps the rules"),
    "JNT-303": Sentence("{part}: {places}; the cheapest of the fewest pieces"),
    "JNT-304": Sentence("in one piece"),
    "JNT-305": Sentence("joint at {at}"),
    "JNT-306": Sentence("joints at {at}"),
    "JNT-307": Sentence("{hand} {own}, {twin} {theirs}"),
    "JNT-308": Sentence("up to {most:joint|joints} in one were looked at"),
    "JNT-309": Sentence("no joints"),
    "JNT-310": Sentence("{n:joint|joints}"),
    "JNT-311": Sentence("{whose}: {what}"),
    "JNT-312": Sentence("{material} {thickness}"),
    "JNT-313": Sentence("{part}: {places}; there was no time to try other places"),
}
_COMPARED = {
    "JNT-321": Sentence(
        "joints chosen by {trials:quick layout|quick layouts}; no equal stretches keep the rules"
    ),
    "JNT-322": Sentence(
        "with joints where they suit the stock {free}; in equal stretches {equal} "
        "({trials:quick layout|quick layouts})"
    ),
    "JNT-323": Sentence("{n:sheet or board|sheets or boards}"),
    "JNT-324": Sentence("{cost} to buy"),
    "JNT-325": Sentence("{n:piece|pieces} without a place"),
    "JNT-326": Sentence("{area} left on the emptiest"),
    "JNT-328": Sentence("as planned {free}; were rails joined in equal lengths {equal}"),
    "JNT-329": Sentence("{n:board|boards}"),
    "JNT-330": Sentence("{n:board|boards}, {cost}"),
}
_PRICES = {
    "JNT-341": Sentence("more joints, up to {most} in all, saved nothing"),
    "JNT-346": Sentence("{kept} as planned; found as well: {others:, }"),
    "JNT-347": Sentence("{cost} with {joints}"),
    "JNT-345": Sentence(
        "more than {most:joint|joints} in one rail weren't tried: where the plans allow more, the "
        "job file can say so"
    ),
}
_WIDTHS = {
    "JNT-361": Sentence("{part} from {stock} {width} wide: {told}"),
    "JNT-362": Sentence("boards"),
    "JNT-363": Sentence("sheets"),
    "JNT-364": Sentence("no number of pieces will do"),
    "JNT-365": Sentence("{n:piece|pieces}"),
    "JNT-366": Sentence("{cost} by the length they take"),
    "JNT-367": Sentence("grain run-out 1:{run} at worst"),
    "JNT-368": Sentence("fewer are ruled out by {limits: and }"),
    "JNT-369": Sentence("the grain"),
    "JNT-370": Sentence("the board's width"),
    "JNT-371": Sentence("the board's length"),
    "JNT-372": Sentence("{changes:; }"),
    "JNT-373": Sentence("from {width} on {step}"),
    "JNT-375": Sentence(
        "wider {stock} save no piece: {limits: and } is the limit, and wider ones don't change that"
    ),
    "JNT-376": Sentence("wider {stock} change nothing: it is one piece already"),
    "JNT-377": Sentence("{width} wide is the cheapest by length"),
    "JNT-378": Sentence("it can be made at all, in {n:piece|pieces}"),
    "JNT-379": Sentence("{n:piece|pieces} instead of {before}, since {why}"),
    "JNT-380": Sentence("{step}, for {extra} more"),
    "JNT-381": Sentence("{step}, for {saved} less"),
    "JNT-382": Sentence("the piece may bend more within the board"),
    "JNT-383": Sentence("the boards are longer"),
    "JNT-384": Sentence("it fits better"),
}

SENTENCES = {**_CHOSEN, **_COMPARED, **_PRICES, **_WIDTHS}
