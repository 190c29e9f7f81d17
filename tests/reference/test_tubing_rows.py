"""What stays in a set, what a container truly holds, and how late a drug arrives.

Also the rate from which the primary runs beside its secondary.
"""

from __future__ import annotations

from fractions import Fraction

from tests.build import HOUR, MINUTE, Bedside, a_bag, a_ready_line, a_scenario
from tests.property.both_ways import SECONDARY_READY
from tests.reference.at_the_line import a_line, now, run
from tests.reference.published import ROWS, Answer, Row, exact, given, hold, rows
from trainer.engine.amounts import MOTES_PER_ML
from trainer.engine.begin import initial_state
from trainer.engine.view import residual
from trainer.scenario.model import Hydraulics
from trainer.terms import Running, Verb

SET_ML = exact(ROWS["RES-01"]["expected"])
"""The measured set's volume is what the line of the test is built with."""


def a_set_for_one_dose(bag_ml: int) -> Bedside:
    """A small bag of drug on a set of its own that holds the measured volume."""
    return a_line(
        line={"hung": "dose", "chamber_ml": Fraction(0), "above_ml": SET_ML - 3},
        supplies=(a_bag("dose", "sedative", bag_ml),),
        at_end=Running.COMPLETE,
    )


def left_in_the_set(_row: Row) -> Fraction:
    """When the dose's volume has been pumped: what the set, filled before, still holds."""
    bedside = a_set_for_one_dose(60)
    run(bedside, 200, volume="50")
    bedside.wait(2 * HOUR)
    held = dict(residual(now(bedside).line(1)))
    return Fraction(held["sedative"], MOTES_PER_ML)


def share_lost(_row: Row) -> list[float]:
    """Percent of a 50 and of a 100 mL bag that is in the set when no more comes."""
    lost = []
    for bag_ml in (50, 100):
        held = dict(residual(now(a_set_for_one_dose(bag_ml)).line(1)))["sedative"]
        lost.append(100 * held / MOTES_PER_ML / bag_ml)
    return lost


def a_bag_as_it_is_filled(_row: Row) -> Fraction:
    """A 250 mL bag with 25 mL more in it than its label says."""
    bag = a_bag(volume_ml=250, overfill_ml=Fraction(25))
    scenario = a_scenario(lines=(a_ready_line(chamber_ml=Fraction(0)),), supplies=(bag,))
    container = initial_state(scenario).container("bag")
    return Fraction(container.left, MOTES_PER_ML)


def minutes_until_the_drug_arrives(row: Row) -> Fraction:
    """A dead volume full of plain fluid, the drug right behind it."""
    dead = given(row, "dead_ml")
    bedside = a_line(
        line={"hung": "small-bag", "below_ml": dead},
        supplies=(a_bag("small-bag", "sedative", 500),),
    )
    bedside.do(Verb.FLUSH, line="1", volume=str(dead))
    run(bedside, given(row, "total_flow_ml_h"))
    bedside.wait(HOUR)
    fronts = [event for event in bedside.of_kind("FrontReachedVein") if event.fluid == "sedative"]
    return Fraction(fronts[0].at_ms, MINUTE)


def rate_at_which_the_primary_joins(row: Row) -> Fraction:
    """The lowest of the rates tried (0.1 mL/h apart) at which the primary's bag falls."""
    hydraulics = Hydraulics(
        hanger_drop_cm=given(row, "dh_cm"), secondary_resistance=given(row, "R_mmHg_per_ml_h")
    )
    slow, fast = 1, 9999
    while fast - slow > 1:
        middle = (slow + fast) // 2
        if primary_falls(hydraulics, Fraction(middle, 10)):
            fast = middle
        else:
            slow = middle
    return Fraction(fast, 10)


def primary_falls(hydraulics: Hydraulics, rate: Fraction) -> bool:
    bedside = a_line(
        hydraulics=hydraulics,
        supplies=(a_bag(volume_ml=900), a_bag("small-bag", "sedative", 900)),
    )
    for verb, params in (*SECONDARY_READY, (Verb.LOWER_PRIMARY, {"line": "1"})):
        bedside.do(verb, **params)
    before = now(bedside).container("bag").left
    bedside.run(rate=f"{float(rate):g}", volume="500", role="secondary")
    bedside.wait(10 * MINUTE)
    assert not bedside.of_kind("Refused"), bedside.refusal
    return now(bedside).container("bag").left < before


ANSWERS: dict[str, Answer] = {
    "RES-01": left_in_the_set,
    "RES-04": share_lost,
    "RES-06": a_bag_as_it_is_filled,
    "DEA-01": minutes_until_the_drug_arrives,
    "DEA-04": minutes_until_the_drug_arrives,
    "SEC-03": rate_at_which_the_primary_joins,
}


@rows(ANSWERS)
def test_the_engines_tubing_holds_and_gives_what_was_published(row: Row) -> None:
    hold(row, ANSWERS[row["id"]](row))
