"""The ready behaviours in words, for the format reference.

Numbers as the module `behaviours` holds them, in the unit of each behaviour; nothing is
judged here. For `reference` alone.
"""

from __future__ import annotations

from fractions import Fraction

from trainer.clinical.rounding import format_number, round_half_up
from trainer.clinical.timebase import format_duration
from trainer.scenario import behaviours
from trainer.scenario.behaviours import Behaviour
from trainer.scenario.known_signs import UNITS
from trainer.scenario.model import Circulation, Response
from trainer.scenario.response_values import VOLUME, driver_unit
from trainer.terms import Curve

FINEST = Fraction(1, 10_000)


def behaviours_table() -> str:
    """Every ready behaviour with its parameters and sources, as nested lists.

    One that moves the signs just as the one above does says so, and no more.
    """
    drugs = []
    before: Behaviour | None = None
    for ready in (behaviours.named(name) for name in behaviours.NAMES):
        drugs.append(_drug_words(ready, before))
        before = ready
    return "\n".join([*drugs, _circulation_words(behaviours.circulation())])


def _drug_words(ready: Behaviour, before: Behaviour | None) -> str:
    parts = [f"half-life {_span(ready.half_life_ms)}", f"{_number(ready.volume_l_per_kg)} L/kg"]
    if ready.effect_site_half_ms:
        parts.append(f"effect site behind by a half-time of {_span(ready.effect_site_half_ms)}")
    head = f"* `{ready.name}`: {', '.join(parts)}. {_sentence(ready.source)}".rstrip()
    if before is not None and ready.responses == before.responses:
        return f"{head} The signs answer as above."
    return "\n".join([head, *_responses(ready.responses, ready.unit)])


def _circulation_words(ready: Circulation) -> str:
    share = f"{_number(ready.urine_share * 100)} % of what leaves is passed as urine"
    parts = f"half-life of the volume {_span(ready.half_life_ms)}, {share}"
    head = (
        f"* `{behaviours.CIRCULATION}` (of any fluid): {parts}. {_sentence(ready.source)}".rstrip()
    )
    return "\n".join([head, *_responses(ready.responses, VOLUME)])


def _responses(responses: tuple[Response, ...], amount: str) -> list[str]:
    return [f"  * {_response(one, amount)} {_sentence(one.source)}".rstrip() for one in responses]


def _response(response: Response, amount: str) -> str:
    """One response in words: `blood pressure: up to 32 mmHg, half of it at 5 mcg/L ...`."""
    unit, driver = UNITS.get(response.sign, ""), driver_unit(response.driver, amount).text
    most = f"{_number(response.most)} {unit}".strip()
    if response.curve is Curve.SATURATING:
        steep = f", exponent {response.steepness}" if response.steepness != 1 else ""
        how = f"up to {most}, half of it at {_number(response.half_at)} {driver}{steep}"
    elif response.curve is Curve.EXPONENTIAL:
        how = f"times e to the power of {_number(response.most)} per {driver}"
    else:
        how = f"{most} per {driver}"
    lag = f", behind by a time constant of {_span(response.lag_ms)}" if response.lag_ms else ""
    follows = "the volume" if amount == VOLUME else f"the {response.driver}"
    return f"`{response.sign}` follows {follows}: {how}{lag}."


def _number(value: Fraction) -> str:
    return format_number(round_half_up(value, FINEST), plain=True)


def _span(length_ms: int) -> str:
    return format_duration(length_ms)


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:].rstrip('.')}." if text else ""
