"""What is in the body: every followed substance after what reached the vein.

Exact formulas over a stretch in which nothing happens (`engine.physics.chain`); nothing is
computed for a substance that is neither in the body nor on its way into it.
"""

from __future__ import annotations

from trainer.engine.arrivals import Arrival
from trainer.engine.physics import chain
from trainer.engine.physics.chain import EMPTY, FIRST_LAG
from trainer.engine.state import DrugInBody, State
from trainer.engine.substance_figures import SubstanceFigures
from trainer.engine.tubing import Plugs


def untouched(figures: SubstanceFigures) -> DrugInBody:
    """A substance of which nothing is in the body yet."""
    lags = (EMPTY,) * len(figures.responses)
    return DrugInBody(drug=figures.drug, amount=EMPTY, as_of_ms=0, site=EMPTY, lags=lags)


def later(
    state: State, at_ms: int, arrivals: tuple[Arrival, ...], at_once: Plugs
) -> tuple[DrugInBody, ...]:
    """Every followed substance at `at_ms`, after what reached the vein since the state's moment.

    Args:
        state: the bedside before.
        at_ms: the later moment.
        arrivals: what came with a course of its own, pure fluids only.
        at_once: what came besides, at the end, pure fluids only.
    """
    if not state.drugs:
        return state.drugs
    elapsed_ms = at_ms - state.as_of_ms
    return tuple(
        [
            _one_later(one, figures, elapsed_ms, at_ms, arrivals, at_once)
            for one, figures in zip(state.drugs, state.figures.substances, strict=True)
        ]
    )


def _one_later(
    one: DrugInBody,
    figures: SubstanceFigures,
    elapsed_ms: int,
    at_ms: int,
    arrivals: tuple[Arrival, ...],
    at_once: Plugs,
) -> DrugInBody:
    courses = [
        (arrival.even * per_mote, arrival.decaying * per_mote, arrival.tau_ms)
        for arrival in arrivals
        for fluid, per_mote in figures.per_mote
        if fluid == arrival.fluid
    ]
    bolus = EMPTY
    for plug in at_once:
        for fluid, per_mote in figures.per_mote:
            if fluid == plug.fluid:
                bolus += plug.volume * per_mote
    if not courses and not bolus and not is_there(one):
        return one
    values = (one.amount, one.site, *one.lags)
    found = chain.later(figures.chain, values, elapsed_ms, courses, bolus)
    return DrugInBody(
        drug=one.drug,
        amount=found[chain.BODY],
        as_of_ms=at_ms,
        site=found[chain.SITE],
        lags=found[FIRST_LAG:],
    )


def is_there(one: DrugInBody) -> bool:
    """Whether anything of a substance is in the body, or still felt."""
    return bool(one.amount or one.site or any(one.lags))
