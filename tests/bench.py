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

from builder.drawings.drawing import Medium, plans
from builder.examine import as_json, examine
from builder.papers.paper import papers
from builder.physics.operating import Bias, modulation_sweep, operation_into_load
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
