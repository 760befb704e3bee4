"""What holds for every way of wiring relays: causes come first, time runs forward, the spread holds the middle."""

from hypothesis import given, settings
from hypothesis import strategies as st

from builder.rig import sequence
from builder.rig.sequence import Contact, Follower, HandMove, Span, Wiring

HANDS = ("S1", "S2", "S3")
RELAYS = ("K1", "K2", "K3", "K4")
CIRCUITS = ("plate", "antenna")
FEW = settings(max_examples=120, deadline=None)
times = st.floats(0, 0.05).map(lambda seconds: round(seconds, 4))
contacts = st.builds(Contact, st.sampled_from((*HANDS, *RELAYS)), st.booleans())
spans = st.builds(Span, times, st.floats(0, 0.01).map(lambda seconds: round(seconds, 4)))
rows = st.lists(st.lists(contacts, min_size=1, max_size=2).map(tuple), min_size=1, max_size=3).map(tuple)
followers = st.builds(Follower, rows, spans, spans)
wirings = st.builds(
    Wiring, st.fixed_dictionaries({name: st.booleans() for name in HANDS}),
    st.fixed_dictionaries(dict.fromkeys((*RELAYS, *CIRCUITS), followers)),
)  # fmt: skip
hands = st.lists(st.builds(HandMove, st.sampled_from(HANDS), st.booleans(), times), max_size=4).map(tuple)


@FEW
@given(wirings, hands)
def test_events_are_in_order_and_every_effect_has_a_cause(wiring, moves):
    found = sequence.run(wiring, wiring.at_rest(), moves)
    for index, event in enumerate(found.events):
        assert index == 0 or found.events[index - 1].at <= event.at
        if event.name in HANDS:
            assert event.cause is None
        elif event.cause is not None:
            assert event.cause < index
            assert found.events[event.cause].at <= event.at


@FEW
@given(wirings, hands)
def test_each_thing_goes_on_and_off_in_turn(wiring, moves):
    start = wiring.at_rest()
    found = sequence.run(wiring, start, moves)
    state = dict(start)
    for event in found.events:
        assert state[event.name] != event.on
        state[event.name] = event.on
    assert state == found.end


@FEW
@given(wirings, hands)
def test_at_rest_everything_is_as_its_contacts_say(wiring, moves):
    found = sequence.run(wiring, wiring.at_rest(), moves)
    if found.settles:
        for name, follower in wiring.followers.items():
            assert found.end[name] == follower.closed(found.end)


@FEW
@given(wirings, hands)
def test_a_settled_state_stays(wiring, moves):
    found = sequence.run(wiring, wiring.at_rest(), moves)
    if found.settles:
        assert sequence.run(wiring, found.end, ()).events == ()


@FEW
@given(wirings, hands)
def test_the_spread_holds_what_happens_in_the_middle(wiring, moves):
    found = sequence.outcome(wiring, wiring.at_rest(), moves)
    for event, span in zip(found.events, found.spans, strict=True):
        assert span.middle - span.half - 1e-9 <= event.at <= span.middle + span.half + 1e-9


@FEW
@given(wirings, hands)
def test_the_same_moves_give_the_same_events(wiring, moves):
    assert sequence.run(wiring, wiring.at_rest(), moves) == sequence.run(wiring, wiring.at_rest(), moves)


intervals = st.lists(st.tuples(times, times).filter(lambda pair: pair[0] < pair[1]), max_size=4)


@FEW
@given(intervals, intervals)
def test_time_with_and_time_without_make_the_whole(one, other):
    whole, rest = sequence.either(tuple(one), ()), sequence.either(tuple(other), ())
    parts = (sequence.both(whole, rest), sequence.without(whole, rest))
    length = sum(end - start for part in parts for start, end in part)
    assert abs(length - sum(end - start for start, end in whole)) < 1e-9
