"""What the fitted tube says of other loading, one cycle and modulation: what holds of every class C stage."""

import pytest

from builder.account.operation import as_it_is, at_load, cycle, loadings, running, sweep


@pytest.fixture
def made(small):
    return small.examine()


def test_loading_shifts_heat_to_the_plate_or_to_the_screen(made):
    stage = running(made, "stages.pa")
    heavy, present, light = (at_load(stage, share) for share in (0.7, 1.0, 1.4))
    assert heavy.plate_dissipation > present.plate_dissipation > light.plate_dissipation
    assert heavy.screen_current < present.screen_current < light.screen_current
    assert heavy.plate_current > present.plate_current > light.plate_current


def test_bias_of_a_leak_follows_the_grid_current(made):
    stage = running(made, "stages.pa")
    present, light = at_load(stage, 1.0), at_load(stage, 1.4)
    assert stage.leak > 0
    assert present.grid_bias == pytest.approx(stage.bias, rel=1e-4)
    leak = stage.bias / as_it_is(stage).grid_current
    assert light.grid_bias / light.grid_current == pytest.approx(leak, rel=1e-3)


def test_the_table_has_a_row_for_each_loading(made):
    assert [row.note for row in loadings(made, "stages.pa")] == ["loaded too heavily", "as it is", "loaded too lightly"]
    assert loadings(made, "stages.modulator") == ()


def test_a_cycle_rests_on_the_supply_voltage(made):
    stage = running(made, "stages.pa")
    found = cycle(stage)
    assert found.plate_voltage.max() == pytest.approx(stage.plate + found.swing)
    assert found.plate_voltage.min() == pytest.approx(stage.plate - found.swing)
    assert found.plate_current[found.plate_voltage > stage.plate].max() == pytest.approx(0, abs=0.01)


def test_a_plate_modulated_stage_is_swept_and_another_is_not(made):
    found = sweep(made, "stages.pa")
    assert 1.5 < found.crest < 2.2
    assert found.voltage_ratio[-1] == pytest.approx(2)
    assert sweep(made, "stages.osc") is None
