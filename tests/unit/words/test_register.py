"""The register of codes: complete, and readable without values."""

from __future__ import annotations

import re

from nestcut.words import SENTENCES, explain_code, register_page


def test_every_code_stands_in_the_register() -> None:
    page = register_page()
    assert [code for code in SENTENCES if f"\n{code} (" not in page] == []
    assert not re.search(r"\{\w*[:}]", page)


def test_a_code_is_explained_in_any_case() -> None:
    text = explain_code(" sht-001 ")
    assert text is not None
    assert text.startswith("SHT-001 (sheets)\n    there is no sheet of <material> <thickness>")
    assert "To do: Add such a sheet" in text


def test_what_is_no_code_has_no_explanation() -> None:
    assert explain_code("kerf") is None
    assert explain_code("SHT-999") is None
