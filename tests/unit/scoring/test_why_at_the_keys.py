"""A right result that goes wrong at the keys by no known slip: the sum is not asked about."""

from tests.unit.scoring.test_why import PUMPED, calculated, debrief, keyed


def test_where_the_working_was_right_the_question_is_about_the_keys():
    found = debrief(PUMPED, calculated(5, "rate", "3.4 mL/h"), *keyed(9, "6.8", "5.9"))
    why = found["dopamine.keyed-rate"].why
    assert why.slips == ()
    assert "it was worked out right: where did you look while you keyed it" in why.question
