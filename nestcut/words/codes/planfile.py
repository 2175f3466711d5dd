"""``PLAN-…``: plan files that can't be read, or contradict themselves or their job."""

from nestcut.words.sentence import Sentence

_REMEDY = "Make the plan again with 'nestcut plan'."

SENTENCES = {
    code: Sentence(what, _REMEDY)
    for code, what in {
        "PLAN-001": "not a JSON file: {reason}.",
        "PLAN-002": "{reason}.",
        "PLAN-004": "the file contradicts its own layouts, its job or its prices here.",
        "PLAN-006": "the plan keeps a kerf of {kerf} and a gap of {gap}, the job asks for "
        "{job_kerf} and {job_gap}.",
        "PLAN-008": "what the search said of its bounds, reasons, notes or rectangles to keep has "
        "been changed since the file was written.",
    }.items()
} | {
    "PLAN-003": Sentence(
        "a record is broken, missing or of another version of nestcut: {reason}.",
        "If nothing is cut yet, make the plan again with 'nestcut plan'; if you are sawing by it, go "
        "on with the version that made it.",
    ),
    "PLAN-005": Sentence(
        "the job has changed since this plan was made.",
        "If nothing is cut yet, make the plan again with 'nestcut plan'; if something is, take the "
        "plan up with 'nestcut again': what is cut stays where it is.",
    ),
    "PLAN-007": Sentence(
        "the job file '{file}' isn't there.", "Run it from where the plan was made."
    ),
    "PLAN-009": Sentence(
        "there is no plan.json in this folder.",
        "Give the folder of results that 'nestcut plan' wrote.",
    ),
    "PLAN-010": Sentence(
        "this is a job file; the plan made from it is wanted.",
        "Give the plan.json that 'nestcut plan' wrote, such as outputs/boat/plan.json.",
    ),
}
