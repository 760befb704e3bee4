"""The same supplies as netlists of a general-purpose circuit simulator, the Debian package ngspice.

Nothing of the tables and matrices of builder.physics is used: every part becomes an element of the netlist, a swinging
choke and a vacuum rectifier follow their laws without corners.
"""

import shutil
import subprocess
from dataclasses import dataclass
from math import inf
from pathlib import Path

import numpy as np

PROGRAM = shutil.which("ngspice")
DIODE_DROP = 0.8
"""Of the nearly ideal diode below at about an ampere: 1.6 times 26 mV times the logarithm of 1e9, less at less."""
MODEL = ".model di d(is=1e-9 n=1.6 rs=0.001)"


@dataclass(frozen=True)
class Run:
    """What the simulator found, on an even grid."""

    time: np.ndarray
    output: np.ndarray
    drawn: np.ndarray
    winding: np.ndarray

    def last(self, periods, frequency):
        """Only the last periods of the mains."""
        keep = self.time >= self.time[-1] - periods / frequency - 1e-9
        return Run(self.time[keep], self.output[keep], self.drawn[keep], self.winding[keep])


def netlist(circuit, load, span, *, step=2e-5, keep_from=0.0, start=None):
    """A supply with a resistive load, a current sink in parts of time, or both.

    Args:
        circuit: of builder.physics.supply_circuit; its constant drop is that of the diodes below and a battery.
        load: resistance, or pairs of time and current.
        span: time that is run.
        step: longest step.
        keep_from: time from which results are kept.
        start: voltages of the capacitors and currents of the chokes, where it does not begin discharged.
    """
    lines = ["a supply", *_rectifier(circuit), *_filter(circuit, start or {}), *_load(circuit, load), MODEL]
    lines += [".options reltol=1e-4 abstol=1e-7 vntol=1e-4", f".tran {step} {span} {keep_from} {step} uic"]
    return "\n".join([*lines, ".save v(out) i(vsense) i(vw)", ".end", ""])


def _rectifier(circuit):
    peak, frequency = circuit.peak_voltage, circuit.mains_frequency
    sine = f"sin(0 {peak} {frequency})"
    battery = circuit.drop - DIODE_DROP * (2 if circuit.rectifier == "bridge" else 1)
    common = [f"vdrop cat in0 {0 if circuit.perveance else battery}", "vsense in0 p0 0"]
    resistance = max(circuit.source_resistance + circuit.drop_resistance, 1e-3)
    if circuit.rectifier == "bridge":
        legs = ["d1 wa cat di", "d2 b cat di", "d3 0 wa di", "d4 0 b di", "rfloat wa 0 100meg", "cfloat wa 0 5p"]
        return [f"vw a b {sine}", f"rs a wa {resistance}", *legs, *common]
    if circuit.rectifier == "half wave":
        return [f"vw a 0 {sine}", f"rs a wa {resistance}", *_leg(circuit, "wa", 1), *common]
    if circuit.rectifier == "doubler":
        lower = [f"vlow low lowd {battery}", "d2 lowd wa di", "rlow low 0 1e-3"]
        other = f"clow ct low {circuit.sections[0].capacitance}"
        return [f"vw a ct {sine}", f"rs a wa {resistance}", "d1 wa cat di", *lower, other, *common]
    halves = [f"vw a 0 {sine}", f"vx 0 b {sine}", f"rs a wa {resistance}", f"rx b wb {resistance}"]
    return [*halves, *_leg(circuit, "wa", 1), *_leg(circuit, "wb", 2), *common]


def _leg(circuit, anode, number):
    if not circuit.perveance:
        return [f"d{number} {anode} cat di"]
    return [f"b{number} {anode} cat i={circuit.perveance}*pwr(max(v({anode},cat),0),1.5)", f"rb{number} {anode} cat 1g"]


