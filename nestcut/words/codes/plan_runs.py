"""``PLN-…``: how a run of the search went."""

from nestcut.words.sentence import Sentence

SENTENCES = {
    "PLN-001": Sentence(
        "a later plan of this search did not stand up ({reason}), which is our fault; the plan "
        "kept is the last one that was proven.",
        "What it places is safe to cut, but it may take more stock than need be, or leave pieces out; "
        "please report the job.",
    ),
    "PLN-002": Sentence(
        "time was up before a first plan of its {pieces} parts was proven; nothing was written.",
        "Give it more --seconds, or none: a first plan comes before any search.",
    ),
    "PLN-003": Sentence(
        "there was no time left to draw the papers: the plan and its lists are written, nothing "
        "to mark out or saw by.",
        "Run 'nestcut report {folder}': it makes the papers in a few seconds.",
    ),
    "PLN-004": Sentence(
        "a cluster needs Dask, which isn't installed here.",
        "Install it with nestcut's extra: pip install 'nestcut[dask]'; or leave --cluster out.",
    ),
    "PLN-005": Sentence(
        "no cluster's scheduler answered at this address within {seconds} seconds.",
        "Start one (README, 'On several computers'), or correct the address.",
    ),
    "PLN-006": Sentence(
        "the cluster at this address has no workers.",
        "Start one or more: dask worker ADDRESS, in an environment that has nestcut.",
    ),
    "PLN-007": Sentence(
        "workers of this cluster have another nestcut ({others}) than this computer ({here}).",
        "Install the same version everywhere: plans would not come out the same otherwise.",
    ),
    "PLN-101": Sentence("{name}: {used}; no plan can use {fewer} ({reason})."),
    "PLN-102": Sentence("{name}: {used}; no plan can use {fewer}."),
    "PLN-103": Sentence("{name}: {used}; whether {fewer} is possible is open."),
    "PLN-104": Sentence(
        "{name}: {used}; {fewer} than {least} is impossible, what lies between is open."
    ),
    "PLN-105": Sentence(
        "{name}: {used}; {fewer} than {least} is impossible ({reason}); the {gap} between is open."
    ),
    "PLN-106": Sentence("{name}: {used}; whether {fewer} is possible is open: {reason}."),
    "PLN-111": Sentence("{n:sheet|sheets}"),
    "PLN-112": Sentence("{n:sheet|sheets} to buy"),
    "PLN-113": Sentence("{n:board|boards}"),
    "PLN-114": Sentence("{n:joint|joints}"),
    "PLN-115": Sentence("{cost}"),
    "PLN-116": Sentence("{wood} of wood"),
    "PLN-121": Sentence("less"),
    "PLN-122": Sentence("fewer"),
    "PLN-141": Sentence(
        "{n:board carries|boards carry} rails and sawn parts: all that comes from boards costs {cost} so, "
        "{apart} where each kind comes from boards of its own."
    ),
    "PLN-131": Sentence("every set of yards, and every number of packs that may cost less"),
}
