"""When the author's events come: every kind of trigger, each event once."""

from fractions import Fraction

from tests.build import HOUR, MINUTE, SECOND, Bedside, a_block, a_scenario, an_event, an_order
from trainer.engine.advance import advance
from trainer.engine.decide import inject
from trainer.engine.evolve import fold
from trainer.engine.state import Message
from trainer.scenario.model import Effect, Trigger
from trainer.terms import AlarmKind, Happening, Role, Verb


def bedside_with(*events) -> Bedside:
    return Bedside(a_scenario(events=events))


def came(bedside: Bedside) -> list[tuple[str, int]]:
    return [(event.event, event.at_ms) for event in bedside.of_kind("EventCame")]


def test_an_event_comes_at_its_moment():
    bedside = bedside_with(an_event("call", Trigger(at_ms=5 * MINUTE)))
    bedside.wait(HOUR)
    assert came(bedside) == [("call", 5 * MINUTE)]
    assert bedside.state.messages == (Message(at_ms=5 * MINUTE, who="ward", text="call came"),)


def test_an_event_at_the_beginning_comes_with_the_first_advance():
    bedside = bedside_with(an_event("call", Trigger(at_ms=0)))
    bedside.wait(0)
    assert came(bedside) == [("call", 0)]


def test_an_event_comes_by_volume_given_whatever_stops_lie_between():
    bedside = bedside_with(an_event("half", Trigger(given_ml=Fraction(30), line=1)))
    bedside.run(rate="60", volume="100")
    bedside.wait(20 * MINUTE)
    bedside.do(Verb.STOP, line="1")
    bedside.wait(HOUR)
    bedside.do(Verb.START, line="1")
    bedside.wait(HOUR)
    assert came(bedside) == [("half", 90 * MINUTE)]


def test_volume_by_role_counts_what_ran_under_that_programme():
    bedside = bedside_with(
        an_event("second", Trigger(given_ml=Fraction(5), line=1, role=Role.SECONDARY)),
        an_event("first", Trigger(given_ml=Fraction(12), line=1, role=Role.PRIMARY)),
    )
    bedside.run(rate="60", volume="100")
    bedside.wait(10 * MINUTE)
    bedside.run(rate="30", volume="50", role="secondary")
    bedside.wait(20 * MINUTE)
    bedside.run(rate="60", volume="50")
    bedside.wait(HOUR)
    assert came(bedside) == [("second", 20 * MINUTE), ("first", 32 * MINUTE)]


def test_an_event_comes_after_an_act_that_matches():
    bedside = bedside_with(
        an_event(
            "answer",
            Trigger(after=Verb.QUESTION_ORDER, match=(("order", "maintenance"),), delay_ms=MINUTE),
        )
    )
    bedside.do(Verb.QUESTION_ORDER, order="maintenance")
    bedside.wait(HOUR)
    assert bedside.happened("EventDue") == [0]
    assert came(bedside) == [("answer", MINUTE)]
    assert len(bedside.of_kind("Said")) == 1


def test_an_act_that_was_refused_brings_nothing():
    bedside = bedside_with(an_event("answer", Trigger(after=Verb.STOP)))
    bedside.do(Verb.STOP, line="1")
    assert came(bedside) == []


def test_an_act_with_other_parameters_brings_nothing():
    trigger = Trigger(after=Verb.NOTIFY, match=(("who", "pharmacist"),))
    bedside = bedside_with(an_event("answer", trigger))
    bedside.do(Verb.NOTIFY, who="family")
    assert came(bedside) == []
    bedside.do(Verb.NOTIFY, who="Pharmacist ")
    assert came(bedside) == [("answer", 0)]


def test_whoever_is_asked_answers_even_if_the_author_wrote_nothing():
    bedside = Bedside(a_scenario())
    bedside.do(Verb.QUESTION_ORDER, order="maintenance")
    bedside.do(Verb.NOTIFY, who="charge nurse")
    assert [message.who for message in bedside.state.messages] == ["prescriber", "charge nurse"]


