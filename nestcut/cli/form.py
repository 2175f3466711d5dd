"""In which form a command prints what it found."""

from enum import Enum, auto


class Form(Enum):
    """Who reads what is printed."""

    WORDS = auto()
    """Somebody at a terminal."""
    JSON = auto()
    """A machine: one document."""
