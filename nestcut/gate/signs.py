"""Signs that no name may carry: they would steer a terminal, a page or a list."""

from __future__ import annotations

import unicodedata

_STEERING = frozenset("\u061c\u200e\u200f\u2028\u2029\ufeff")
_OVERRIDES = range(0x202A, 0x202F), range(0x2066, 0x206A)
LINE_SIGNS = frozenset("\n\t")
"""Signs that a text of several lines may carry."""


def is_steering(sign: str) -> bool:
    """Whether a sign is a control sign or turns the direction of what follows."""
    code = ord(sign)
    return (
        unicodedata.category(sign) in {"Cc", "Cs"}
        or sign in _STEERING
        or any(code in span for span in _OVERRIDES)
    )


def plain(text: str) -> str:
    r"""Return a text of several lines with a space for every sign that steers.

    >>> plain("knee\x1b[2J\rport")
    'knee [2J port'
    """
    if text.isprintable() and text.isascii():
        return text
    return "".join(" " if is_steering(c) and c not in LINE_SIGNS else c for c in text)


def plain_line(text: str) -> str:
    r"""Return a text as one line without any sign that steers.

    >>> plain_line("knee\nport")
    'knee port'
    """
    if text.isprintable() and text.isascii():
        return text
    return "".join(" " if is_steering(c) else c for c in text).strip()