def test_an_event_comes_after_an_alarm():
    bedside = bedside_with(
        a_block(),
        an_event(
            "parent",
            Trigger(alarm=AlarmKind.DOWNSTREAM_OCCLUSION, delay_ms=30 * SECOND),
        ),
    )
    bedside.run(rate="36", volume="100")
    bedside.wait(HOUR)
    assert came(bedside) == [("block", 0), ("parent", 78 * SECOND)]


def test_an_event_comes_after_another_and_one_without_delay_at_once():
    bedside = bedside_with(
        an_event("first", Trigger(at_ms=MINUTE)),
        an_event("at-once", Trigger(event="first")),
        an_event("later", Trigger(event="at-once", delay_ms=MINUTE)),
    )
    bedside.wait(HOUR)
    assert came(bedside) == [("first", MINUTE), ("at-once", MINUTE), ("later", 2 * MINUTE)]


def test_events_that_wait_for_each_other_never_come_and_end_nothing():
    bedside = bedside_with(
        an_event("hen", Trigger(event="egg")), an_event("egg", Trigger(event="hen"))
    )
    bedside.wait(HOUR)
    assert came(bedside) == []


def test_an_event_by_hand_comes_only_when_the_instructor_says_so_and_once():
    bedside = bedside_with(an_event("visitor", Trigger(by_hand=True)))
    bedside.wait(HOUR)
    assert came(bedside) == []
    events = inject(bedside.state, "visitor", at_ms=HOUR, actor="instructor")
    assert [type(event).__name__ for event in events] == ["Injected", "EventCame", "Said"]
    state = fold(bedside.state, events)
    assert inject(state, "visitor", at_ms=HOUR, actor="instructor") == ()
    assert inject(state, "nobody", at_ms=HOUR, actor="instructor") == ()


def test_an_injected_event_does_not_come_again_by_itself():
    bedside = bedside_with(an_event("call", Trigger(at_ms=HOUR)))
    events = inject(bedside.state, "call", at_ms=0, actor="instructor")
    state = fold(bedside.state, events)
    kinds = {type(event).__name__ for event in advance(state, 2 * HOUR)}
    assert kinds == set()


def test_an_order_that_comes_ends_the_one_it_supersedes():
    event = an_event(
        "phone",
        Trigger(at_ms=MINUTE),
        Effect(happening=Happening.ORDER_GIVEN, order="less"),
        Effect(happening=Happening.SIGN_CHANGES, sign="heart rate", value="140"),
    )
    orders = (an_order(), an_order("less", active=False, supersedes="maintenance"))
    bedside = Bedside(a_scenario(events=(event,), orders=orders))
    bedside.do(Verb.VERIFY_ORDER, order="less")
    assert bedside.refusal.text.startswith("There is no order `less`")
    bedside.wait(HOUR)
    old, new = bedside.state.orders
    assert (old.until_ms, new.from_ms) == (MINUTE, MINUTE)


def test_a_changed_sign_is_known_only_after_a_look_at_the_patient():
    event = an_event(
        "faster",
        Trigger(at_ms=MINUTE),
        Effect(happening=Happening.SIGN_CHANGES, sign="heart rate", value="140"),
    )
    bedside = bedside_with(event)
    bedside.wait(HOUR)
    assert bedside.state.signs == (("heart rate", "140"),)
    assert bedside.state.signs_seen == (("heart rate", "112"),)
    bedside.do(Verb.LOOK_AT_PATIENT)
    assert bedside.state.signs_seen == (("heart rate", "140"),)


def test_events_of_one_moment_precede_the_act_of_that_moment():
    bedside = bedside_with(an_event("call", Trigger(at_ms=MINUTE)))
    bedside.now_ms = MINUTE
    bedside.do(Verb.CLEAN_HANDS)
    assert [type(event).__name__ for event in bedside.log] == [
        "EventCame",
        "Said",
        "Acted",
        "Noted",
    ]
