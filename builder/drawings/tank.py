"""What an output network does: how it weakens the harmonics, and where its capacitors stand for other antennas."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from itertools import groupby
from typing import Any

from builder.examination.value import Value
from builder.examine import Examination
from builder.physics import matching
from builder.physics.harmonics import MOST_TOLD
from builder.physics.ladder import HIGHEST_HARMONIC, Ladder
from builder.quantity import show
from builder.rig.network import CIRCLE_RATIOS, FILTER_CAPACITORS, FILTER_COILS, HARMONICS, WEAKENED

from .drawing import Drawing, Medium, Plan, drawing
from .graph import Graph
from .theme import Ink

RESPONSE = "tank response"
SETTINGS = "settings on the SWR circle"
POINTS = 600
"""Frequencies drawn."""
ROUND = 72
"""Loads drawn on each circle; a multiple of four, so that the plain resistances are among them."""
SPAN = (0.6, 11.5)
"""Ends of the frequency axis over the carrier."""
ORDERS = dict(enumerate(HARMONICS, 2))
"""Names of the harmonics by their number."""
FLOOR = -100.0
"""Lower end of the level axis, decibel."""
NEEDED = ("tuning_needed", "tank_coil", "unloaded_q", "antenna_load", "carrier_frequency")
ASKED = (
    "tune_for_match", "loading_for_match", "tune_most_needed", "tune", "loading", "plate_load", "plate_capacitance",
    "tank_coil", "unloaded_q", "antenna_load", "carrier_frequency",
)  # fmt: skip


@drawing(RESPONSE)
def responses(examination: Examination) -> Iterator[Plan]:
    """One for each network whose values are known."""
    for name in examination.rig.networks:
        path = f"networks.{name}"
        if known(examination, path, (*NEEDED, "second_harmonic")):
            yield Plan(f"response-{slug(name)}", RESPONSE, path, partial(response, examination, name))


@drawing(SETTINGS)
def circles(examination: Examination) -> Iterator[Plan]:
    """One for each network that is set by two capacitors."""
    for name in examination.rig.networks:
        path = f"networks.{name}"
        if known(examination, path, ASKED):
            yield Plan(f"settings-{slug(name)}", SETTINGS, path, partial(circle, examination, name))


def slug(name: str) -> str:
    """A network's name in names of drawings."""
    return name.replace(" ", "-")


def known(examination: Examination, path: str, names: tuple[str, ...]) -> dict[str, float]:
    """Numbers of all these values; nothing where one of them cannot be had."""
    found = {name: examination.value(path, name) for name in dict.fromkeys(names)}
    have = {name: value.nominal for name, value in found.items() if isinstance(value, Value)}
    return have if len(have) == len(names) else {}


def ladder(examination: Examination, path: str) -> Ladder:
    """The network of a rig as it is set, with the filter behind it."""
    names = (*NEEDED, *FILTER_CAPACITORS, *FILTER_COILS)
    of = known(examination, path, names)
    link = known(examination, path, ("link_coil", "link_coupling"))
    rest = known(examination, path, ("loading_set", "output_coil"))
    behind = Ladder.of_parts([of[name] for name in FILTER_CAPACITORS], [of[name] for name in FILTER_COILS])
    tuning, coil, coil_q = of["tuning_needed"], of["tank_coil"], of["unloaded_q"]
    if link:
        wound = (link["link_coil"], link["link_coupling"])
        network = Ladder.linked_tank(tuning, coil, *wound, coil_q, rest["loading_set"])
    else:
        network = Ladder.output_network(tuning, coil, rest["loading_set"], rest["output_coil"], coil_q)
    return network.followed_by(behind)


def response(examination: Examination, name: str, medium: Medium) -> Drawing:
    """Voltage at the antenna for equal currents from the tubes, against the carrier."""
    import numpy as np

    path = f"networks.{name}"
    of = known(examination, path, NEEDED)
    carrier, load = of["carrier_frequency"], of["antenna_load"]
    frequency = carrier * np.geomspace(*SPAN, POINTS)
    whole = ladder(examination, path)
    level = levels(whole, frequency, load) - levels(whole, carrier, load)
    graph = Graph(660, 340, (0.1, 0.2, 0.15, 0.05))
    graph.curve(frequency, np.maximum(level, FLOOR - 5), Ink.FIRST)
    graph.mark((carrier, 0.0), Ink.FIRST)
    graph.at((carrier, 0.0), f"carrier {show(carrier, 'Hz', 6)}", Ink.FIRST, (9, 0))
    told = list(harmonics(examination, path, carrier, graph))
    limit(examination, path, graph)
    axes(graph, carrier)
    kind = examination.rig.networks[name].title(name)
    counted = any(of_the_pulse(examination, path, order) for order in ORDERS)
    title = f"{kind}: what it lets through"
    title += " of equal currents; the dots count in the pulse of plate current" if counted else ""
    return graph.drawing(f"response-{slug(name)}", title, f"Weakened: {'; '.join(told)}.", medium)


