"""What a learner may type as a worked-out value: taken, or refused with how to write it.

What was typed is kept as typed, whatever it is. `trainer diagnose` reads the same texts the
same way.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from tests.unit.scoring.ward import DOPAMINE, a_scenario, did
from trainer.clinical.problem import parse_problem
from trainer.clinical.slips.answer import answer_of
from trainer.clinical.slips.diagnose import diagnose
from trainer.engine.events import Finished
from trainer.errors import QuantityError
from trainer.scoring import expect
from trainer.scoring.reading import read
from trainer.scoring.report import report
from trainer.terms import Verb, Verdict

SCENARIO = a_scenario(DOPAMINE)  # right is 3.4 mL/h
(KEY,) = [key for key in expect.keys(SCENARIO) if key.quantity == "rate"]
PROBLEM = answer_of(
    parse_problem(
        {
            "id": "a",
            "find": "rate",
            "unit": "mL/h",
            "given": {"dose": "5 mcg/kg/min", "weight": "18.2 kg", "concentration": "1.6 mg/mL"},
        }
    )
)

TAKEN = [
    # typed, value in mL/h, what is said of the unit, what is said of the form
    ("3.4 mL/h", "3.4", "", ""),
    ("3.4 ml/hr", "3.4", "", ""),
    ("3.4mL/h", "3.4", "", ""),
    ("3.4 mL per hour", "3.4", "", ""),
    ("  3.4   mL / h ", "3.4", "", ""),
    ("0.0034 L/h", "3.4", "", ""),
    ("1,000 mL/h", "1000", "", ""),
    ("1 000 mL/h", "1000", "", ""),
    ("3.4", "3.4", "The unit is missing; write 3.4 mL/h.", ""),
    ("3.4 mL", "3.4", "`mL` is no unit of this answer; write mL/h.", ""),
    ("3.4 cc/h", "3.4", "`cc` is misread and not used in orders; write mL.", ""),
    ("3.4 drips", "3.4", "`drips` is not a unit the trainer knows; write mL/h.", ""),
    (".5 mL/h", "0.5", "", ".5 mL/h has no zero before the point, which is overlooked; write 0.5"),
    ("5. mL/h", "5", "", "5. mL/h ends in a point; write 5 mL/h."),
    ("03.4 mL/h", "3.4", "", "03.4 mL/h begins with an idle zero; write 3.4 mL/h."),
    ("3.40 mL/h", "3.4", "", "3.40 mL/h has an idle zero after the point, which is misread"),
    ("0 mL/h", "0", "", ""),
]

REFUSED = [
    ("12,5", "`12,5` has a decimal comma; write 12.5."),
    ("12,5 mL/h", "`12,5` has a decimal comma; write 12.5."),
    ("1/2 mL/h", "`1/2` is a fraction or ratio; write a decimal, such as 0.5."),
    ("3 1/2 mL/h", "`3 1/2` is a mixed number; write a decimal, such as 3.5."),
    ("½ mL/h", "`½` is not a number; write digits 0 to 9 with a point, such as 12.5."),
    ("1e3", "`1e3` is written with a power of ten; write it out, such as 1,000."),
    ("1e400 mL/h", "`1e400` is written with a power of ten; write it out, such as 1,000."),
    ("\uff15 mL/h", "`\uff15` has digits from another script; write 0 to 9."),  # full-width
    ("\u0663 mL/h", "`\u0663` has digits from another script; write 0 to 9."),  # Arabic
    ("", "Nothing is written; write a number and a unit, such as 5 mL/h."),
    ("   ", "Nothing is written; write a number and a unit, such as 5 mL/h."),
    ("mL/h", "A number is missing; write one before the unit, such as 5 mL/h."),
    ("about 3", "A number is missing; write one before the unit, such as 5 mL/h."),
    ("-3.4 mL/h", "A value below zero makes no sense here; check it and write it without"),
    ("\u22123.4 mL/h", "A value below zero makes no sense here; check it and write it without"),
    ("+3.4 mL/h", "`+3.4` has a plus; write 3.4."),
    ("NaN", "`NaN` is not a value; write a number, such as 5 mL/h."),
    ("inf mL/h", "`inf mL/h` is not a value; write a number, such as 5 mL/h."),
    ("9" * 10_000, "`99999999999999999999…` is too long; write a number and a unit."),
    ("9" * 30, "`999999999999…` has too many digits; write at most 15."),
    ("3.4-3.5 mL/h", "`3.4-3.5` is not a number; write it plainly, such as 12.5 or 10,000."),
    ("1.000,5 mL/h", "`1.000,5` is not a number; write it plainly, such as 12.5 or 10,000."),
]


@pytest.mark.parametrize(("typed", "value", "of_unit", "of_form"), TAKEN)
def test_what_can_be_read_is_taken_and_faults_of_writing_are_told(typed, value, of_unit, of_form):
    found = read(typed, KEY)
    assert (found.value, found.unit_fault, found.fault) == (Fraction(value), of_unit, "")
    assert found.form_fault.startswith(of_form)
    assert bool(found.form_fault) is bool(of_form)


@pytest.mark.parametrize(("typed", "said"), REFUSED)
def test_what_cannot_be_read_is_refused_with_how_to_write_it(typed, said):
    found = read(typed, KEY)
    assert found.value is None
    assert found.fault.startswith(said)


@pytest.mark.parametrize("typed", [row[0] for row in TAKEN])
def test_a_diagnosis_takes_the_same_texts_and_finds_the_same_faults(typed):
    found, told = read(typed, KEY), diagnose(PROBLEM, typed)
    assert told.typed == typed
    assert bool(told.unit_fault) is bool(found.unit_fault)
    assert bool(told.form_fault) is bool(found.form_fault)


@pytest.mark.parametrize(("typed", "said"), REFUSED)
def test_a_diagnosis_refuses_the_same_texts_in_the_same_words(typed, said):
    with pytest.raises(QuantityError) as fault:
        diagnose(PROBLEM, typed)
    assert str(fault.value).removeprefix("entered: ")[1:].startswith(said[1:].rstrip("."))


@pytest.mark.parametrize("typed", [row[0] for row in (*TAKEN, *REFUSED) if len(row[0]) < 2000])
def test_the_debrief_keeps_and_shows_it_as_typed(typed):
    log = (did(1, Verb.CALCULATE, order="dopamine", what="rate", entered=typed),)
    told = report(SCENARIO, (*log, Finished(at_ms=9, by="learner")))
    one = next(one for one in told.findings if one.id == "entry.dopamine.rate")
    assert (one.typed, one.actual) == (typed, typed)
    assert (typed.strip()[:60] or "nothing") in one.title


def test_an_unsafe_form_of_the_right_number_is_right_and_told():
    log = (did(1, Verb.CALCULATE, order="dopamine", what="rate", entered="3.40 mL/h"),)
    told = report(SCENARIO, (*log, Finished(at_ms=9, by="learner")))
    one = next(one for one in told.findings if one.id == "entry.dopamine.rate")
    assert one.verdict is Verdict.RIGHT
    assert one.reason.startswith("The value is right. 3.40 mL/h has an idle zero")
