"""Findings and their arithmetic as plain data for templates."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from builder.account.wanting import waiting
from builder.examination.finding import Finding
from builder.examination.judge import SHAPE, Verdict
from builder.examination.notation import SPOKEN, Paper, Terminal
from builder.examination.value import Origin, Value
from builder.examination.working import Working, chain, working
from builder.examine import Examination
from builder.quantity import show
from builder.reference.tables import cite

QUOTED = re.compile(r'"[^"\\]*"')
SIGNS = re.compile(r"[\w\s.()^,+\-*/=!]*")
"""Characters that may stand outside quotation marks in a formula."""
LONG = re.compile(r"[^\W\d_]{2,}")
COMMANDS = {"frac", "sqrt", "times", "italic", *SPOKEN.values()}
"""Words that may stand there; letters by themselves are symbols."""
JUDGED = (Verdict.BEYOND, Verdict.CLOSE)


def verdict(found: Verdict) -> dict[str, str]:
    """A verdict by word and shape."""
    return {"word": str(found), "shape": SHAPE[found]}


def safe(formula: str) -> bool:
    """Whether a formula holds nothing but the notation's own words and quoted text.

    Args:
        formula: as Paper writes it.
    """
    bare = QUOTED.sub("", formula)
    return SIGNS.fullmatch(bare) is not None and COMMANDS.issuperset(LONG.findall(bare))


def equation(shown: Working, *, filled: bool) -> dict[str, str]:
    """A formula, or the formula with its numbers, with the plain words for those who cannot see it.

    Args:
        shown: the working.
        filled: whether numbers are put in.
    """
    formula = shown.filled_in(Paper()) if filled else shown.formula(Paper())
    plain = shown.filled_in(Terminal()) if filled else shown.formula(Terminal())
    return {"math": formula if safe(formula) else "", "plain": plain}


def step(value: Value, numbers: Mapping[str, int]) -> dict[str, Any]:
    """One value on the way to a result: how it was worked out, or of what it is the sum.

    Args:
        value: computed.
        numbers: of sources in the list at the end.
    """
    shown = working(value)
    lines = [equation(shown, filled=False), equation(shown, filled=True)] if shown and shown.steps else []
    told = value.note or ("by the method of its source" if shown else "")
    number = numbers.get(_key(value.source))
    return {"words": value.words, "lines": lines, "text": str(value), "note": told, "source": number}


def steps(finding: Finding, numbers: Mapping[str, int]) -> list[dict[str, Any]]:
    """Everything that was worked out for a finding, inputs before what is made of them, each once.

    Args:
        finding: any.
        numbers: of sources in the list at the end.
    """
    values = [item for value in finding.values.values() for item in chain(value)]
    once = {(item.thing, item.name): item for item in values if item.origin is Origin.COMPUTED}
    return [step(item, numbers) for item in once.values()]


def room(finding: Finding) -> str:
    """Room to the limit, in words."""
    if finding.room is None:
        return ""
    if finding.room < 0:
        return f"{show(-finding.room, '%', 2)} over"
    return f"{show(finding.room, '%', 2)} left"


def finding_data(finding: Finding, examination: Examination, numbers: Mapping[str, int]) -> dict[str, Any]:
    """All of one finding.

    Args:
        finding: any.
        examination: that it belongs to, for the frequency of its carrier.
        numbers: of sources in the list at the end.
    """
    return {
        "verdict": verdict(finding.verdict),
        "check": finding.check.title,
        "thing": _thing(finding, examination),
        "rule": finding.check.rule,
        "value": finding.value_text,
        "limit": finding.limit_text,
        "room": room(finding),
        "margin": show(finding.check.margin, "%", 2) if finding.check.margin else "",
        "steps": steps(finding, numbers),
        "why": finding.check.why,
        "remedy": finding.check.remedy,
        "source": cite(finding.check.source),
        "reason": finding.reason,
        "needs": list(finding.needs),
    }


def _thing(finding: Finding, examination: Examination) -> str:
    if not finding.carrier:
        return finding.title
    return f"{finding.title}, {examination.rig.carriers[finding.carrier].frequency}"


def opened(examination: Examination) -> list[dict[str, Any]]:
    """Findings that ask for something: beyond, close, or straddled by the accuracy of a meter."""
    rows = (row for row in examination.findings if row.verdict in JUDGED or _straddles(row))
    numbers = {key: number for number, key in enumerate(_sources(examination), 1)}
    return [finding_data(row, examination, numbers) for row in rows]


def _straddles(finding: Finding) -> bool:
    return finding.verdict is Verdict.NOT_SHOWN and finding.judgement is not None


def unsettled(examination: Examination) -> list[list[str]]:
    """Checks that could not be made: check, thing, what would settle it; things that lack the same share a row."""
    told = {row.id: "; ".join(group.needs) for group in waiting(examination) for row in group.rows}
    found: dict[tuple[str, str], list[str]] = {}
    for row in examination.findings:
        if row.verdict is Verdict.NOT_SHOWN and row.judgement is None:
            wanted = told.get(row.id, row.reason)
            key = (row.check.title, wanted)
            found.setdefault(key, []).append(row.title)
    return [[title, ", ".join(things), wanted] for (title, wanted), things in found.items()]


def settled(examination: Examination) -> list[list[str]]:
    """Checks that are met: check, thing, value, limit, room."""
    rows = (row for row in examination.findings if row.verdict is Verdict.WITHIN)
    return [[row.check.title, _thing(row, examination), row.value_text, row.limit_text, room(row)] for row in rows]


def tally(examination: Examination) -> str:
    """How many of each verdict, in words with their shapes."""
    return " · ".join(f"{SHAPE[found]} {count} {found}" for found, count in examination.tally.items() if count)


def sources(examination: Examination) -> list[str]:
    """Every source that a check, a formula or a rated value of this rig rests on, in full and with the places in it."""
    places = _sources(examination)
    return [f"{cite(key)}{': ' if found else ''}{'; '.join(sorted(found))}" for key, found in places.items()]


def _sources(examination: Examination) -> dict[str, set[str]]:
    """Sources with the places in them, in the order of their references."""
    found: dict[str, set[str]] = {}
    for cited in _cited(examination):
        found.setdefault(_key(cited), set()).update(filter(None, [cited.partition(",")[2].strip()]))
    return dict(sorted(found.items(), key=lambda row: cite(row[0])))


def _key(cited: str) -> str:
    return cited.partition(",")[0].strip()


def _cited(examination: Examination) -> Iterator[str]:
    for finding in examination.findings:
        yield finding.check.source
        for value in finding.values.values():
            yield from (item.source for item in chain(value) if item.source)