def levels(network: Ladder, frequency: Any, load: float) -> Any:
    """Voltage at the load for a current of one ampere, as a level."""
    import numpy as np

    return 20 * np.log10(np.abs(network.driven(frequency, load, 1.0).voltage[-1]))


def harmonics(examination: Examination, path: str, carrier: float, graph: Graph) -> Iterator[str]:
    """Marks on the harmonics with their levels; those beyond what is told share one line of words."""
    beyond = []
    for order, name in enumerate(HARMONICS.values(), 2):
        value = examination.value(path, name)
        if value is None:
            continue
        if value.nominal >= MOST_TOLD:
            beyond.append(order)
            continue
        point = (order * carrier, -value.nominal)
        graph.mark(point, Ink.SECOND)
        weakened = of_the_pulse(examination, path, order)
        if weakened:
            graph.curve([point[0], point[0]], [-weakened, point[1]], Ink.SECOND, 1.0)
        shift, side = ((-9, -3), "right") if weakened else ((9, 3), "left")
        graph.at(point, f"{ordinal(order)} \u2212{value.plain}", Ink.SECOND, shift, side)
        yield f"{ordinal(order)} harmonic by {value.plain}"
    if beyond:
        words = in_words(beyond)
        graph.axes.axhspan(FLOOR, -MOST_TOLD, color=Ink.SOFT.value, linewidth=0)
        told = f"{words}: over {show(MOST_TOLD, 'dB')};\nstray coupling decides"
        graph.beside((FLOOR - MOST_TOLD) / 2, told, Ink.SECOND)
        yield f"{words} by more than {show(MOST_TOLD, 'dB')}"


def of_the_pulse(examination: Examination, path: str, order: int) -> float | None:
    """By how much network and filter alone weaken a harmonic of which the pulse tells more; None where it does not."""
    value = examination.value(path, HARMONICS[ORDERS[order]])
    alone = examination.value(path, WEAKENED[ORDERS[order]])
    return alone.nominal if value and alone and alone.nominal < min(value.nominal, MOST_TOLD) else None


def in_words(orders: list[int]) -> str:
    """Harmonics in short, neighbours taken together; the pulse may put the third below the fourth."""
    runs = [list(group) for _start, group in groupby(orders, lambda order: order - orders.index(order))]
    return ", ".join(" to ".join(ordinal(run[end]) for end in ((0, -1) if len(run) > 1 else (0,))) for run in runs)


def ordinal(number: int) -> str:
    """Which harmonic, in short."""
    return {2: "2nd", 3: "3rd"}.get(number, f"{number}th")


def limit(examination: Examination, path: str, graph: Graph) -> None:
    """The line below which the rules want the harmonics."""
    asked = examination.value(path, "spurious_attenuation_rated")
    if asked:
        graph.level(-asked.nominal, Ink.LIMIT, f"rules: below \u2212{asked.plain}")


def axes(graph: Graph, carrier: float) -> None:
    """Frequency across with each doubling as wide as the next, level up."""
    from matplotlib.ticker import FixedLocator, FuncFormatter, NullLocator

    graph.axes.set_xscale("log")
    ticks = [order * carrier for order in (1, 2, 3, 4, 5, 7, HIGHEST_HARMONIC)]
    graph.axes.xaxis.set_major_locator(FixedLocator(ticks))
    graph.axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _place: f"{value / 1e6:.3g}"))
    graph.axes.xaxis.set_minor_locator(NullLocator())
    graph.axes.set_xlim(SPAN[0] * carrier, SPAN[1] * carrier)
    graph.axes.set_ylim(FLOOR, 10)
    graph.axes.set_xlabel("carrier and harmonics, MHz")
    graph.axes.set_ylabel("level against the carrier, dB")


def circle(examination: Examination, name: str, medium: Medium) -> Drawing:
    """Settings of both capacitors for antennas of equal standing-wave ratio."""
    path = f"networks.{name}"
    of = known(examination, path, ASKED)
    graph = Graph(620, 380, (0.12, 0.2, 0.14, 0.08))
    settings = settings_of(examination, path, of)
    ends = [ring(graph, of, settings, ratio, ink) for ratio, ink in zip(CIRCLE_RATIOS, RINGS, strict=True)]
    match = (of["tune_for_match"] * PICO, of["loading_for_match"] * PICO)
    graph.mark(match, Ink.SECOND)
    stops(graph, examination, path, of)
    names = [f"{ratio:g} to 1" for ratio in CIRCLE_RATIOS]
    lead(graph, [*ends, match], [*names, f"{show(of['antenna_load'], 'ohm')}, a match"])
    graph.axes.set_xlabel("tuning capacitor, pF")
    graph.axes.set_ylabel("loading capacitor, pF")
    carrier = show(of["carrier_frequency"], "Hz", 6)
    title = f"{examination.rig.networks[name].title(name)}: settings on {carrier} for antennas that are off"
    told = (
        f"A match to {show(of['antenna_load'], 'ohm')} asks for {show(of['tune_for_match'], 'F')} and "
        f"{show(of['loading_for_match'], 'F')}; loads of 2 to 1 lie on a ring round it."
    )
    return graph.drawing(f"settings-{slug(name)}", title, told, medium)


