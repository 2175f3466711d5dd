"""Whether a command opens the browser."""

from enum import StrEnum


class Browser(StrEnum):
    """What becomes of an address."""

    OPENED = "opened"
    NONE = "none"
