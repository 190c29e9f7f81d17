"""Checks of what signs answer to: ready behaviours, and responses written out.

For the checks of `trainer.scenario` alone.
"""

from __future__ import annotations

from collections.abc import Iterable

from trainer.clinical.quantity import measures
from trainer.clinical.units import Unit
from trainer.scenario import behaviours, schema_ward
from trainer.scenario.places import Faults, Path, meant
from trainer.scenario.response_values import VOLUME, driver_unit
from trainer.scenario.responses import amount_unit
from trainer.scenario.section import Section
from trainer.terms import Curve, Driver

MOST_STEEPNESS = 9
"""A steeper curve is a switch. Chosen by us."""


def check_drug(faults: Faults, drug: schema_ward.Drug, fluids: Iterable[schema_ward.Fluid]) -> None:
    """Note what is wrong with a drug's level, its behaviour and its responses."""
    if drug.behaviour is not None:
        _check_name(faults, drug, drug.behaviour, behaviours.NAMES)
    elif (drug.half_life is None) != (drug.distribution is None):
        key = "half_life" if drug.distribution is None else "distribution"
        what = "a level needs both `half_life` and `distribution`"
        faults.add((*drug.place, key), what, "add the other one, or leave both out", key=True)
    elif drug.effect_site is not None and drug.half_life is None:
        what = "an effect is behind a level, and this drug has none"
        mend = "add `half_life:` and `distribution:`"
        faults.add((*drug.place, "effect_site"), what, mend, key=True)
    amount = amount_unit(drug.id, fluids)
    if drug.responses and not amount:
        what = f"no fluid holds `{drug.id}`, so nothing says in which unit it is counted"
        faults.add((*drug.place, "responses"), what, "add a fluid with this drug", key=True)
    for response in drug.responses:
        check_driver(faults, response, drug)
        check_response(faults, response, amount)


def check_circulation(faults: Faults, circulation: schema_ward.Circulation) -> None:
    """Note what is wrong with what the volume of any fluid does."""
    if circulation.behaviour is not None:
        _check_name(faults, circulation, circulation.behaviour, (behaviours.CIRCULATION,))
    for key in ("half_life", "urine_share", "source") if circulation.behaviour is None else ():
        if getattr(circulation, key) is None:
            what = f"`{key}` is missing here"
            faults.add(circulation.place, what, f"add `{key}:`, or `behaviour:` with a ready one")
    for response in circulation.responses:
        check_response(faults, response, VOLUME)


def _check_name(faults: Faults, section: Section, name: str, known: tuple[str, ...]) -> None:
    if name not in known:
        what = f"there is no ready behaviour `{name[:40]}`"
        faults.add((*section.place, "behaviour"), what, meant(name, known, of="behaviour"))


def check_driver(faults: Faults, response: schema_ward.Response, drug: schema_ward.Drug) -> None:
    """Note a response without what it follows: a level or an effect site of the drug."""
    place = (*response.place, "driver")
    if drug.behaviour is not None or response.driver is Driver.RATE:
        return
    if drug.half_life is None:
        mend = "add `half_life:` and `distribution:`, or write `driver: rate`"
        faults.add(place, f"no level is computed for `{drug.id}`", mend)
    elif response.driver is Driver.EFFECT_SITE and drug.effect_site is None:
        what = f"`{drug.id}` has no effect site"
        faults.add(place, what, "add `effect_site:` to the drug, or write `driver: level`")


def check_response(faults: Faults, response: schema_ward.Response, amount: str) -> None:
    """Note what is wrong with one response.

    Args:
        faults: where faults are noted.
        response: the response.
        amount: the substance's unit; `volume` for the volume of any fluid, "" if unknown.
    """
    if amount == VOLUME and response.driver is not Driver.LEVEL:
        what = f"the volume of a fluid has no {response.driver}"
        faults.add((*response.place, "driver"), what, "leave `driver` out")
        return
    if response.curve is Curve.SATURATING:
        _check_saturating(faults, response)
    else:
        _check_straight(faults, response)
    _check_driving(faults, response, amount)


def _check_saturating(faults: Faults, response: schema_ward.Response) -> None:
    if response.half_at is None:
        what = "`saturating` needs `half_at`"
        faults.add((*response.place, "curve"), what, "add what gives half of `most`")
    elif response.half_at.value <= 0:
        what = "half of a change is never reached at nothing"
        faults.add((*response.place, "half_at"), what, "write a larger value")
    if response.most.per is not None:
        what = "`most` of a saturating curve is the largest change"
        faults.add((*response.place, "most"), what, "leave out `per` and what follows it")
    if response.steepness is not None and not 1 <= response.steepness <= MOST_STEEPNESS:
        what = f"{response.steepness} is no steepness"
        faults.add((*response.place, "steepness"), what, f"write 1 to {MOST_STEEPNESS}")


def _check_straight(faults: Faults, response: schema_ward.Response) -> None:
    for key in ("half_at", "steepness"):
        if getattr(response, key) is not None:
            what = f"`{key}` goes with a saturating curve"
            mend = "leave it out, or write `curve: saturating`"
            faults.add((*response.place, key), what, mend, key=True)
    if response.most.per is None:
        what = f"the change of a {response.curve} curve is per unit of what drives it"
        mend = "add it, such as `0.5 mmHg per mL/kg` or `1.6 per units/mL`"
        faults.add((*response.place, "most"), what, mend)
    if response.curve is Curve.EXPONENTIAL and response.most.unit:
        what = "an exponential curve multiplies the sign, so `most` has no unit of the sign"
        faults.add((*response.place, "most"), what, "write it so: `1.6 per units/mL`")


def _check_driving(faults: Faults, response: schema_ward.Response, amount: str) -> None:
    """What drives the response is written in a unit that it can have."""
    if not amount:
        return
    wanted = driver_unit(response.driver, amount)
    half_at = response.half_at.unit if response.half_at else None
    for key, unit in (("half_at", half_at), ("most", response.most.per)):
        if unit is not None and unit.dimensions != wanted.dimensions:
            _refuse_unit(faults, (*response.place, key), unit, wanted)


def _refuse_unit(faults: Faults, place: Path, unit: Unit, wanted: Unit) -> None:
    what = f"`{unit.text}` is {measures(unit)}, and what drives this is {measures(wanted)}"
    faults.add(place, what, f"write it in {wanted.text}")
