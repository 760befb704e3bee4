"""Order of switching: contacts that move without current, tubes that get nothing before they can stand it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from builder.examination.finding import check
from builder.examination.judge import Judgement, at_least, at_most
from builder.rig.control import Circuit
from builder.rig.model import Rig
from builder.rig.timing import HIGH_VOLTAGE, slow_cathodes

from .cooling import AFTER_RUN

if TYPE_CHECKING:
    from builder.physics.units import Ampere, Count, Ratio, Second, Volt

GUARD = 2e-3
"""Seconds by which a contact has settled before current comes, for bounce not counted; source: common-practice."""
AN_INSTANT = 0.1
"""Seconds that a tube forgives a lack of bias or an unloaded transformer; source: common-practice."""
SCREEN_INSTANT = 0.02
"""Seconds that a screen may be on alone: a contactor's own time; source: common-practice."""
EXPOSED = 1e-3
"""Seconds that a receiver may hear its own transmitter; source: common-practice."""
SHORT = 2.0
"""Seconds that a blower takes to run up, and that cold tubes may stand plate voltage; source: common-practice."""
AT_ONCE = 0.25
"""Seconds within which an opened cover has to take the plate supplies off the line; source: common-practice."""


def _on(rig: Any) -> Any:
    return rig.stages[rig.final]


def _concerned(rig: Any) -> list[Any]:
    """The final and what modulates it."""
    stages = rig.stages.values()
    return [stage for stage in stages if stage is _on(rig) or getattr(stage, "modulates", None) == rig.final]


def _slow(rig: Any) -> bool:
    return bool(slow_cathodes(rig.stages, rig.final))


def _mercury(rig: Any) -> bool:
    return any("mercury" in supply.tube.kind for supply in rig.supplies.values())


def _screen_supply(rig: Any) -> bool:
    screen = getattr(_on(rig), "screen", None)
    return screen is not None and screen.supply is not None and not _on(rig).screen_from_plate


def _bias_supply(rig: Any) -> bool:
    return any(stage.grid.supply for stage in _concerned(rig) if hasattr(stage, "grid"))


def _modulated(rig: Any) -> bool:
    return len(_concerned(rig)) > 1


def _air(rig: Any) -> bool:
    return any(getattr(stage, "needs_air", False) for stage in rig.stages.values())


def _written(rig: Any) -> bool:
    return bool(rig.procedures.switch_on)


def _rated(circuit: Any) -> bool:
    """Whether a plate supply hangs on the contacts, or the file says what they carry."""
    plates = circuit.kind in HIGH_VOLTAGE and circuit.supply
    return bool(plates or circuit.switched.current or circuit.switched.voltage)


@check(
    "antenna before carrier", of=Rig, source="relay-interface, time delays", margin=0.9,
    why="A contact that closes on full power arcs and burns, and until it has settled the final works into nothing.",
    remedy="Let the carrier wait: key the drive through a contact of the antenna relay, or through a relay behind it.",
)  # fmt: skip
def antenna_waits_for_nothing(antenna_lead: Second) -> Judgement:
    """On transmit the antenna contact has settled, bounce included, at least 2 ms before the first carrier."""
    return at_least(antenna_lead, GUARD)


@check(
    "carrier gone before antenna", of=Rig, source="relay-interface, time delays", margin=0.9,
    why="A contact that opens under power draws an arc, and the final loses its load while it still works.",
    remedy="Hold the antenna relay by a contact of the relay that ends the carrier, so that it drops out last.",
)  # fmt: skip
def carrier_ends_first(antenna_hold: Second) -> Judgement:
    """On receive the carrier has ended at least 2 ms before the antenna contact opens."""
    return at_least(antenna_hold, GUARD)


@check(
    "changeover before drive", of=Rig, source="common-practice", margin=0.9,
    why="Drive into a stage whose output or input is not yet connected burns contacts, grids and screens.",
    remedy="Key the drive, or the exciter, later; or take relays that are faster.",
)  # fmt: skip
def drive_waits(drive_lead: Second) -> Judgement:
    """On transmit every contact of antenna and input has settled at least 2 ms before there is drive."""
    return at_least(drive_lead, GUARD)


