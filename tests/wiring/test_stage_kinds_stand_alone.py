"""A kind of stage is one class: it is known, loaded and examined without a list anywhere else."""

from typing import ClassVar

from builder.examination.value import Missing
from builder.physics import amplifier
from builder.rig.fields import Voltage
from builder.rig.stage import PLATE_FORMULAS, STAGE_KINDS, TubeStage
from builder.rig.thing import formula, origins


def test_a_new_kind_is_one_class(small):
    class Clamp(TubeStage, kind="clamp tube"):
        """Holds the screen down when drive fails."""

        plate_supply_voltage: Voltage | None = None
        origins_of_kind: ClassVar = origins(*PLATE_FORMULAS, formula(amplifier.plate_dissipation))

    small.rig["stages"]["clamp"] = {
        "kind": "clamp tube",
        "tubes": {"type": "6V6GT", "sockets": ["V9"], "service": "class A audio"},
        "plate": {"voltage": "180 V", "current": "20 mA"},
        "output": {"power": "0 W"},
    }
    try:
        examination = small.examine()
    finally:
        del STAGE_KINDS["clamp tube"]
    sheet = examination.sheet("stages.clamp")
    assert str(sheet["dc_input"]) == "3.6 W"
    assert str(sheet["plate_dissipation_per_tube"]) == "3.6 W"
    assert isinstance(sheet["grid_current"], Missing)
    assert "plate voltage" in {row.check.title for row in examination.findings_on("stages.clamp")}


def test_an_unknown_kind_is_named_with_its_nearest(small):
    small.rig["stages"]["pa"]["kind"] = "rf powr"
    assert 'there is no kind of stage called "rf powr"; did you mean "rf power"?' in small.problems()
