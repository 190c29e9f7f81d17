"""Laws of the arithmetic: inverses, scaling, rounding, and an independent float evaluation."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import assume, given
from hypothesis import strategies as st

from trainer.clinical.chain import Chain
from trainer.clinical.dosing import dose_from_rate, rate_from_dose
from trainer.clinical.fluids import (
    maintenance_ml_per_day,
    maintenance_ml_per_h,
    weight_from_maintenance_ml_per_day,
    weight_from_maintenance_ml_per_h,
)
from trainer.clinical.problem import Problem
from trainer.clinical.quantity import (
    Quantity,
    format_clock,
    format_quantity,
    parse_clock,
    parse_number,
    parse_quantity,
)
from trainer.clinical.rounding import (
    TEACHING_ROUNDING,
    exact_text,
    format_number,
    parse_exact,
    round_half_up,
    truncate,
)
from trainer.clinical.solve import Solution, solve
from trainer.clinical.timebase import format_duration, format_sim, parse_sim, parse_sim_duration
from trainer.clinical.units import parse_unit
from trainer.errors import TrainerError


def decimals(least: str, most: str, places: int = 2) -> st.SearchStrategy[Fraction]:
    """Exact decimals as a nurse would write them."""
    scale = 10**places
    return st.integers(int(Fraction(least) * scale), int(Fraction(most) * scale)).map(
        lambda whole: Fraction(whole, scale)
    )


HOURS = decimals("0.25", "48")
RATES = decimals("0.1", "999")
WEIGHTS = decimals("0.5", "150", 1)
DOSES = decimals("0.01", "50")
STRENGTHS = decimals("0.1", "100")
STEPS = st.sampled_from(["0.01", "0.1", "0.5", "1", "1.5", "5"]).map(Fraction)
UNITS = st.sampled_from(
    ["mcg/kg/min", "mg/kg/h", "g/kg/day", "mg/kg/day", "nanograms/kg/min", "mg/kg/min"]
)
ANY = st.fractions(min_value=-(10**6), max_value=10**6, max_denominator=10**6)


def text(value: Fraction, unit: str) -> str:
    return f"{format_number(value, plain=True)} {unit}"


def answer(find: str, unit: str, **given_texts: str) -> Solution:
    return solve(Problem(id="p", find=find, unit=unit, given=tuple(given_texts.items())))


def exact(find: str, unit: str, **given_texts: str) -> Fraction:
    found = answer(find, unit, **given_texts).exact
    assert found is not None
    return found


# Writing and reading


@given(ANY)
def test_an_exact_value_survives_the_wire(value: Fraction) -> None:
    assert parse_exact(exact_text(value)) == value


@given(decimals("0", "99999999", 6))
def test_a_number_written_for_people_is_read_back(value: Fraction) -> None:
    assert parse_number(format_number(value)) == value


@given(DOSES, UNITS)
def test_a_quantity_written_is_read_back(value: Fraction, unit: str) -> None:
    quantity = Quantity(value=value, unit=parse_unit(unit))
    assert parse_quantity(format_quantity(quantity)) == quantity


@given(st.integers(0, 24 * 60 - 1))
def test_a_time_of_day_written_is_read_back(minutes: int) -> None:
    assert parse_clock(format_clock(minutes)) == minutes


@given(st.integers(0, 10**6).map(lambda seconds: seconds * 1000))
def test_simulated_time_written_is_read_back(ms: int) -> None:
    assert parse_sim(format_sim(ms)) == ms
    assert parse_sim_duration(format_duration(ms)) == ms


@given(DOSES, UNITS, UNITS)
def test_a_unit_and_back_is_where_one_began(value: Fraction, one: str, other: str) -> None:
    there = Quantity(value=value, unit=parse_unit(one)).to(other)
    assert Quantity(value=there, unit=parse_unit(other)).to(one) == value


@given(st.text(max_size=40))
def test_any_text_is_read_or_refused_in_words(anything: str) -> None:
    said = "dose: "
    try:
        parse_quantity(anything, what="dose")
    except TrainerError as error:
        said = str(error)
    assert said.startswith("dose: ")


# Rounding


@given(ANY, STEPS)
def test_half_up_lands_on_a_step_no_more_than_half_a_step_away(
    value: Fraction, step: Fraction
) -> None:
    rounded = round_half_up(value, step)
    assert (rounded / step).denominator == 1
    assert abs(rounded - value) <= step / 2
    assert round_half_up(rounded, step) == rounded


@given(st.integers(0, 10**6), STEPS)
def test_an_exact_half_goes_up(count: int, step: Fraction) -> None:
    assert round_half_up((count + Fraction(1, 2)) * step, step) == (count + 1) * step


@given(ANY, ANY, STEPS)
def test_rounding_keeps_the_order(one: Fraction, other: Fraction, step: Fraction) -> None:
    low, high = sorted((one, other))
    assert round_half_up(low, step) <= round_half_up(high, step)


@given(ANY, STEPS)
def test_cutting_never_goes_past_the_value(value: Fraction, step: Fraction) -> None:
    assert abs(truncate(value, step)) <= abs(value) < abs(truncate(value, step)) + step


@given(st.sampled_from(["rate", "dose", "volume", "weight"]), decimals("0.01", "100000", 4))
def test_the_policys_rounding_never_makes_something_of_nothing_or_nothing_of_something(
    kind: str, value: Fraction
) -> None:
    assert TEACHING_ROUNDING.apply(kind, "mL", value) > 0
    assert TEACHING_ROUNDING.apply(kind, "mL", Fraction(0)) == 0


# Relations


@given(RATES, HOURS)
def test_any_two_of_rate_volume_and_duration_give_the_third(
    rate: Fraction, hours: Fraction
) -> None:
    volume = rate * hours
    assert exact("volume", "mL", rate=text(rate, "mL/h"), duration=text(hours, "h")) == volume
    assert exact("rate", "mL/h", volume=text(volume, "mL"), duration=text(hours, "h")) == rate
    assert exact("duration", "h", rate=text(rate, "mL/h"), volume=text(volume, "mL")) == hours


@given(DOSES, WEIGHTS, STRENGTHS)
def test_a_rate_from_a_dose_gives_the_dose_back(
    dose: Fraction, weight: Fraction, strength: Fraction
) -> None:
    assert dose_from_rate(rate_from_dose(dose, weight, strength), weight, strength) == dose


@given(WEIGHTS)
def test_maintenance_gives_the_weight_back_by_both_rules(weight: Fraction) -> None:
    assert weight_from_maintenance_ml_per_h(maintenance_ml_per_h(weight)) == weight
    assert weight_from_maintenance_ml_per_day(maintenance_ml_per_day(weight)) == weight


@given(WEIGHTS, WEIGHTS)
def test_a_heavier_child_needs_more_but_not_more_per_kg(one: Fraction, other: Fraction) -> None:
    light, heavy = sorted((one, other))
    assert maintenance_ml_per_h(light) <= maintenance_ml_per_h(heavy)
    assert maintenance_ml_per_h(light) / light >= maintenance_ml_per_h(heavy) / heavy


@given(DOSES, decimals("0.5", "75", 1), STRENGTHS)
def test_double_the_weight_doubles_the_rate_and_double_the_strength_halves_it(
    dose: Fraction, weight: Fraction, strength: Fraction
) -> None:
    def rate(kg: Fraction, mg_per_ml: Fraction) -> Fraction:
        return exact(
            "rate",
            "mL/min",
            dose=text(dose, "mcg/kg/min"),
            weight=text(kg, "kg"),
            concentration=text(mg_per_ml, "mg/mL"),
        )

    once = rate(weight, strength)
    assert rate(2 * weight, strength) == 2 * once
    assert rate(weight, 2 * strength) == once / 2


PER_MIN_IN_MG = {
    "mcg/kg/min": 1e-3,
    "mg/kg/h": 1 / 60,
    "g/kg/day": 1000 / 1440,
    "mg/kg/day": 1 / 1440,
    "nanograms/kg/min": 1e-6,
    "mg/kg/min": 1.0,
}


@given(
    decimals("0.1", "5"),
    UNITS,
    decimals("1", "60", 1),
    st.booleans(),
    decimals("1", "500"),
    st.sampled_from([50, 100, 250, 500]),
)
def test_the_solver_agrees_with_a_plain_float_evaluation(
    dose: Fraction, unit: str, weight: Fraction, pounds: bool, mg: Fraction, ml: int
) -> None:
    """Written apart from the solver: mg per minute over mg per mL, as floats."""
    kg = float(weight) / 2.2 if pounds else float(weight)
    expected = float(dose) * PER_MIN_IN_MG[unit] * kg / (float(mg) / ml) * 60
    assume(expected < 90_000)
    solution = answer(
        "rate",
        "mL/h",
        dose=text(dose, unit),
        weight=text(weight, "lb" if pounds else "kg"),
        concentration=f"{text(mg, 'mg')} in {ml} mL",
    )
    assert solution.exact is not None
    assert abs(float(solution.exact) - expected) <= 1e-9 * expected
    chain = solution.chain
    assert isinstance(chain, Chain)
    assert chain.exact == solution.exact
