"""Every sentence can be filled: braces that aren't values are doubled."""

from __future__ import annotations

from string import Formatter

import pytest

from nestcut.words import SENTENCES


@pytest.mark.parametrize("code", sorted(SENTENCES))
def test_braces_name_values(code: str) -> None:
    sentence = SENTENCES[code]
    for template in (sentence.what, sentence.remedy):
        for _, name, _, _ in Formatter().parse(template):
            assert name is None or name.isidentifier(), template
