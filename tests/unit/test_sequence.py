"""Order of switching, worked out by hand for small circuits.

Times of relays in the cases follow the figures of a web article on relay interfaces (5 to 15 ms for small relays with
bounce, about 5 ms for vacuum relays, 10 to 20 ms for large ones); what comes of them is added up beside each case.
"""

import math

import pytest

from builder.examination.judge import ONE_SIDED
from builder.rig import sequence
from builder.rig.sequence import Contact, Follower, HandMove, Outcome, Run, Span, Wiring
from builder.rig.timing import WHOLE

KEY = (HandMove("S1", closed=True),)
UNKEY = (HandMove("S1", closed=False),)
PRESS_LATER = HandMove("S1", closed=True, wait=2.0)
MS = 1e-3


def series(*names):
    """Contacts in series; an exclamation mark before a name is a break contact, a bar joins parallel ones."""
    return tuple(tuple(Contact(one.strip("!"), not one.startswith("!")) for one in name.split("|")) for name in names)


def relay(*coil, operate=10 * MS, release=5 * MS, spread=0.0, late=0.0):
    return Follower(series(*coil), Span(operate, spread), Span(release, late))


def wiring(**followers):
    return Wiring({"S1": False, "S2": False, "S5": True}, followers)


def times(found):
    return [(round(event.at / MS, 3), event.name, event.on) for event in found.events]


def from_rest(found, moves, delay=None):
    return sequence.run(found, found.at_rest(), moves, delay)


def test_one_relay_closes_behind_its_operate_time():
    assert times(from_rest(wiring(K1=relay("S1")), KEY)) == [(0, "S1", True), (10, "K1", True)]


def test_a_chain_adds_up():
    """Antenna relay 10 ms, then the plate relay by its contact, 18 ms: 28 ms."""
    found = from_rest(wiring(K1=relay("S1"), K2=relay("K1", operate=18 * MS)), KEY)
    assert times(found) == [(0, "S1", True), (10, "K1", True), (28, "K2", True)]


def test_every_effect_names_its_cause():
    found = from_rest(wiring(K1=relay("S1"), K2=relay("K1")), KEY)
    assert [event.cause for event in found.events] == [None, 0, 1]


def test_contacts_in_parallel_hold_a_relay_that_drops_out_last():
    """K1 by the key or by K2; K2 by the key and K1. On: 10, 20 ms. Off: K2 after 5, K1 after 10 ms."""
    both = wiring(K1=relay("S1|K2"), K2=relay("S1", "K1"))
    on = from_rest(both, KEY)
    assert times(on)[1:] == [(10, "K1", True), (20, "K2", True)]
    off = sequence.run(both, on.end, UNKEY)
    assert times(off)[1:] == [(5, "K2", False), (10, "K1", False)]


def test_a_break_contact_is_closed_at_rest_and_opens():
    found = wiring(K1=relay("S1"), receiver=Follower(series("!K1")))
    assert found.at_rest()["receiver"] is True
    assert times(from_rest(found, KEY))[2] == (10, "receiver", False)


def test_a_coil_that_loses_current_too_soon_does_not_move():
    found = from_rest(wiring(K1=relay("S1")), (*KEY, HandMove("S1", closed=False, wait=4 * MS)))
    assert times(found) == [(0, "S1", True), (4, "S1", False)]


def test_a_relay_that_holds_itself_stays():
    """A push button starts it; it stays when the button is let go."""
    held = wiring(K1=relay("S1|K1", "S5"))
    on = from_rest(held, (*KEY, HandMove("S1", closed=False, wait=1.0)))
    assert on.end["K1"] is True
    off = sequence.run(held, on.end, (HandMove("S5", closed=False),))
    assert times(off) == [(0, "S5", False), (5, "K1", False)]


def test_a_relay_that_breaks_its_own_coil_never_rests():
    found = from_rest(wiring(K1=relay("S1", "!K1")), KEY)
    assert not found.settles
    assert len(found.events) == sequence.MOST_EVENTS


def test_a_hand_that_holds_a_relay_wins():
    """An interlock that works by a relay, forced open: its coil cannot bring it back."""
    found = wiring(K4=relay("S5"), plate=Follower(series("K4")))
    start = found.at_rest()
    assert start["plate"] is True
    end = sequence.run(found, start, (HandMove("K4", closed=False),)).end
    assert not end["K4"]
    assert not end["plate"]


