"""Flow by height: driving pressure, sets, drops, and catheters by gauge."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from tests.build import MINUTE, Bedside
from tests.reference.at_the_line import a_line, in_vein_ml, now, the_ward
from tests.reference.in_the_body import first_moment_h, in_ms
from tests.reference.published import Answer, Row, given, hold, rows
from trainer.clinical.problem import Problem
from trainer.clinical.quantity import parse_quantity
from trainer.clinical.solve import solve
from trainer.engine.carry import carry
from trainer.engine.view import drops_per_min, flow_ul_h
from trainer.scenario.model import Hydraulics
from trainer.terms import Drive

METRE = Fraction(100)
HARDLY = Fraction(1, 10**6)
MINUTES = 60


def a_gravity_line(
    hydraulics: Hydraulics, *, venous: Fraction = Fraction(0), gauge: int | None = None
) -> Bedside:
    """A container a metre up, its clamp fully open, flowing."""
    return a_line(
        hydraulics=replace(hydraulics, container_height_cm=METRE),
        line={"drive": Drive.GRAVITY},
        resting_pressure_mmhg=venous,
        gauge=gauge,
        at_end=the_ward().pump.at_end,
    )


def flow_ml_h(bedside: Bedside) -> Fraction:
    return Fraction(flow_ul_h(now(bedside), 1), 1000)


def driving_pressure(row: Row) -> Fraction:
    """Flow x resistance, the set's being a tenth of a mmHg per mL/h and all there is."""
    resistance = Fraction(1, 10)
    bedside = a_gravity_line(
        Hydraulics(set_resistance=resistance), venous=given(row, "venous_mmHg")
    )
    return flow_ml_h(bedside) * resistance


def the_wards_set_alone(_row: Row) -> Fraction:
    return flow_ml_h(a_gravity_line(replace(the_ward().hydraulics, catheter_flow=())))


def volume_of_drops(row: Row) -> Fraction:
    """mL that reach the vein while so many drops of a 20-drop set fall."""
    bedside = a_gravity_line(Hydraulics(set_resistance=Fraction(1)))
    per_min = drops_per_min(now(bedside), 1)
    took = row["given"]["drops"] / Fraction(per_min)
    later = carry(bedside.state, bedside.now_ms + round(took * MINUTE))
    return in_vein_ml(later) - in_vein_ml(now(bedside))


def drops_of_the_row(row: Row) -> list[Fraction]:
    """By the clinical function, and by the engine's view of a line at that rate."""
    rate, factor = row["given"]["rate_ml_h"], row["given"]["gtt_per_ml"]
    problem = Problem(
        id="row", find="drip_rate", unit="gtt/min",
        given=(("rate", f"{rate} mL/h"), ("drop_factor", f"{factor} gtt/mL")),
    )  # fmt: skip
    reckoned = parse_quantity(f"{solve(problem).exact_text} gtt/min").value
    bedside = a_line(line={"drop_factor": Fraction(factor)})
    bedside.run(rate=str(rate))
    return [reckoned, Fraction(drops_per_min(now(bedside), 1))]


def catheter_alone(gauge: int) -> Bedside:
    """Only the ward's catheter holds back: at 1 m, against no venous pressure."""
    hydraulics = replace(the_ward().hydraulics, set_resistance=HARDLY)
    return a_gravity_line(hydraulics, gauge=gauge)


def catheter_flow(row: Row) -> Fraction:
    return flow_ml_h(catheter_alone(row["given"]["gauge"])) / MINUTES


def minutes_of_a_litre(row: Row) -> Fraction:
    bedside = catheter_alone(row["given"]["gauge"])

    def is_in(later_h: Fraction) -> bool:
        return in_vein_ml(carry(bedside.state, bedside.now_ms + in_ms(later_h))) >= 1000

    return MINUTES * first_moment_h(is_in, Fraction(1))


ANSWERS: dict[str, Answer] = {
    "HYD-05": driving_pressure,
    "GRV-01": the_wards_set_alone,
    "GRV-02": volume_of_drops,
    "GRV-04": drops_of_the_row,
    "CAN-14G": catheter_flow,
    "CAN-20G": catheter_flow,
    "CAN-22G": catheter_flow,
    "CAN-26G": catheter_flow,
    "CAN-T22": minutes_of_a_litre,
    "CAN-T14": minutes_of_a_litre,
}


@rows(ANSWERS)
def test_fluid_runs_by_its_height_as_published(row: Row) -> None:
    hold(row, ANSWERS[row["id"]](row))
