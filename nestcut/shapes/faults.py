"""What a builder of shapes says when the numbers make no part."""

from __future__ import annotations

from nestcut.errors import NestcutError


class ShapeFaultError(NestcutError):
    """Numbers that give no part.

    Parameters
    ----------
    key
        Key of the reading at fault, for the key path of the finding.
    message, remedy
        What is so, and what to do about it.
    """

    def __init__(self, key: str, message: str, remedy: str) -> None:
        self.key = key
        self.message = message
        self.remedy = remedy
        super().__init__(f"{key}: {message} {remedy}")