def test_the_operator_waits_between_moves():
    found = from_rest(wiring(K1=relay("S1")), (HandMove("S2", closed=True, wait=9.0), PRESS_LATER))
    assert times(found) == [(0, "S2", True), (2000, "S1", True), (2010, "K1", True)]
    assert sequence.hasty((HandMove("S1", closed=True, wait=2.0),))[0].wait == 0


def test_moving_a_switch_to_where_it_stands_changes_nothing():
    assert from_rest(wiring(K1=relay("S1")), UNKEY).events == ()


def test_intervals_reach_over_both_ends():
    found = Run({"a": True, "b": False}, (sequence.Event(1, "a", on=False), sequence.Event(2, "b", on=True)))
    assert found.intervals("a") == ((-math.inf, 1),)
    assert found.intervals("b") == ((2, math.inf),)
    assert found.intervals("c") == ()
    assert found.first("a", on=True) is None


def test_intervals_together_either_and_without():
    one, other = ((0, 4), (6, 9)), ((3, 7),)
    assert sequence.both(one, other) == ((3, 4), (6, 7))
    assert sequence.either(one, other) == ((0, 9),)
    assert sequence.without(one, other) == ((0, 3), (7, 9))
    assert sequence.without(one, ()) == one
    assert sequence.without(one, ((-math.inf, math.inf),)) == ()
    assert sequence.longest(sequence.without(one, other)) == 3
    assert sequence.longest(()) == 0


def outcome(found):
    return sequence.outcome(found, found.at_rest(), KEY)


def test_a_spread_goes_through_to_what_follows():
    """10 to 15 ms, then 5 to 15 ms: 15 to 30 ms."""
    found = outcome(wiring(K1=relay("S1", operate=12.5 * MS, spread=2.5 * MS), K2=relay("K1", spread=5 * MS)))
    middle, half = found.spans[2].middle, found.spans[2].half
    assert (middle, half) == pytest.approx((22.5 * MS, 7.5 * MS))


def lead(found, later, earlier):
    return outcome(found).span(lambda run: run.first(later, on=True) - run.first(earlier, on=True))


def test_what_two_things_have_in_common_does_not_blur_their_order():
    """K2 follows K1, however long K1 takes: 10 ms ± 1 ms between them, not ± 6 ms."""
    found = wiring(K1=relay("S1", spread=5 * MS), K2=relay("K1", spread=1 * MS))
    span = lead(found, "K2", "K1")
    assert (span.middle, span.half) == pytest.approx((10 * MS, 1 * MS))


def test_two_relays_of_their_own_blur_their_order():
    """Two relays of 5 to 15 ms side by side: either may be first by 10 ms."""
    span = lead(wiring(K1=relay("S1", spread=5 * MS), K2=relay("S1", spread=5 * MS)), "K2", "K1")
    assert (span.middle, span.half) == pytest.approx((0, 10 * MS))


def test_the_last_of_several_contacts_decides():
    """Behind 10 ± 5 ms and 12 ± 1 ms together: 11 to 15 ms."""
    found = wiring(K1=relay("S1", spread=5 * MS), K2=relay("S1", operate=12 * MS, spread=1 * MS),
                   plate=Follower(series("K1", "K2")))  # fmt: skip
    span = outcome(found).span(lambda run: run.first("plate", on=True))
    assert (span.middle - span.half, span.middle + span.half) == pytest.approx((11 * MS, 15 * MS))


def test_more_spreads_than_are_tried_are_added_in_full():
    """Nine relays in a row of 10 ± 1 ms: 90 ± 9 ms."""
    row = {f"K{n}": relay(f"K{n - 1}" if n else "S1", spread=1 * MS) for n in range(9)}
    found = outcome(wiring(**row))
    assert len(found.others) == 2**sequence.MOST_CORNERS
    assert found.slack == pytest.approx(3 * MS)
    span = found.span(lambda run: run.first("K8", on=True))
    assert (span.middle, span.half) == pytest.approx((90 * MS, 9 * MS))


def test_nothing_is_measured_where_nothing_happens():
    assert outcome(wiring(K1=relay("S2"))).span(lambda run: run.first("K1", on=True)) is None


def test_a_state_that_only_some_of_the_spread_leads_to_stays_finite():
    found = Outcome(Run({}, ()), (Run({}, ()),))
    told = iter((1.0, math.inf, 1.0))
    assert found.span(lambda _run: next(told)).half == pytest.approx((sequence.ENDLESS - 1) / 2)


def test_a_verdict_takes_the_whole_of_a_spread():
    assert WHOLE == ONE_SIDED