@check(
    "drive gone before changeover", of=Rig, source="common-practice", margin=0.9,
    why="The contact that opens first on receive interrupts the drive with an arc.",
    remedy="Let the relays drop out later, or end the drive sooner.",
)  # fmt: skip
def drive_ends_first(drive_hold: Second) -> Judgement:
    """On receive the drive has ended at least 2 ms before a contact of antenna or input opens."""
    return at_least(drive_hold, GUARD)


@check(
    "heaters before plate voltage", of=Rig, source="eimac, chapter on filaments", margin=0.1, applies=_slow,
    why="Plate voltage on a cold oxide cathode tears its coating, and the supply soars without a load.",
    remedy="A delay relay in the coil of the plate relay, or a longer wait in the procedure.",
)  # fmt: skip
def heaters_come_first(heaters_lead: Second, heaters_needed: Second) -> Judgement:
    """As the procedure goes, the heaters are on before the plate voltage for the warm-up of the slowest cathode."""
    return at_least(heaters_lead, heaters_needed)


@check(
    "mercury rectifiers warmed by a relay", of=Rig, source="rca-tt5, rectifier data", margin=0.1, applies=_mercury,
    why="Plate voltage on a cold mercury-vapor tube arcs back and takes the transformer with it.",
    remedy="A delay relay in the coil of the plate contactor, set well above the warm-up of the type.",
)  # fmt: skip
def mercury_is_warm(mercury_lead: Second, mercury_needed: Second) -> Judgement:
    """Even an operator who does not wait gets no plate voltage before the rectifiers are warm."""
    return at_least(mercury_lead, mercury_needed)


@check(
    "screen without plate voltage", of=Rig, source="common-practice", margin=0.5, applies=_screen_supply,
    why="A screen that is on while the plate is off takes the whole cathode current and is gone in an instant.",
    remedy="Take the screen supply through a contact of the plate relay, or feed it from the plate line.",
)  # fmt: skip
def screen_is_never_alone(screen_alone: Second) -> Judgement:
    """In no action is there screen voltage without plate voltage for more than 20 ms."""
    return at_most(screen_alone, SCREEN_INSTANT)


@check(
    "plate voltage without bias", of=Rig, source="common-practice", margin=0.5, applies=_bias_supply,
    why="Without bias the tubes draw all that the supply can give, and their plates melt.",
    remedy="A relay that the bias voltage holds, in the coil of the plate relay; let the bias go off last.",
)  # fmt: skip
def bias_is_there(plate_unbiased: Second) -> Judgement:
    """In no action is there plate voltage for more than a tenth of a second while the bias is not there in full."""
    return at_most(plate_unbiased, AN_INSTANT)


@check(
    "modulator without load", of=Rig, source="common-practice", margin=0.5, applies=_modulated,
    why="A modulation transformer without its load rises to many times its voltage and flashes over.",
    remedy="Switch both plate supplies with one contactor, or mute the speech before the final goes off.",
)  # fmt: skip
def modulator_has_its_load(modulator_unloaded: Second) -> Judgement:
    """In no action is the modulator on for more than a tenth of a second while the final has no plate voltage."""
    return at_most(modulator_unloaded, AN_INSTANT)


@check(
    "air with the heaters", of=Rig, source="common-practice", margin=0.5, applies=_air,
    why="Filaments alone can crack the seals of a tube that is made for forced air.",
    remedy="Feed the blower from the switch of the heaters, ahead of everything else.",
)  # fmt: skip
def air_comes_with_the_heaters(heaters_without_air: Second) -> Judgement:
    """In no action are the heaters on for more than two seconds without air."""
    return at_most(heaters_without_air, SHORT)


@check(
    "air after the carrier", of=Rig, source="common-practice", margin=0.0, applies=_air,
    why="Plates and filaments give off their heat for minutes; without air it all goes into the seals.",
    remedy="A relay that holds the blower, or a wait in the procedure of switching off.",
)  # fmt: skip
def air_outlasts_the_carrier(air_after_carrier: Second) -> Judgement:
    """From the last carrier to the end of the air at least two minutes, as the procedures go."""
    return at_least(air_after_carrier, AFTER_RUN)


