"""How far people stay from the antennas: a far-field estimate, with the limits of the station's rule table."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from builder.examine import Examination
from builder.physics.exposure import average_power, safe_distance
from builder.quantity import parse, show
from builder.rig.model import Station

DUTY = {"A3E": 1.0, "J3E": 0.2, "H3E": 1.0, "A1A": 0.4}
"""Mean over reference power while transmitting; source: oet65b, Table 2 (no row for A3E: the mean power is used)."""
MILLIWATT_PER_SQUARE_CENTIMETRE = 10.0
"""In watt per square metre."""
FORMULA = re.compile(r"(?:(?P<front>[\d.]+)(?:/f(?:\^(?P<power>\d))?)?|f/(?P<below>[\d.]+)) mW/cm2")


@dataclass(frozen=True)
class Distance:
    """Distances for one rig on one frequency and one antenna."""

    rig: str
    frequency: str
    antenna: str
    mean: str
    controlled: str
    uncontrolled: str


def density_limit(rows: Any, frequency: float) -> float | None:
    """Limit of power density, watt per square metre, from the rows of a rule table; None outside of them.

    Args:
        rows: with from, to and power density, whose formulas take the frequency in megahertz.
        frequency: hertz.
    """
    for row in rows:
        low, high = parse(row["from"], "frequency").value, parse(row["to"], "frequency").value
        match = FORMULA.fullmatch(row["power density"])
        if match and low <= frequency <= high:
            return _density(match, frequency / 1e6) * MILLIWATT_PER_SQUARE_CENTIMETRE
    return None


def _density(match: re.Match[str], megahertz: float) -> float:
    if match["below"]:
        return megahertz / float(match["below"])
    divisor = megahertz ** int(match["power"] or 1) if "/f" in match[0] else 1.0
    return float(match["front"]) / divisor


def limit_table(station: Station) -> Mapping[str, Any]:
    """The exposure limits of the station's rule table."""
    return station.rule_table.exposure if station.rule_table else {}


def distances(examination: Examination) -> Iterator[Distance]:
    """Distances on every carrier with every antenna; half of the averaging time is taken as transmitting."""
    limits = limit_table(examination.station)
    for carrier in examination.rig.carriers:
        mean = _mean_power(examination, carrier)
        for antenna in examination.station.antennas.values():
            if antenna.gain is None:
                continue
            loss = antenna.loss.value if antenna.loss else 0.0
            yield _distance(examination, carrier, mean, (antenna.what, antenna.gain.value, loss), limits)


ON_SHARE = 0.5
"""Share of the averaging time that is spent transmitting: talk as long as you listen; common practice."""


def _mean_power(examination: Examination, carrier: str) -> float | None:
    am = examination.rig.emission in {"A3E", "H3E"}
    value = examination.value("rig", "mean_power" if am else "peak_envelope_power", carrier)
    return float(average_power(value.nominal, DUTY[examination.rig.emission], ON_SHARE)) if value else None


def _distance(
    examination: Examination,
    carrier: str,
    mean: float | None,
    antenna: tuple[str, float, float],
    limits: Mapping[str, Any],
) -> Distance:
    frequency = examination.rig.carriers[carrier].frequency
    shown = [_shown(mean, antenna, limits.get(name), frequency.value) for name in ("controlled", "uncontrolled")]
    mean_text = show(mean, "W") if mean is not None else "not recorded"
    return Distance(examination.rig.name, str(frequency), antenna[0], mean_text, *shown)


def _shown(mean: float | None, antenna: tuple[str, float, float], table: Any, frequency: float) -> str:
    limit = density_limit(table["rows"], frequency) if table else None
    if mean is None or limit is None:
        return "not shown"
    return show(float(safe_distance(mean, antenna[1], antenna[2], limit)), "m", 2)
