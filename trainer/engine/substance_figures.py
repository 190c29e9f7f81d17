"""What the engine needs of each substance: strengths, its chain, and how signs answer.

Computed once from the formulary, the scenario's own responses and the patient's weight, when
an attempt begins. A substance is a drug of the formulary, or the volume of any fluid.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from trainer.engine.physics.answer import Answer, answer_from
from trainer.engine.physics.chain import Chain, chain_from
from trainer.engine.physics.compartment import amount_per_mote
from trainer.scenario import behaviours
from trainer.scenario.model import Circulation, Drug, Response, Scenario
from trainer.terms import Driver

VOLUME = "volume"
"""The substance that stands for the volume of any fluid in the circulation."""

Place = tuple[int, int]
"""Where a response stands: the number of its substance, and its own number there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ResponseFigures:
    """How one sign answers: what it follows, whether behind by a lag, and its curve."""

    sign: str
    driver: Driver
    has_lag: bool
    answer: Answer


@dataclass(frozen=True, slots=True, kw_only=True)
class SubstanceFigures:
    """One substance that is followed.

    `per_mote` is, for each fluid that holds it, how much of it one mote holds, in `unit`:
    the amount unit of the first such fluid of the formulary, or mL for the volume.
    `volume_l` is the drug's volume of distribution in this patient; 0 if it has none.
    """

    drug: str
    unit: str
    half_life_ms: int
    volume_l: Fraction
    per_mote: tuple[tuple[str, float], ...]
    chain: Chain
    has_site: bool
    responses: tuple[ResponseFigures, ...]
    urine_share: Fraction = Fraction(0)  # of the volume that leaves


def substances_of(scenario: Scenario) -> tuple[SubstanceFigures, ...]:
    """Every substance of a scenario whose level is followed or that a sign answers to."""
    own = scenario.responses
    found = [
        _drug(scenario, drug, (*drug.responses, *_own(own, drug.id)))
        for drug in scenario.formulary.drugs
        if drug.half_life_ms or drug.responses or _own(own, drug.id)
    ]
    circulation = scenario.formulary.circulation
    to_volume = _own(own, VOLUME)
    if circulation is None and to_volume:
        ready = behaviours.circulation()
        circulation = Circulation(
            half_life_ms=ready.half_life_ms, urine_share=ready.urine_share, source=ready.source
        )
    if circulation is not None and circulation.half_life_ms:
        found.append(_volume(scenario, circulation, (*circulation.responses, *to_volume)))
    return tuple(found)


def answering(substances: tuple[SubstanceFigures, ...]) -> dict[str, tuple[Place, ...]]:
    """For each sign that answers to something, where its responses stand."""
    found: dict[str, tuple[Place, ...]] = {}
    for place, figures in enumerate(substances):
        for number, response in enumerate(figures.responses):
            found[response.sign] = (*found.get(response.sign, ()), (place, number))
    return found


def _own(responses: Iterable[tuple[str, Response]], to: str) -> tuple[Response, ...]:
    """The author's own responses to one substance."""
    return tuple(response for substance, response in responses if substance == to)


def _drug(scenario: Scenario, drug: Drug, responses: tuple[Response, ...]) -> SubstanceFigures:
    volume_l = drug.volume_l_per_kg * scenario.patient.weight.to("kg")
    per_level = 1 / volume_l if volume_l else Fraction(0)
    unit, per_mote = strengths(scenario, drug.id)
    return SubstanceFigures(
        drug=drug.id,
        unit=unit,
        half_life_ms=drug.half_life_ms,
        volume_l=volume_l,
        per_mote=per_mote,
        chain=chain_from(drug.half_life_ms, drug.effect_site_half_ms, _followed(responses)),
        has_site=drug.effect_site_half_ms > 0,
        responses=tuple(_response(one, per_level) for one in responses),
    )


def strengths(scenario: Scenario, drug: str) -> tuple[str, tuple[tuple[str, float], ...]]:
    """A drug's amount unit, and how much of it one mote of each fluid holds."""
    holding = tuple(
        (fluid.id, fluid.concentration)
        for fluid in scenario.formulary.fluids
        if fluid.drug == drug and fluid.concentration is not None
    )
    unit = holding[0][1].unit.text.partition("/")[0] if holding else ""
    return unit, tuple(
        (fluid, amount_per_mote(strength.to(f"{unit}/mL"))) for fluid, strength in holding
    )


def _volume(
    scenario: Scenario, circulation: Circulation, responses: tuple[Response, ...]
) -> SubstanceFigures:
    per_kg = 1 / scenario.patient.weight.to("kg")
    one_ml = amount_per_mote(Fraction(1))
    return SubstanceFigures(
        drug=VOLUME,
        unit="mL",
        half_life_ms=circulation.half_life_ms,
        volume_l=Fraction(0),
        per_mote=tuple((fluid.id, one_ml) for fluid in scenario.formulary.fluids),
        chain=chain_from(circulation.half_life_ms, 0, _followed(responses)),
        has_site=False,
        responses=tuple(_response(one, per_kg) for one in responses),
        urine_share=circulation.urine_share,
    )


def _followed(responses: Iterable[Response]) -> list[tuple[Driver, int]]:
    return [(one.driver, one.lag_ms) for one in responses]


def _response(response: Response, per_level: Fraction) -> ResponseFigures:
    """A response whose curve takes the amount in the body, or the rate, as it is."""
    per = Fraction(1) if response.driver is Driver.RATE else per_level
    return ResponseFigures(
        sign=response.sign,
        driver=response.driver,
        has_lag=response.lag_ms > 0,
        answer=answer_from(
            response.curve, per, response.most, response.half_at, response.steepness
        ),
    )