@check(
    "plate supply off before heaters", of=Rig, source="common-practice", margin=0.5,
    why="A plate supply that stays on over cold tubes is without load, and nothing that glows tells of it.",
    remedy="Take the plate relay's coil from behind the switch of the heaters.",
)  # fmt: skip
def plate_goes_first(plate_unheated: Second) -> Judgement:
    """In no action is a plate supply on the line for more than two seconds while the heaters are off."""
    return at_most(plate_unheated, SHORT)


@check(
    "receiver muted", of=Rig, source="common-practice", margin=0.5,
    why="The input of a receiver burns out in a few milliseconds of its own transmitter.",
    remedy="Connect the receiver through the break contact of the antenna relay, and ground it on transmit.",
)  # fmt: skip
def receiver_is_off_first(receiver_exposed: Second) -> Judgement:
    """In no action is the receiver connected for more than a millisecond of carrier."""
    return at_most(receiver_exposed, EXPOSED)


@check(
    "interlocks open the plate supply", of=Rig, source="milhdbk454, requirement on interlocks", margin=0.0,
    person=True,
    why="A cover that opens without taking the plate voltage off leads a hand to what kills.",
    remedy="Put every interlock switch in series with the coil of the plate contactor, or with the primary itself.",
)  # fmt: skip
def interlocks_reach_the_supply(interlocks_working: Ratio) -> Judgement:
    """While the rig transmits, each interlock by itself takes every plate supply off the line for good."""
    return at_least(interlocks_working, 1.0)


@check(
    "interlocks act at once", of=Rig, source="common-practice", margin=0.5, person=True,
    why="A hand is inside within a second; the filter has to empty in what is left of it.",
    remedy="No delay between an interlock and the contactor; look for a relay that is held by its own contact.",
)  # fmt: skip
def interlocks_are_quick(interlock_time: Second) -> Judgement:
    """From the opening of an interlock to the plate supplies off the line at most a quarter of a second."""
    return at_most(interlock_time, AT_ONCE)


@check(
    "relays come to rest", of=Rig, source="common-practice", margin=0.0,
    why="A relay that breaks its own coil buzzes until its contacts weld.",
    remedy="Look for a coil that is fed through a break contact of the same relay, or of one that it moves.",
)  # fmt: skip
def relays_settle(restless_actions: Count) -> Judgement:
    """After every action all relays come to rest."""
    return at_most(restless_actions, 0.0)


@check(
    "procedures follow the switches", of=Rig, source="common-practice", margin=0.0, applies=_written,
    why="Whoever works by the paper does something else than what was examined.",
    remedy="Bring the steps of the procedure and the moves of the control section into one order.",
)  # fmt: skip
def procedures_agree(procedure_share: Ratio) -> Judgement:
    """The steps of the procedures name every switch that the moves move, in the same order."""
    return at_least(procedure_share, 1.0)


@check(
    "contact current", of=Circuit, source="common-practice", margin=0.1, applies=_rated,
    why="Contacts that carry more than they are made for weld together, and then nothing switches off.",
    remedy="A contactor for more current, or a relay that switches the contactor's coil only.",
)  # fmt: skip
def contacts_carry(contact_current: Ampere, contact_current_rating: Ampere) -> Judgement:
    """Full-load current of the circuit at most what the weakest contact in it is made for."""
    return at_most(contact_current, contact_current_rating)


@check(
    "contact voltage", of=Circuit, source="common-practice", margin=0.0, applies=_rated,
    why="Across too high a voltage the arc does not go out when the contact opens.",
    remedy="Contacts made for the voltage, or two in series.",
)  # fmt: skip
def contacts_break(contact_voltage: Volt, contact_voltage_rating: Volt) -> Judgement:
    """Voltage across the open contacts at most what the weakest of them is made for."""
    return at_most(contact_voltage, contact_voltage_rating)
