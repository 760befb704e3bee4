"""What changes from carrier to carrier: settings of the networks, channels and their edges."""

from __future__ import annotations

from collections.abc import Iterator

from builder.account.operating import settings
from builder.examine import Examination
from builder.physics.ladder import HIGHEST_HARMONIC
from builder.physics.waveform import LEAST_SHARE, square_component, square_component_level
from builder.quantity import show
from builder.rig.network import FILTER_CAPACITORS

Table = tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]
"""Heads and rows."""
COLUMNS = {
    "coil": "tank_coil", "second coil": "output_coil", "load presented": "load_presented", "loaded Q": "loaded_q",
    "efficiency": "network_efficiency", "tuning as set": "tune_set", "at resonance": "tune_needed",
    "loading as set": "loading_set", "second harmonic": "second_harmonic",
    "coil current": "coil_current", "filter loss": "filter_loss", "SWR into the filter": "filter_swr",
}  # fmt: skip
MATCH = {
    "tuning capacitor for a match": "tune_for_match",
    "loading capacitor for a match": "loading_for_match",
    "coupling for a match": "coupling_for_match",
}
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


def filter_parts(examination: Examination, name: str) -> Table:
    """The parts of a low-pass filter from network to antenna, what the design asks for, and what they bear."""
    found = examination.rig.networks[name].low_pass
    if found is None or not found.parts:
        return (), ()
    path = f"networks.{name}"
    sheet = examination.sheet(path)
    rows = []
    for value, designator in found.slots():
        design = sheet.worked_out(value)
        borne = f"{value}_voltage" if value in FILTER_CAPACITORS else f"{value}_current"
        wanted = show(design.nominal, design.unit) if design else UNKNOWN
        part = examination.rig.parts[designator]
        rated = part.voltage if value in FILTER_CAPACITORS else part.current
        rows.append((designator, _text(examination, path, value, examination.carrier), wanted,
                     _text(examination, path, borne, examination.carrier), str(rated or UNKNOWN)))  # fmt: skip
    return ("part", "as built", "design", "bears at the crest", "made for"), tuple(rows)


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


def source_harmonics(examination: Examination) -> Table:
    """Harmonics of a signal source that gives a square wave; nothing for other rigs or where duty is not known."""
    frequency = examination.value("rig", "source_frequency")
    duty = examination.value("rig", "signal_source_duty")
    if frequency is None or duty is None:
        return (), ()
    swing = examination.value("rig", "signal_source_swing")
    picked = examination.rig.signal_source.harmonic if examination.rig.signal_source else 0
    rows = (
        (f"{count}, picked" if count == picked else str(count), show(count * frequency.nominal, "Hz", 5),
         *_component(count, duty.nominal, swing.nominal if swing else None))
        for count in range(1, HIGHEST_HARMONIC + 1)
    )  # fmt: skip
    return ("harmonic", "frequency", "peak", "below the fundamental"), tuple(rows)


def _component(count: int, duty: float, swing: float | None) -> tuple[str, str]:
    share = float(square_component(1.0, duty, count) / square_component(1.0, duty, 1))
    if share < LEAST_SHARE:
        return "none", "none"
    peak = UNKNOWN if swing is None else show(float(square_component(swing, duty, count)), "V")
    return peak, show(float(square_component_level(duty, count)), "dB")


def _carriers(examination: Examination) -> tuple[str, ...]:
    return tuple(examination.rig.carriers)


def _text(examination: Examination, path: str, name: str, carrier: str) -> str:
    found = examination.value(path, name, carrier)
    return found.plain if found else UNKNOWN
