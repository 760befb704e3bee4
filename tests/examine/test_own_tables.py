"""Tables of a station's own: they add, they override, they are told apart, and their mistakes are told like any."""

import os
import shutil
from pathlib import Path

import pytest

from builder.cli import main
from builder.examination.judge import Verdict
from builder.problem import BadInput
from builder.reference import tables
from builder.reference.own_tables import use_own_tables
from builder.rig.load import load
from builder.site import key_of

BUILT_IN = tables.HOME / "tubes" / "6146B.yaml"
OLD, NEW = "plate dissipation: 23 W", "plate dissipation: 11 W"
NEW_TUBE = """
type: X99
kind: power triode
electrodes: [heater, cathode, grid, plate]
data: {source: bench-notes, mark: read, heater voltage: 6.3 V, heater current: 2 A}
socket:
  {source: bench-notes, mark: read, base: octal 8-pin,
   pins: {1: heater, 2: cathode, 3: grid, 4: heater}, caps: {top: plate}}
ratings:
- {service: class C plate-modulated, system: ICAS, source: bench-notes, mark: read, plate dissipation: 40 W,
   plate voltage: 800 V}
"""
SOURCES = """
bench-notes: {reference: "Notes of the builder, three tubes on the bench", kind: paper, mark: read}
"""
RULES = """
id: xx
country: Nowhere
date: 2026-01-01
source: common-practice
caution: Made up.
power: {measure: carrier power, source: common-practice, paragraph: "1", mark: invented}
limits:
- {classes: [all], limit: 100 W, paragraph: "2", source: common-practice, mark: invented}
segments:
- {band: 40 m, from: 7 MHz, to: 7.28 MHz, classes: [extra], emissions: [phone],
   paragraph: "3", source: common-practice, mark: invented}
"""


@pytest.fixture(autouse=True)
def _program_tables_afterwards():
    yield
    use_own_tables(None)


def put(small, name, text):
    path = small.folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return path


def cooler_rating(small):
    text = BUILT_IN.read_text(encoding="utf-8")
    assert OLD in text
    return put(small, "tubes/6146B.yaml", text.replace(OLD, NEW))


def dissipation(examination):
    return next(
        row for row in examination.findings if row.check.title == "plate dissipation" and row.thing == "stages.pa"
    )


def test_an_override_changes_the_findings_and_its_removal_restores_them(small):
    before = dissipation(small.examine())
    path = cooler_rating(small)
    changed = dissipation(small.examine())
    path.unlink()
    after = dissipation(small.examine())
    assert before.limit_text == after.limit_text == "at most 23 W"
    assert changed.limit_text == "at most 11 W"
    assert (before.verdict, changed.verdict) == (Verdict.WITHIN, Verdict.BEYOND)


def test_a_file_written_again_is_read_again(small):
    path = cooler_rating(small)
    assert dissipation(small.examine()).limit_text == "at most 11 W"
    path.write_text(path.read_text(encoding="utf-8").replace(NEW, "plate dissipation: 12 W"), encoding="utf-8")
    os.utime(path, ns=(1, path.stat().st_mtime_ns + 1_000_000))
    assert dissipation(small.examine()).limit_text == "at most 12 W"


def test_a_file_that_did_not_change_is_read_once(small):
    path = cooler_rating(small)
    small.load()
    assert tables.tube_file(path) is tables.tube_file(path)


def test_a_new_type_with_a_source_of_its_own(small):
    put(small, "tubes/X99.yaml", NEW_TUBE)
    put(small, "sources.yaml", SOURCES)
    small.rig["stages"]["pa"]["tubes"]["type"] = "X99"
    examination = small.examine()
    found = dissipation(examination)
    assert found.limit_text == "at most 40 W"
    assert "three tubes on the bench" in found.limits[0].citation
    assert examination.rig.stages["pa"].tube.own
    assert not examination.rig.stages["osc"].tube.own


def test_another_station_does_not_see_them(small, tmp_path):
    put(small, "tubes/X99.yaml", NEW_TUBE)
    put(small, "sources.yaml", SOURCES)
    small.load()
    other = small.copy(tmp_path / "other")
    other.rig["stages"]["pa"]["tubes"]["type"] = "X99"
    assert any('there is no tube type in the tables called "X99"' in text for text in other.problems())


def test_a_source_can_be_put_right(small):
    put(
        small,
        "sources.yaml",
        'rca-6146b: {reference: "The sheet that hangs on the wall", kind: data sheet, mark: read}',
    )
    small.load()
    assert tables.cite("rca-6146b") == "The sheet that hangs on the wall"


def test_a_rule_table_of_the_station(small):
    put(small, "rules/xx.yaml", RULES)
    small.station["rules"] = "xx"
    examination = small.examine()
    assert examination.value("carriers.a", "power_limit").nominal == 100
    edges = {row.thing: row.verdict for row in examination.findings if row.check.title == "peak envelope power"}
    assert edges["carriers.a"] is Verdict.BEYOND


def test_the_programs_rules_can_be_overridden(small):
    text = (tables.HOME / "rules" / "us.yaml").read_text(encoding="utf-8")
    put(small, "rules/us.yaml", text.replace("limit: 1500 W", "limit: 150 W"))
    assert small.examine().value("carriers.a", "power_limit").nominal == 150


def test_kept_drawings_and_papers_depend_on_them(small):
    content = small.load()
    before = key_of(content.rigs[0], content)
    cooler_rating(small)
    content = small.load()
    assert key_of(content.rigs[0], content) != before


