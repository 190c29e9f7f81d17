"""Checks of what stands at the bedside: the trolley, the lines, what varies by seed.

For `trainer.scenario.check` alone.
"""

from __future__ import annotations

from fractions import Fraction

from trainer.clinical.quantity import format_quantity
from trainer.scenario import schema
from trainer.scenario.case import Case
from trainer.scenario.check_drive import check_lines_drive, check_sizes
from trainer.scenario.check_signs import check_numbers
from trainer.scenario.places import listed
from trainer.scenario.values import HEAVIEST_KG
from trainer.terms import Site

GROWN_YEARS = 18
HIGHEST_GRADE = 4
GRADED = (Site.INFILTRATED, Site.PHLEBITIS)


def check_bedside(case: Case) -> None:
    """Note every fault of supplies, lines and varying values."""
    case.refuse_repeats(("supplies",), "id", "container")
    case.refuse_repeats(("lines",), "number", "line")
    case.refuse_repeats(("patient", "access"), "id", "catheter")
    for supply in case.every(schema.Supply, "supplies"):
        _check_supply(case, supply)
    hung: set[str] = set()
    for line in case.every(schema.Line, "lines"):
        case.known(line, "access", line.access, case.accesses, "catheter")
        _check_tubing(case, line.tubing)
        check_lines_drive(case, line)
        if line.hung is not None:
            _check_hung(case, line.hung, hung)
    check_sizes(case)
    _check_signs(case)
    check_numbers(case)
    _check_vary(case)
    _check_weight(case)


def _check_supply(case: Case, supply: schema.Supply) -> None:
    case.known(supply, "fluid", supply.fluid, case.fluid_names, "fluid")
    if not supply.fit and not supply.looks:
        case.refuse(
            supply,
            "fit",
            f"`{supply.id}` is not fit, but a look shows nothing",
            "add `looks:` with what is wrong with it",
        )
    if supply.size is not None and supply.kind != "syringe":
        case.refuse_key(supply, "size", f"a {supply.kind} has no `size`", "leave it out")
    elif supply.size is not None and supply.size < supply.volume:
        what = "more is in the syringe than it holds"
        case.refuse(supply, "size", what, "write a larger size, or a smaller volume")
    if supply.overfill is not None and supply.kind == "syringe":
        what = "a syringe holds what was drawn up, and no more"
        case.refuse_key(supply, "overfill", what, "leave `overfill` out")


def _check_signs(case: Case) -> None:
    """A result takes time only if it is measured; a grade goes with a site that has one."""
    patient = case.patient
    for sign in patient.signs.values() if patient else ():
        if sign.takes is not None and not sign.measured:
            what = "a sign that is seen at once takes no time"
            case.refuse_key(sign, "takes", what, "add `measured: true`, or leave `takes` out")
    for access in patient.access if patient else ():
        check_grade(case, access, access.site)


def check_grade(case: Case, section: schema.Access | schema.Effect, site: Site | None) -> None:
    """Only an infiltration and a phlebitis have a grade, from 1 to 4."""
    if section.grade is None:
        return
    if not 1 <= section.grade <= HIGHEST_GRADE:
        what = f"there is no grade {section.grade}"
        case.refuse(section, "grade", what, f"write 1 to {HIGHEST_GRADE}")
    if site not in GRADED:
        what = f"a site that is {site} has no grade"
        mend = f"leave `grade` out, or write `site:` {listed(GRADED)}"
        case.refuse_key(section, "grade", what, mend)


def _check_tubing(case: Case, tubing: schema.Tubing) -> None:
    """The three volumes of a port come together, and the port lies above the pump."""
    if tubing.port is None:
        for key in ("secondary", "secondary_chamber"):
            if getattr(tubing, key) is not None:
                case.refuse_key(
                    tubing, key, f"`{key}` needs a port", "add `port:` with the volume to the pump"
                )
        return
    for key in ("secondary", "secondary_chamber"):
        if getattr(tubing, key) is None:
            case.refuse_key(
                tubing, "port", f"a line with a port needs `{key}`", f"add `{key}:` with a volume"
            )
    if tubing.above is not None and tubing.port >= tubing.above:
        case.refuse(
            tubing,
            "port",
            "the port lies between chamber and pump, so `port` is a part of `above`",
            "write a smaller volume",
        )


def _check_hung(case: Case, hung: schema.Hung, seen: set[str]) -> None:
    if hung.supply in seen:
        case.refuse(hung, "supply", f"`{hung.supply}` hangs at two lines", "give each line its own")
    seen.add(hung.supply)
    case.known(hung, "supply", hung.supply, case.written("supplies"), "container")
    supply = case.supply(hung.supply)
    if supply is not None and hung.left is not None and hung.left > supply.volume:
        case.refuse(hung, "left", "more is left in it than it holds", "write a smaller volume")
    if (hung.rate is None) != (hung.volume is None):
        missing, there = ("volume", "rate") if hung.volume is None else ("rate", "volume")
        case.refuse_key(
            hung, there, f"`{there}` needs `{missing}`", f"add `{missing}:`, or leave both out"
        )


def _check_vary(case: Case) -> None:
    ranges = case.parts.get("vary")
    for one in ranges.values() if isinstance(ranges, dict) else ():
        assert isinstance(one, schema.Range)
        least, most, step = (weight.to("kg") for weight in (one.least, one.most, one.step))
        if least >= most:
            case.refuse(one, "to", "the range ends before it begins", "write a larger end")
        elif ((most - least) / step).denominator != 1:
            case.refuse(one, "step", "the step does not divide the range", "write one that does")
        if most > HEAVIEST_KG:
            case.refuse(one, "to", "this is no patient's weight", "check the number")


def _check_weight(case: Case) -> None:
    """The weight can be that of a person of this age, and is one that `vary` can draw."""
    patient = case.patient
    if patient is None:
        return
    weight_kg = patient.weight.to("kg")
    written = format_quantity(patient.weight)
    least_kg, most_kg = weights_at(patient.age.years)
    ranges = case.parts.get("vary")
    drawn = ranges.get("patient.weight") if isinstance(ranges, dict) else None
    if not least_kg <= weight_kg <= most_kg:
        what = f"{written} is no weight at the age of {patient.age.text}"
        case.refuse(patient, "weight", what, "check both numbers and their units")
    elif isinstance(drawn, schema.Range) and _is_outside(weight_kg, drawn):
        what = f"{written} is outside of what `vary` draws"
        case.refuse(patient, "weight", what, "write one inside that range, or widen it")


def _is_outside(weight_kg: Fraction, drawn: schema.Range) -> bool:
    """Whether a range does not hold a weight. A range that ends before it begins is told apart."""
    least_kg, most_kg = drawn.least.to("kg"), drawn.most.to("kg")
    return least_kg < most_kg and not least_kg <= weight_kg <= most_kg


def weights_at(age_years: Fraction) -> tuple[Fraction, Fraction]:
    """Between which weights in kg a patient of an age can be at all.

    Chosen by us, far wider than growth charts: only a slip of the finger is caught.
    """
    if age_years >= GROWN_YEARS:
        return Fraction(20), Fraction(HEAVIEST_KG)
    least_kg = 3 + age_years if age_years >= 1 else Fraction(0)
    return least_kg, 15 + 10 * age_years
