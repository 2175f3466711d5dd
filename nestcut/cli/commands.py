"""A command run: what it raises becomes findings and an exit status."""

from __future__ import annotations

import traceback

import click

from nestcut.cli.declared import cli
from nestcut.cli.session import Session
from nestcut.cli.talk import say, show_findings, use_colour
from nestcut.door.findings import (
    InputError,
    PlanRejectedError,
    ReadPlanRejectedError,
    speech_of_fault,
)

EXIT_FAULT_OF_OURS = 1
EXIT_WRONG_USAGE = 2
EXIT_FAULTY_INPUT = 3
EXIT_INTERRUPTED = 130


def _run(  # noqa: PLR0911 - one return for each exit status
    words: list[str], session: Session | None = None
) -> int:
    session = Session() if session is None else session
    try:
        status = cli.main(
            args=words,
            prog_name="nestcut",
            standalone_mode=False,
            color=use_colour(),
            obj=session,
        )
        return status if isinstance(status, int) else 0
    except click.ClickException as error:
        error.show()
        return EXIT_WRONG_USAGE
    except (click.Abort, KeyboardInterrupt):
        say(f"Stopped; {session.told_state()}.")
        return EXIT_INTERRUPTED
    except InputError as error:
        show_findings(error.findings, speech_of_fault(error))
        if not any(f.code == "OUT-007" for f in error.findings):
            say(f"{_sentence(session.told_state())}.")
        return EXIT_FAULTY_INPUT
    except ReadPlanRejectedError as error:
        show_findings(error.findings)
        say(
            f"The plan in this file is refused, and {session.told_state()}: the file, or the "
            "program, has changed since it was written. Make the plan again with 'nestcut plan', "
            "or take a copy of the file as it was."
        )
        return EXIT_FAULT_OF_OURS
    except PlanRejectedError as error:
        show_findings(error.findings)
        say("The plan did not stand up to its proof, so nothing was written. This is our fault.")
        return EXIT_FAULT_OF_OURS
    except Exception as error:
        if session.is_stop_asked:  # a library made something else of it
            say(f"Stopped; {session.told_state()}.")
            return EXIT_INTERRUPTED
        if "--debug" in words:
            traceback.print_exc()
        say(f"A fault of ours: {type(error).__name__}: {error}")
        say(
            f"{_sentence(session.told_state())}. Run again with 'nestcut --debug ...' to see where "
            "it arose."
        )
        return EXIT_FAULT_OF_OURS


def _sentence(words: str) -> str:
    return words[0].upper() + words[1:]
