"""``OUT-…``: places to write, and what stands in them."""

from nestcut.words.sentence import Sentence

SENTENCES = {
    "OUT-001": Sentence(
        "this can't be written ({reason}).",
        "Choose another place, or make room.",
    ),
    "OUT-002": Sentence(
        "there is a file of this name already, so it is left alone.",
        "Choose another name, or move it.",
    ),
    "OUT-003": Sentence(
        "these stand where papers would go, and are not as nestcut wrote them: {names}. They are "
        "left alone.",
        "Move or rename them, or choose another folder.",
    ),
    "OUT-004": Sentence(
        "no font of the printed pages has the letters of some names, so they are spelled out: "
        "{names}.",
        "Give them a name in letters, or leave it: shop.html and the lists show them as written, "
        "and each piece has its number on its sheet.",
    ),
    "OUT-015": Sentence(
        "the printed pages lack letters for some names and spell them out: {names}.",
        "Fonts for nearly every script come with: pip install 'nestcut[scripts]'. Names in Latin, "
        "Greek or Cyrillic letters print as they are.",
    ),
    "OUT-005": Sentence(
        "another run is writing into this folder.",
        "Wait for it, or choose another folder.",
    ),
    "OUT-006": Sentence(
        "the papers couldn't go where they should; they are in this folder instead.",
        "Move it where you want it; 'nestcut verify' and 'nestcut report' work from there.",
    ),
    "OUT-007": Sentence(
        "writing into this folder was stopped half way, so papers of two plans may lie side by "
        "side: saw by none of them.",
        "Run 'nestcut report' on the folder: it finishes what was begun.",
    ),
    "OUT-008": Sentence(
        "these papers are gone or not as nestcut wrote them: {names}.",
        "'nestcut report' writes those anew that are gone; what was changed is left alone until "
        "you move it.",
    ),
    "OUT-009": Sentence(
        "these papers are from an older plan and were changed since, so they are left: {names}.",
        "Don't saw by them; move them out of the folder.",
    ),
    "OUT-010": Sentence(
        "writing into this folder was stopped half way earlier; that is settled now.",
    ),
    "OUT-011": Sentence(
        "there is something of this name that is no folder.",
        "Choose another folder.",
    ),
    "OUT-012": Sentence(
        "this link leads nowhere: its disk may not be there.",
        "Put the disk in, mend the link, or choose another folder.",
    ),
    "OUT-017": Sentence(
        "the plan in this folder is being cut by: it knows of {n} sawn pieces, and a plan from the "
        "beginning would forget them.",
        "Go on with it by 'nestcut again', choose another folder with --out, or move this one.",
    ),
    "OUT-018": Sentence(
        "the plan in this folder was made from another job file, {file}.",
        "Choose another folder with --out, give one of the jobs another name, or move this folder.",
    ),
    "OUT-019": Sentence(
        "there was no time left to draw papers, and those of an earlier plan lie here: they stay, and "
        "the new plan went into {folder}.",
        "Run 'nestcut report {folder}' for the new plan's papers, then throw the earlier ones away.",
    ),
    "OUT-016": Sentence("that is a folder.", "Name the file, such as --out {path}."),
    "OUT-013": Sentence(
        "this is the folder you are working in.",
        "Choose a folder of its own with --out, such as --out {path}.",
    ),
}
