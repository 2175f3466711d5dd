"""The process round the commands: signals from the first moment, streams that may be lost.

What is told must never cost what is done.  A reader that has seen enough, a full disk behind
``>``, a closed stream: the work goes on, and the exit status is what it would have been.
"""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType
from typing import Any, NoReturn, TextIO, cast

from nestcut.cli.session import Session

EXIT_INTERRUPTED = 130


class PatientStream:
    """A text stream that goes on when nobody can be told any more."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream
        self._is_lost = False

    def write(self, text: str) -> int:
        """Write a text, or let it go."""
        if not self._is_lost:
            try:
                self._stream.write(text)
            except UnicodeEncodeError as error:
                self.write(text.encode(error.encoding, "backslashreplace").decode(error.encoding))
            except (OSError, ValueError):
                self._lose()
        return len(text)

    def flush(self) -> None:
        """Flush, or let it go."""
        if not self._is_lost:
            try:
                self._stream.flush()
            except (OSError, ValueError):
                self._lose()

    def __getattr__(self, name: str) -> Any:
        return getattr(self._stream, name)

    def _lose(self) -> None:
        """Lead what is left in the stream's own buffer to nowhere, or it would fail at the end."""
        self._is_lost = True
        try:
            nowhere = os.open(os.devnull, os.O_WRONLY)
            os.dup2(nowhere, self._stream.fileno())
            os.close(nowhere)
            self._stream.flush()
        except (OSError, ValueError):
            return


@contextmanager
def _signals_heard(session: Session) -> Iterator[None]:
    """Have every signal that asks to stop heard as Ctrl-C is."""

    def heard(number: int, frame: FrameType | None) -> NoReturn:
        del number, frame
        session.is_stop_asked = True
        raise KeyboardInterrupt

    names = ("SIGINT", "SIGTERM", "SIGHUP")
    numbers = [getattr(signal, name) for name in names if hasattr(signal, name)]
    before = {n: signal.getsignal(n) for n in numbers if signal.getsignal(n) != signal.SIG_IGN}
    for number in before:
        signal.signal(number, heard)
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def _open_standard_streams() -> None:
    """Lead closed standard streams to nowhere, or the next file opened would take their place."""
    while True:
        number = os.open(os.devnull, os.O_RDWR)
        if number > 2:
            os.close(number)
            break
        os.set_inheritable(number, True)  # noqa: FBT003 - the name of the call says it
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, "w", encoding="utf-8"))  # noqa: PTH123, SIM115


@contextmanager
def _patient_streams() -> Iterator[None]:
    _open_standard_streams()
    before = sys.stdout, sys.stderr
    sys.stdout = cast("TextIO", PatientStream(before[0]))
    sys.stderr = cast("TextIO", PatientStream(before[1]))
    try:
        yield
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        sys.stdout, sys.stderr = before


def main(arguments: list[str] | None = None) -> NoReturn:
    """Run nestcut and exit with its status.

    Parameters
    ----------
    arguments
        What to do; None: as the command line says, and the process ends at once afterwards.
    """
    session = Session()
    try:
        with _signals_heard(session), _patient_streams():
            status = _status_of(sys.argv[1:] if arguments is None else arguments, session)
    except KeyboardInterrupt:  # before there was anything to stop
        status = EXIT_INTERRUPTED
    if arguments is None:
        # All is written and flushed.  Taking the interpreter apart would keep whoever pressed
        # Ctrl-C waiting for a quarter of a second of processor time.
        os._exit(status)
    sys.exit(status)


def _status_of(words: list[str], session: Session) -> int:
    try:
        from nestcut.cli.commands import _run

        return _run(words, session)
    except KeyboardInterrupt:
        sys.stderr.write(f"Stopped; {session.told_state()}.\n")
        return EXIT_INTERRUPTED