PICO = 1e12
"""From farad to picofarad."""
RINGS = (Ink.FIRST, Ink.THIRD)
"""Colours of the rings."""
LINE = 0.062
"""Distance of lines of words, as a share of the height of the axes."""


Settings = Callable[[Any], Any]
"""From complex loads at the antenna to capacitances at both ends; the first load is the match."""


def settings_of(examination: Examination, path: str, of: dict[str, float]) -> Settings:
    """How the capacitors of a network stand for loads at the antenna, whatever its form and with its filter."""
    before = _link_settings if known(examination, path, LINK) else _pi_settings
    parts = known(examination, path, (*FILTER_CAPACITORS, *FILTER_COILS, "filter_coil_q", "filter_resistance"))
    network = partial(before, of | known(examination, path, LINK) | known(examination, path, ("output_coil",)))
    return partial(_behind_filter, of["carrier_frequency"], parts, network) if parts else network


LINK = ("link_coil", "link_coupling")
"""Values of a link."""


def _pi_settings(of: dict[str, float], loads: Any) -> Any:
    network = (of["carrier_frequency"], of["tank_coil"], of["unloaded_q"], of["plate_load"])
    seen = matching.behind_output_coil(network[0], network[2], of["output_coil"], loads.real, loads.imag)
    return matching.pi_settings(*network, *seen)


def _link_settings(of: dict[str, float], loads: Any) -> Any:
    wound = (of["tank_coil"], of["link_coil"], of["link_coupling"], of["unloaded_q"], of["plate_load"])
    return matching.link_settings(of["carrier_frequency"], *wound, loads.real, loads.imag)


def _behind_filter(carrier: float, of: dict[str, float], network: Settings, loads: Any) -> Any:
    import numpy as np

    capacitors, coils = ([of[name] for name in names] for names in (FILTER_CAPACITORS, FILTER_COILS))
    behind = Ladder.of_parts(capacitors, coils, of["filter_coil_q"])
    return network(behind.input_impedance(np.full(loads.shape, carrier), loads))


def ring(graph: Graph, of: dict[str, float], settings: Settings, ratio: float, ink: Ink) -> tuple[float, float]:
    """All settings for one standing-wave ratio; returns the point where both are large."""
    import numpy as np

    resistance, reactance = matching.mismatched_loads(of["antenna_load"], ratio, ROUND)
    tuning, loading = (ends[1:] for ends in settings(np.append(of["antenna_load"], resistance + 1j * reactance)))
    across, up = (tuning - of["plate_capacitance"]) * PICO, loading * PICO
    graph.curve(np.append(across, across[0]), np.append(up, up[0]), ink)
    graph.axes.fill(across, up, color=ink.value, alpha=0.06, linewidth=0)
    outward = (across - across.min()) / np.ptp(across) + (up - up.min()) / np.ptp(up)
    end = int(np.nanargmax(outward))
    return float(across[end]), float(up[end])


def lead(graph: Graph, points: list[tuple[float, float]], words: list[str]) -> None:
    """Words right of the axes, one below the other, with lines to what they speak of."""
    low, high = graph.axes.get_ylim()
    middle = (points[-1][1] - low) / (high - low)
    for row, (point, text, ink) in enumerate(zip(points, words, (*RINGS, Ink.SECOND), strict=True)):
        height = middle + LINE * (len(points) - 1 - row)
        graph.axes.annotate(
            text, point, (1.025, height), "data", "axes fraction", color=ink.value, va="center",
            arrowprops={"arrowstyle": "-", "color": ink.value, "linewidth": 0.7, "shrinkA": 2, "shrinkB": 0},
        )  # fmt: skip


def stops(graph: Graph, examination: Examination, path: str, of: dict[str, float]) -> None:
    """Least and most of both capacitors, and axes that show them where they are near."""
    tune, loading = of["tune"] * PICO, of["loading"] * PICO
    left, right = graph.axes.get_xlim()
    high = graph.axes.get_ylim()[1]
    least = {name: examination.value(path, name) for name in ("tune_least", "loading_least")}
    width = right - left
    graph.axes.set_xlim(max(left - 0.4 * width, 0), max(right, tune) + 0.15 * width)
    graph.axes.set_ylim(0, max(high, loading) * 1.12)
    graph.axes.axvline(tune, color=Ink.LIMIT.value, linewidth=1.2, linestyle=(0, (5, 3)))
    graph.level(loading, Ink.LIMIT, f"most {show(of['loading'], 'F')}")
    top = ("data", "axes fraction")
    graph.axes.annotate(f"most {show(of['tune'], 'F')}", (tune, 1.03), xycoords=top, color=Ink.LIMIT.value, ha="center")
    foot = least["loading_least"]
    if foot:
        graph.level(foot.nominal * PICO, Ink.LIMIT, f"least {foot.plain}")
    start = least["tune_least"]
    if start and start.nominal * PICO > graph.axes.get_xlim()[0]:
        graph.axes.axvline(start.nominal * PICO, color=Ink.LIMIT.value, linewidth=1.2, linestyle=(0, (5, 3)))
