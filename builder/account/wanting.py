"""What is not recorded, in the names that people know things by, and the checks that wait for it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from builder.examination.finding import Finding
from builder.examination.judge import Verdict
from builder.examine import Examination


@dataclass(frozen=True)
class Waiting:
    """Checks that wait for the same readings or entries.

    Args:
        needs: what would settle them.
        rows: the checks.
    """

    needs: tuple[str, ...]
    rows: tuple[Finding, ...]


def title_of(examination: Examination, path: str) -> str:
    """What a thing is called by people."""
    thing = examination.sheets[examination.carrier].things.get(path)
    name = path.rsplit(".", 1)[-1]
    return thing.title(name) if thing else name


def wanted(examination: Examination) -> tuple[tuple[str, int], ...]:
    """Readings and entries that would settle most, with the number of checks that wait for each."""
    rows_of = {need: [row for row in examination.findings if need in row.needs] for need, _count in examination.wanted}
    return tuple((_told(examination, need, rows), len(rows)) for need, rows in rows_of.items())


def waiting(examination: Examination) -> tuple[Waiting, ...]:
    """Checks that are not shown for want of data, those that want the same together, the largest group first."""
    found: dict[tuple[str, ...], list[Finding]] = {}
    for row in examination.findings:
        if row.verdict is Verdict.NOT_SHOWN and row.needs:
            found.setdefault(row.needs, []).append(row)
    groups = (
        Waiting(tuple(_told(examination, need, rows) for need in needs), tuple(rows)) for needs, rows in found.items()
    )
    return tuple(sorted(groups, key=lambda group: -len(group.rows)))


def _told(examination: Examination, need: str, rows: Iterable[Finding]) -> str:
    """A need with the title of its thing, and the carrier where it is wanted on some carriers only."""
    name, _colon, words = need.partition(": ")
    paths = [path for path in examination.sheets[examination.carrier].things if _last(path) == name]
    title = title_of(examination, paths[0]) if len(paths) == 1 else name
    carriers = tuple(dict.fromkeys(row.thing.removeprefix("carriers.") if _on(row) else row.carrier for row in rows))
    some = "" not in carriers and len(carriers) < len(examination.rig.carriers)
    return f"{title}: {words}" + (f", on carrier {' and '.join(carriers)}" if some else "")


def _on(row: Finding) -> bool:
    return row.thing.startswith("carriers.")


def _last(path: str) -> str:
    return path.rsplit(".", 1)[-1].replace("_", " ") if "." in path else ""
