"""From a code and its values to a sentence."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from nestcut.errors import Finding
from nestcut.facts import Fact, Facts, Value, Values
from nestcut.words.codes import (
    again,
    bench,
    boards,
    choices,
    drawings,
    gate,
    jobfile,
    joints,
    outlet,
    papers,
    plan_runs,
    planfile,
    planning,
    readback,
    shapes,
    shed,
    sheets,
    verify,
)
from nestcut.words.sentence import Sentence
from nestcut.words.speech import Speech

SENTENCES: Mapping[str, Sentence] = {
    **again.SENTENCES,
    **bench.SENTENCES,
    **boards.SENTENCES,
    **choices.SENTENCES,
    **gate.SENTENCES,
    **drawings.SENTENCES,
    **jobfile.SENTENCES,
    **joints.SENTENCES,
    **outlet.SENTENCES,
    **papers.SENTENCES,
    **plan_runs.SENTENCES,
    **planfile.SENTENCES,
    **planning.SENTENCES,
    **readback.SENTENCES,
    **shapes.SENTENCES,
    **shed.SENTENCES,
    **sheets.SENTENCES,
    **verify.SENTENCES,
}
"""Every code's sentence and remedy."""


@dataclass(frozen=True, slots=True)
class Told:
    """A finding in words: what is so and what to do."""

    message: str
    remedy: str = ""


@dataclass(frozen=True, slots=True)
class _Said:
    """A value under a template's hand: ``{n:sheet|sheets}`` says "1 sheet" or "3 sheets".

    Clauses are told in place, ``{why:remedy}`` by what is to be done; ``{clauses:; }`` parts several of them by what stands behind the
    colon, a comma where nothing does.
    """

    value: Value
    speech: Speech

    def __format__(self, spec: str) -> str:
        if isinstance(self.value, Fact):
            said = SENTENCES[self.value.code]
            template = said.remedy if spec == "remedy" else said.what
            return _fill(template, self.value.values, self.speech)
        if isinstance(self.value, Facts):
            return (spec or ", ").join(tell_fact(f, self.speech) for f in self.value.facts)
        text = self.speech.say(self.value)
        if "|" in spec:
            one, many = spec.split("|")
            return f"{text} {one if self.value == 1 else many}"
        return format(text, spec)


def _fill(template: str, values: Values, speech: Speech) -> str:
    return template.format_map({name: _Said(value, speech) for name, value in values})


def tell(finding: Finding, speech: Speech) -> Told:
    """Put a finding into words.

    Raises
    ------
    KeyError
        If its code has no sentence, or the sentence names a value that it doesn't carry.
    """
    sentence = SENTENCES[finding.code]
    return Told(
        _fill(sentence.what, finding.values, speech),
        _fill(sentence.remedy, finding.values, speech),
    )


def tell_fact(fact: Fact, speech: Speech) -> str:
    """Put a fact into words; KeyError as :func:`tell`."""
    return _fill(SENTENCES[fact.code].what, fact.values, speech)


def finding_record(finding: Finding, speech: Speech) -> dict[str, object]:
    """Return a finding as plain values with its words, as JSON documents hold it."""
    told = tell(finding, speech)
    return {
        "code": finding.code,
        "severity": finding.severity.value,
        "where": finding.where,
        "message": told.message,
        "remedy": told.remedy,
        "file": finding.file,
        "layer": finding.layer,
        "handle": finding.handle,
        "at_mm": finding.at_mm,
    }


def finding_line(finding: Finding, speech: Speech) -> str:
    """Return a finding in one line: severity, code, place, message and remedy."""
    told = tell(finding, speech)
    tail = f" {told.remedy}" if told.remedy else ""
    return f"{finding.severity} {finding.code} {finding.where}: {told.message}{tail}"
