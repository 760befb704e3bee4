"""What changes from carrier to carrier: settings of the networks, channels and their edges."""

from __future__ import annotations

from collections.abc import Iterator

from builder.account.operating import settings
from builder.examine import Examination
from builder.quantity import show

Table = tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]
"""Heads and rows."""
COLUMNS = {
    "coil": "tank_coil", "second coil": "output_coil", "load presented": "load_presented", "loaded Q": "loaded_q",
    "efficiency": "network_efficiency", "tuning as set": "tune_set", "at resonance": "tune_needed",
    "loading as set": "loading_set", "second harmonic": "second_harmonic",
    "coil current": "coil_current",
}  # fmt: skip
MATCH = {"tuning capacitor for a match": "tune_for_match", "loading capacitor for a match": "loading_for_match"}
UNKNOWN = "\u2013"
"""Stands where a value cannot be had."""


def by_carrier(examination: Examination, name: str) -> Table:
    """What a network does on each carrier; columns of which nothing is known are left out."""
    path = f"networks.{name}"
    columns = [(head, [_text(examination, path, value, on) for on in _carriers(examination)])
               for head, value in COLUMNS.items()]  # fmt: skip
    shown = [(head, cells) for head, cells in columns if any(cell not in {UNKNOWN, "0 H"} for cell in cells)]
    frequencies = [str(carrier.frequency) for carrier in examination.rig.carriers.values()]
    rows = zip(frequencies, *(cells for _head, cells in shown), strict=True)
    return ("carrier", *(head for head, _cells in shown)), tuple(rows)


def tuning_chart(examination: Examination) -> Table:
    """Dial settings of each carrier with the capacitances that a match asks for."""
    heads, rows = settings(examination)
    carriers = examination.rig.carriers
    rows = rows or tuple((str(carrier.frequency), carrier.band or "") for carrier in carriers.values())
    added = [(head, cells) for name in examination.rig.networks for head, cells in _match(examination, name)]
    if not added and len(heads) == len(("frequency", "band")):
        return heads, ()
    joined = zip(rows, *(cells for _head, cells in added), strict=True)
    return (*heads, *(head for head, _cells in added)), tuple((*row, *cells) for row, *cells in joined)


def _match(examination: Examination, name: str) -> Iterator[tuple[str, list[str]]]:
    many = len(examination.rig.networks) > 1
    for head, value in MATCH.items():
        cells = [_text(examination, f"networks.{name}", value, on) for on in _carriers(examination)]
        if any(cell != UNKNOWN for cell in cells):
            yield f"{name}: {head}" if many else head, cells


def channels(examination: Examination) -> Table:
    """Carriers with their crystals, tolerance and the edges of emission and segment."""
    rows = tuple(_channel(examination, name) for name in examination.rig.carriers)
    heads = ("channel", "frequency", "crystal", "tolerance", "may be off by", "emission from", "to", "segment")
    return heads, rows


def _channel(examination: Examination, name: str) -> tuple[str, ...]:
    carrier = examination.rig.carriers[name]
    path = f"carriers.{name}"
    low, high = (examination.value(path, edge, name) for edge in ("segment_low", "segment_high"))
    segment = f"{show(low.nominal, 'Hz', 6)} to {show(high.nominal, 'Hz', 6)}" if low and high else UNKNOWN
    edges = (_text(examination, path, edge, name) for edge in ("emission_low", "emission_high"))
    error = examination.value(path, "frequency_error", name)
    off = show(error.nominal, "Hz") if error else UNKNOWN
    return (name, str(carrier.frequency), carrier.crystal or UNKNOWN, str(carrier.tolerance or UNKNOWN), off, *edges,
            segment)  # fmt: skip


def _carriers(examination: Examination) -> tuple[str, ...]:
    return tuple(examination.rig.carriers)


def _text(examination: Examination, path: str, name: str, carrier: str) -> str:
    found = examination.value(path, name, carrier)
    return found.plain if found else UNKNOWN
