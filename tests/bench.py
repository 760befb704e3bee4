"""Prints how long things take: whole commands as processor time, and the parts of one rig as wall time.

Run with `make bench`. Figures of one machine mean little by themselves; the ratios to the reference loop travel better.
"""

import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from functools import partial
from pathlib import Path

import numpy as np
import spice

from builder.drawings.drawing import Medium, plans
from builder.examine import as_json, examine
from builder.papers.paper import papers
from builder.physics.operating import Bias, modulation_sweep, operation_into_load
from builder.physics.supply_circuit import Section, SupplyCircuit, Swing
from builder.physics.supply_simulation import discharge, load_step, regulation, steady_state, switch_on
from builder.reference.fits import fit
from builder.rig.load import load
from builder.site import content_key

ROOT = Path(__file__).parents[1]
RUNS = 5


def reference_loop():
    """A fixed piece of plain work, to compare machines by."""
    total = 0.0
    for number in range(400_000):
        total += number * 0.5
    return total


def median_ms(function):
    times = []
    for _run in range(RUNS):
        start = time.perf_counter()
        function()
        times.append((time.perf_counter() - start) * 1000)
    return statistics.median(times)


def processor_seconds(*command):
    """User and system time of a whole process, start-up and imports included."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run([sys.executable, "-m", "builder.cli", *command], check=False, capture_output=True, cwd=ROOT)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def one_rig(folder):
    """Content with a single rig."""
    content = Path(folder) / "content"
    (content / "rigs").mkdir(parents=True)
    (content / "station.yaml").write_bytes((ROOT / "content/station.yaml").read_bytes())
    shutil.copytree(ROOT / "content/rigs/heron", content / "rigs/heron")
    return content


def line(what, value, unit, reference):
    ratio = f"   {value / reference:8.2f} x the reference loop" if reference else ""
    print(f"{what:58} {value:9.2f} {unit}{ratio}")


def main():
    reference = median_ms(reference_loop)
    line("reference loop", reference, "ms", 0)
    content = load(ROOT / "content")
    for folder in content.rigs:
        examine(content, folder)
        line(f"examine {folder.id}", median_ms(lambda folder=folder: examine(content, folder)), "ms", reference)
    line("load the demo content", median_ms(lambda: load(ROOT / "content")), "ms", reference)
    line("name the state of the content", median_ms(lambda: content_key(ROOT / "content")), "ms", reference)
    heron = examine(content, content.rig("heron"))
    line("everything as JSON", median_ms(lambda: as_json(heron)), "ms", reference)
    for name, plan in plans(heron).items():
        plan.make(Medium.PAGE)
        line(f"drawing {name}", median_ms(lambda plan=plan: plan.make(Medium.PAGE)), "ms", reference)
    solvers(reference)
    line("papers of one rig", median_ms(lambda: papers(content, heron, lambda _name: None)), "ms", reference)
    commands()


def solvers(reference):
    """The tube model: one operating point, and a modulation sweep of 401 plate voltages."""
    tube = fit("4-250A").tube
    point = partial(operation_into_load, tube, 2500.0, -200.0, 300.0, 6000.0, 400.0)
    sweep = partial(modulation_sweep, tube, 2500.0, Bias(0.0, 20e3), 300.0, 6000.0, 400.0, points=400)
    line("operating point into a load", median_ms(point), "ms", reference)
    line("modulation sweep of 401 points", median_ms(sweep), "ms", reference)
    supplies(reference)


def supplies(reference):
    """Four supplies of one rig: everything that is asked of them, and 20 loads against another simulator."""
    line("four supplies: rest, regulation, switch-on, step, off", median_ms(everything), "ms", reference)
    currents = np.linspace(0.02, 0.3, 20)
    ours = median_ms(lambda: regulation(SUPPLIES["high voltage"], currents))
    line("regulation of 20 loads", ours, "ms", reference)
    if spice.PROGRAM is None:
        print("regulation of 20 loads against ngspice: left out, ngspice is not installed")
        return
    with tempfile.TemporaryDirectory() as folder:
        start = time.perf_counter()
        for current in currents:
            begin = {"capacitor 0": 2200.0, "capacitor 1": 2200.0, "choke 0": current, "choke 1": current}
            load = [(0, current), (1, current)]
            spice.simulate(spice.netlist(SUPPLIES["high voltage"], load, 0.5, step=5e-5, start=begin), folder)
        theirs = (time.perf_counter() - start) * 1000
    line("the same loads by ngspice, half a second each", theirs, "ms", reference)
    print(f"{'ngspice over ours, 20 loads':58} {theirs / ours:9.1f} times")


SUPPLIES = {
    "high voltage": SupplyCircuit(
        "full wave", 2500.0, 60.0, 100.0, 15.0, (Section(8.0, 90.0, 4e-6), Section(10.0, 80.0, 8e-6)), bleeder=50e3
    ),
    "modulator": SupplyCircuit(
        "full wave", 1500.0, 60.0, 120.0, 15.0,
        (Section(0.0, 80.0, 8e-6, swing=Swing(20.0, 0.05, 5.0, 0.3)),), bleeder=30e3,
    ),
    "exciter": SupplyCircuit(
        "full wave", 350.0, 60.0, 120.0, 0.0,
        (Section(capacitance=8e-6), Section(10.0, 200.0, 16e-6)), perveance=4.6e-4, bleeder=30e3,
    ),
    "bias": SupplyCircuit(
        "bridge", 250.0, 60.0, 60.0, 1.6, (Section(capacitance=40e-6), Section(0.0, 500.0, 40e-6)), bleeder=5e3
    ),
}  # fmt: skip
CURRENTS = {"high voltage": 0.35, "modulator": 0.25, "exciter": 0.12, "bias": 0.03}


def everything():
    """All that a page of a supply shows, for each of the four."""
    for name, circuit in SUPPLIES.items():
        most = CURRENTS[name]
        steady_state(circuit, most)
        regulation(circuit, np.linspace(0, most, 20))
        switch_on(circuit, circuit.driving_voltage / most, 1.0)
        load_step(circuit, [0.0, 0.1, 0.2, 0.3], [most / 4, most, most / 4, most], 0.4)
        volts = [circuit.peak_voltage] * len(circuit.sections)
        discharge(circuit, volts, circuit.bleeder, 10.0)


def commands():
    """Whole commands, in processor time."""
    with tempfile.TemporaryDirectory() as folder:
        single = str(one_rig(folder))
        line("rigfolio --help", processor_seconds("--help"), "s", 0)
        line("rigfolio examine heron", processor_seconds("examine", "heron"), "s", 0)
        site = str(Path(folder) / "site")
        line(
            "site of one rig, empty cache",
            processor_seconds("site", "--content", single, "--out", site, "--no-cache"),
            "s",
            0,
        )
        kept = str(Path(folder) / "kept")
        demo = ("site", "--out", str(Path(folder) / "demo"), "--cache", kept)
        line("site of the demo, empty cache", processor_seconds(*demo), "s", 0)
        line("site of the demo, nothing changed", processor_seconds(*demo), "s", 0)
        line("site of the demo, built anew from kept drawings", processor_seconds(*demo, "--fresh"), "s", 0)


if __name__ == "__main__":
    main()