MISTAKES = [
    ("plate dissipation: 40 W", "plate dissipation: 40", '"40" has no unit; expected a power, such as 75 W'),
    ("heater voltage: 6.3 V", "heater voltage: 2 A", "is not a unit of voltage here"),
    ("kind: power triode\n", "", '"kind" is missing; it cannot be left out'),
    ("kind: power triode", "kynd: power triode", '"kynd" is not known here'),
    ("mark: read, plate", "mark: certain, plate", '"certain" is not one of the words expected here'),
    (
        "source: bench-notes, mark: read, plate",
        "source: hearsay, mark: read, plate",
        '"hearsay" is not in sources.yaml',
    ),
    ("type: X99", "type: X98", '"X98" stands in X99.yaml; a tube file is named after its type'),
    ("electrodes: [heater, cathode, grid, plate]", "electrodes: triode", "expected a list: one entry a line"),
    ("3: grid", "3: screen", "pins name screen, which is no electrode of this type"),
    ("caps: {top: plate}", "caps: {}", "no pin or cap is joined to the plate"),
    ("3: grid", "5: grid", "pins are numbered from 1 on"),
    ("{1: heater", "{one: heater", "expected a whole number"),
    (NEW_TUBE, "", "is empty"),
    (NEW_TUBE, "- a list", "expected a group of entries"),
]


@pytest.mark.parametrize(("old", "new", "told"), MISTAKES)
def test_a_mistake_in_a_tube_file_is_told_with_its_place(small, monkeypatch, old, new, told):
    assert old in NEW_TUBE
    put(small, "tubes/X99.yaml", NEW_TUBE.replace(old, new))
    put(small, "sources.yaml", SOURCES)
    small.write()
    monkeypatch.chdir(small.folder.parent)
    with pytest.raises(BadInput) as caught:
        load(Path(small.folder.name))
    lines = str(caught.value).splitlines()
    assert any(told in line for line in lines), lines
    assert all(line.startswith(f"{small.folder.name}/tubes/X99.yaml:") for line in lines), lines


@pytest.mark.parametrize(
    ("name", "text", "told"),
    [
        ("rules/xx.yaml", RULES.replace("limit: 100 W", "limit: 100"), 'xx.yaml:9:27: limits.0.limit: "100" has'),
        ("rules/xx.yaml", RULES.replace("to: 7.28 MHz", "to: 7.28"), 'segments.0.to: "7.28" has no unit'),
        ("rules/xx.yaml", RULES.replace("date: 2026-01-01\n", ""), '"date" is missing'),
        ("rules/xx.yaml", RULES.replace("date: 2026-01-01", "date: soon"), "is not a date"),
        ("rules/xx.yaml", RULES.replace("id: xx", "id: yy"), '"yy" stands in xx.yaml'),
        ("rules/xx.yaml", RULES + "spurious:\n- {attenuation: 43 dB}\n", 'spurious.0: "paragraph" is missing'),
        ("sources.yaml", SOURCES.replace("mark: read", "mark: sure"), "bench-notes.mark"),
        ("sources.yaml", SOURCES.replace(", kind: paper", ""), 'bench-notes: "kind" is missing'),
        ("sources.yaml", "bench-notes: hearsay", "bench-notes: expected a group of entries"),
        ("sources.yaml", "- one\n- two", "expected a group of entries"),
        ("tubes/X99.yaml", "type: [", "tubes/X99.yaml:"),
    ],
)  # fmt: skip
def test_mistakes_in_rules_and_sources(small, name, text, told):
    put(small, name, text)
    small.station["rules"] = "xx" if name.startswith("rules") else "us"
    with pytest.raises(BadInput) as caught:
        small.load()
    assert told in str(caught.value)
    assert f"{name}:" in str(caught.value)


def test_mistakes_of_tables_and_rigs_are_told_together(small):
    put(small, "tubes/X99.yaml", NEW_TUBE.replace("40 W", "40"))
    put(small, "sources.yaml", SOURCES)
    small.rig["emission"] = "A3X"
    text = "\n".join(small.problems())
    assert '"40" has no unit' in text
    assert '"A3X" is not one of the words' in text


def test_the_command_ends_with_two(small, capsys):
    put(small, "tubes/X99.yaml", NEW_TUBE.replace("40 W", "40"))
    put(small, "sources.yaml", SOURCES)
    small.write()
    assert main(["examine", "--content", str(small.folder)]) == 2
    told = capsys.readouterr().err
    assert "tubes/X99.yaml:10:" in told
    assert "Traceback" not in told


def test_pages_say_whose_table_it_is(small, tmp_path):
    cooler_rating(small)
    small.write()
    assert main(["render", "--content", str(small.folder), "--out", str(tmp_path / "pages")]) == 0
    pages = tmp_path / "pages"
    tubes = (pages / "reference/tubes.md").read_text(encoding="utf-8")
    circuit = (pages / "rigs/finch/circuit.md").read_text(encoding="utf-8")
    own = tubes.split("## 6146B")[1].split("\n## ")[0]
    assert "From the station's own tables." in own
    assert tubes.count("From the station's own tables.") == 1
    assert "6146B (from the station's own tables)" in circuit.replace("&#39;", "'")
    assert "6AG7 (from" not in circuit
    shutil.rmtree(pages)


def test_a_bare_rule_table_is_enough_for_every_page(small, tmp_path):
    put(small, "rules/xx.yaml", RULES)
    small.station["rules"] = "xx"
    small.write()
    assert main(["render", "--content", str(small.folder), "--out", str(tmp_path / "pages")]) == 0
    for page in ("station", "exposure", "out-of-date"):
        assert "own tables" in (tmp_path / f"pages/{page}.md").read_text(encoding="utf-8"), page