def _filter(circuit, start):
    lines, before = [], "p0"
    for number, section in enumerate(circuit.sections):
        after = f"p{number + 1}"
        lines += _series(section, number, before, after, start.get(f"choke {number}", 0.0))
        if section.capacitance:
            foot = "ct" if circuit.rectifier == "doubler" and not number else "0"
            begin = start.get(f"capacitor {number}", 0.0)
            lines += [f"cc{number} {after} e{number} {section.capacitance} ic={begin}"]
            lines += [f"re{number} e{number} {foot} {max(section.capacitor_resistance, 1e-4)}"]
        before = after
    return lines


def _series(section, number, before, after, current):
    resistance = max(section.resistance, 1e-3)
    if not section.has_choke:
        return [f"rr{number} {before} {after} {resistance}"]
    if section.swing is None:
        coil = f"l{number} {before} x{number} {section.choke} ic={current}"
        return [coil, f"rr{number} x{number} {after} {resistance}"]
    return _swinging(section.swing, number, before, after, resistance)


def _swinging(swing, number, before, after, resistance):
    """Flux linkage as the voltage of a capacitor, current by the law that builder.physics cuts into pieces."""
    flux = f"v(flux{number})"
    slope = np.log(swing.full_inductance / swing.idle_inductance) / np.log(swing.full_current / swing.idle_current)
    power, first = 1 + slope, swing.idle_inductance * swing.idle_current
    scale = swing.idle_inductance * swing.idle_current**-slope / power
    full = first + scale * (swing.full_current**power - swing.idle_current**power)
    below, above = f"{flux}/{swing.idle_inductance}", f"{swing.full_current}+({flux}-{full})/{swing.full_inductance}"
    between = f"pwr(max({flux}-{first},0)/{scale}+{swing.idle_current**power},{1 / power})"
    law = f"({flux}<{first}) ? ({below}) : (({flux}<{full}) ? ({between}) : ({above}))"
    return [
        f"bl{number} {before} x{number} i={law}",
        f"bf{number} 0 flux{number} i=v({before},x{number})",
        f"cf{number} flux{number} 0 1 ic=0",
        f"rl{number} {before} x{number} 1g",
        f"rr{number} x{number} {after} {resistance}",
    ]


def _load(circuit, load):
    end = f"p{len(circuit.sections)}"
    lines = [f"rbleed {end} 0 {circuit.bleeder}"] if circuit.bleeder < inf else []
    if circuit.regulator:
        string = circuit.regulator
        lines += [f"rser {end} out {string.series_resistance}", f"rglow out g1 {max(string.dynamic_resistance, 1e-3)}"]
        lines += ["dglow g1 g2 di", f"vglow g2 0 {string.voltage - DIODE_DROP}"]
    else:
        lines += [f"vout {end} out 0"]
    if isinstance(load, float):
        return [*lines, f"rload out 0 {load}"]
    points = " ".join(f"{time} {current}" for time, current in load)
    return [*lines, f"iload out 0 pwl({points})", "rleak out 0 1g"]


def simulate(text, folder):
    """Run a netlist and read its binary results."""
    deck, raw = Path(folder) / "supply.cir", Path(folder) / "supply.raw"
    deck.write_text(text, encoding="utf-8")
    command = [PROGRAM, "-b", "-r", str(raw), str(deck)]
    done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=120)
    assert done.returncode == 0, done.stdout + done.stderr
    header, _marker, body = raw.read_bytes().partition(b"Binary:\n")
    names = [line.split()[1].decode().lower() for line in header.partition(b"Variables:\n")[2].splitlines()]
    columns = dict(zip(names, np.frombuffer(body).reshape(-1, len(names)).T, strict=True))
    time = columns["time"]
    even = np.linspace(time[0], time[-1], 1 + round((time[-1] - time[0]) / 1e-5))
    names = ("v(out)", "i(vsense)", "i(vw)")
    return Run(even, *(np.interp(even, time, columns[name]) for name in names))
