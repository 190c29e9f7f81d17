"""Ready behaviours of drugs, by name, each with its sourced or declared parameters.

They are for teaching, not for predicting a patient: one compartment, signs that answer by
a first-order lag and a curve. Every parameter names its source, or says `teaching choice`
where it was set so that the effect comes in the size and time that a ward would see.

`unit` is the amount unit in which the responses count their driver (`mcg`: levels in
mcg/L, rates in mcg/min); the builder converts them to the unit in which the formulary's
fluid holds the drug.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.scenario.model import Circulation, Response
from trainer.terms import Curve, Driver

CIRCULATION = "crystalloid"

SECOND_MS = 1_000
MINUTE_MS = 60 * SECOND_MS
HOUR_MS = 60 * MINUTE_MS


@dataclass(frozen=True, slots=True, kw_only=True)
class Behaviour:
    """What a drug does in the body."""

    name: str
    unit: str
    half_life_ms: int
    volume_l_per_kg: Fraction
    effect_site_half_ms: int = 0
    responses: tuple[Response, ...] = ()
    source: str = ""


TEACHING = "teaching choice"

_SEPTIC_SHOCK = (
    "Norepinephrine kinetics and dynamics in septic shock and trauma, Br J Anaesth 2005: 8.8 L in "
    "a grown-up, half-life 2 to 6.8 min (taught: 2.4 min)"
)
_HYPOTENSIVE_CHILDREN = (
    "Population pharmacokinetics and haemodynamic effects of norepinephrine in hypotensive "
    "critically ill children, Br J Clin Pharmacol 2014: up to 32 mmHg; half of it at 4 mcg/L from "
    "memory; lag teaching choice"
)

VASOPRESSOR = Behaviour(
    name="vasopressor",
    unit="mcg",
    half_life_ms=144 * SECOND_MS,
    volume_l_per_kg=Fraction("0.125"),
    responses=(
        Response(
            sign="blood pressure",
            most=Fraction(32),
            curve=Curve.SATURATING,
            half_at=Fraction(4),
            lag_ms=MINUTE_MS,
            source=_HYPOTENSIVE_CHILDREN,
        ),
        Response(
            sign="heart rate",
            most=Fraction(-12),
            curve=Curve.SATURATING,
            half_at=Fraction(4),
            lag_ms=2 * MINUTE_MS,
            source=f"{TEACHING}: 0.4 /min less for each mmHg of mean pressure",
        ),
    ),
    source=_SEPTIC_SHOCK,
)

INSULIN = Behaviour(
    name="insulin",
    unit="units",
    half_life_ms=5 * MINUTE_MS,
    volume_l_per_kg=Fraction("0.15"),
    responses=(
        Response(
            sign="glucose",
            most=Fraction(-430),
            lag_ms=10 * HOUR_MS,
            source="RCEM Learning, intravenous insulin regime: about 3 mmol/L less in an hour at "
            f"0.1 units/kg/h; straight line and lag {TEACHING}",
        ),
        Response(
            sign="potassium",
            most=Fraction(-33),
            lag_ms=10 * HOUR_MS,
            source=f"{TEACHING}: about 0.25 mmol/L less in an hour at 0.1 units/kg/h",
        ),
    ),
    source="half-life 3 to 10 min (RCEM Learning, intravenous insulin regime; taught: 5 min); "
    f"volume {TEACHING}",
)

POTASSIUM = Behaviour(
    name="potassium",
    unit="mmol",
    half_life_ms=4 * HOUR_MS,
    volume_l_per_kg=Fraction("1.05"),
    responses=(
        Response(
            sign="potassium",
            most=Fraction(1),
            lag_ms=2 * MINUTE_MS,
            source="20 mmol in 1 h raise a grown-up's potassium by about 0.25 mmol/L (study of "
            "potassium replacement, summarised); from this the volume",
        ),
        Response(
            sign="potassium",
            most=Fraction(4),
            driver=Driver.RATE,
            curve=Curve.SATURATING,
            half_at=Fraction(3),
            steepness=2,
            lag_ms=3 * MINUTE_MS,
            source=f"{TEACHING}: a push stands in the blood before it spreads, so it is deadly",
        ),
    ),
    source=f"{TEACHING}: what spreads into cells and leaves by the kidneys over several hours",
)

OPIOID = Behaviour(
    name="opioid",
    unit="mcg",
    half_life_ms=2 * HOUR_MS,
    volume_l_per_kg=Fraction("2.8"),
    effect_site_half_ms=6 * MINUTE_MS,
    responses=(
        Response(
            sign="breathing",
            most=Fraction("-0.014"),
            driver=Driver.EFFECT_SITE,
            curve=Curve.EXPONENTIAL,
            lag_ms=30 * SECOND_MS,
            source=f"{TEACHING}: half of the breaths are left at 50 mcg/L",
        ),
        Response(
            sign="saturation",
            most=Fraction(-40),
            driver=Driver.EFFECT_SITE,
            curve=Curve.SATURATING,
            half_at=Fraction(150),
            steepness=4,
            lag_ms=4 * MINUTE_MS,
            source=f"{TEACHING}: falls once less than half of the breaths are left, on air",
        ),
        Response(
            sign="consciousness",
            most=Fraction(3),
            driver=Driver.EFFECT_SITE,
            curve=Curve.SATURATING,
            half_at=Fraction(120),
            steepness=3,
            lag_ms=MINUTE_MS,
            source=TEACHING,
        ),
    ),
    source="morphine in children: 2.8 L/kg, half-life 2 h (population study, summarised); effect "
    f"site {TEACHING}: the effect of a bolus is greatest after 15 to 30 min",
)

ANTICOAGULANT = Behaviour(
    name="anticoagulant",
    unit="units",
    half_life_ms=HOUR_MS,
    volume_l_per_kg=Fraction("0.07"),
    responses=(
        Response(
            sign="clotting time",
            most=Fraction("0.0016"),
            curve=Curve.EXPONENTIAL,
            source=f"{TEACHING}: 30 s become 65 to 70 s at 500 units/L",
        ),
    ),
    source="heparin: half-life 60 min after 100 units/kg (summary of guideline and label); volume "
    f"that of the plasma, {TEACHING}",
)

_TOO_FAST = (
    "no faster than 10 mg/min (summary of the vancomycin label), the reaction after 4 to 10 min; "
    f"its size {TEACHING}"
)
_REACTION = (
    Response(
        sign="heart rate",
        most=Fraction(40),
        driver=Driver.RATE,
        curve=Curve.SATURATING,
        half_at=Fraction(20),
        steepness=4,
        lag_ms=5 * MINUTE_MS,
        source=_TOO_FAST,
    ),
    Response(
        sign="blood pressure",
        most=Fraction(-30),
        driver=Driver.RATE,
        curve=Curve.SATURATING,
        half_at=Fraction(20),
        steepness=4,
        lag_ms=5 * MINUTE_MS,
        source=_TOO_FAST,
    ),
)
_PAVED = (
    "vancomycin, Pediatric Assessment of Vancomycin Empiric Dosing (PAVED), Paediatr Drugs 2015: "
)
ANTIBIOTIC = "antibiotic with infusion reaction"


def _antibiotic(
    age: str, half_life_h: str, volume_l_per_kg: str, source: str, *, usual: bool = False
) -> Behaviour:
    return Behaviour(
        name=ANTIBIOTIC if usual else f"{ANTIBIOTIC}, {age}",
        unit="mg",
        half_life_ms=int(Fraction(half_life_h) * HOUR_MS),
        volume_l_per_kg=Fraction(volume_l_per_kg),
        responses=_REACTION,
        source=f"{source}{age}",
    )


READY: tuple[Behaviour, ...] = (
    VASOPRESSOR,
    INSULIN,
    POTASSIUM,
    OPIOID,
    ANTICOAGULANT,
    _antibiotic("1 to 6 years", "2.4", "0.61", _PAVED, usual=True),
    _antibiotic("1 to 12 months", "2.8", "0.56", _PAVED),
    _antibiotic("6 to 13 years", "2.9", "0.47", _PAVED),
    _antibiotic("13 to 18 years", "3.2", "0.49", _PAVED),
    _antibiotic("grown-up", "9.1", "0.72", "vancomycin, Matzke 1984, kidneys well: "),
)
NAMES = tuple(one.name for one in READY)


def named(name: str) -> Behaviour:
    """The ready behaviour of that name (checked when the formulary was read)."""
    return next(one for one in READY if one.name == name)


_BY_VOLUME = f"{TEACHING} on 0.5 mmHg for each mL/kg, 15 mmHg at most"


def circulation() -> Circulation:
    """What the volume of a crystalloid does."""
    return Circulation(
        half_life_ms=30 * MINUTE_MS,
        urine_share=Fraction(1, 5),
        responses=(
            Response(
                sign="blood pressure",
                most=Fraction(15),
                curve=Curve.SATURATING,
                half_at=Fraction(30),
                lag_ms=MINUTE_MS,
                source=_BY_VOLUME,
            ),
            Response(
                sign="heart rate",
                most=Fraction(-30),
                curve=Curve.SATURATING,
                half_at=Fraction(25),
                steepness=2,
                lag_ms=2 * MINUTE_MS,
                source=TEACHING,
            ),
            Response(
                sign="capillary refill",
                most=Fraction(-2),
                curve=Curve.SATURATING,
                half_at=Fraction(20),
                steepness=2,
                lag_ms=2 * MINUTE_MS,
                source=TEACHING,
            ),
            Response(
                sign="breathing",
                most=Fraction(20),
                curve=Curve.SATURATING,
                half_at=Fraction(70),
                steepness=4,
                lag_ms=10 * MINUTE_MS,
                source=f"{TEACHING}: too much fluid makes breathless",
            ),
            Response(
                sign="saturation",
                most=Fraction(-20),
                curve=Curve.SATURATING,
                half_at=Fraction(70),
                steepness=4,
                lag_ms=10 * MINUTE_MS,
                source=f"{TEACHING}: too much fluid wets the lungs",
            ),
        ),
        source=f"half-life and urine {TEACHING}: most of a crystalloid has left the circulation "
        "within an hour or two",
    )
