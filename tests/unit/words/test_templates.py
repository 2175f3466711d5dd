"""Every sentence can be filled: braces that aren't values are doubled."""

from __future__ import annotations

from string import Formatter

from nestcut.words import SENTENCES


def test_braces_name_values() -> None:
    templates = [t for s in SENTENCES.values() for t in (s.what, s.remedy)]

    wrong = [
        template
        for template in templates
        for _, name, _, _ in Formatter().parse(template)
        if name is not None and not name.isidentifier()
    ]
    assert wrong == []
