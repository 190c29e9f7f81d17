"""Where constants and formulas come from, cited by name in docstrings.

`read` is True where the text of the source was read, False where it is cited from memory.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """One document, or `common practice` where none is known."""

    title: str
    where: str = ""
    read: bool = False


POUND = Source(
    title="Medication calculation sheets of nursing colleges: 2.2 lb per kg",
    where="Centennial College uses 0.45359237 kg per lb instead",
    read=True,
)
HOUSEHOLD = Source(
    title="Medication calculation sheets of nursing colleges: 5 mL to the teaspoon, 30 mL to the ounce",
    where="OpenStax Clinical Nursing Skills has 29.57 mL to the fluid ounce",
    read=True,
)
SAFE_WRITING = Source(
    title="ISMP List of Error-Prone Abbreviations, Symbols, and Dose Designations",
    where="as reproduced in a table in Royal Society Interface",
    read=True,
)
PERCENT_STRENGTH = Source(title="Definition of percent weight in volume: g per 100 mL")
HALF_UP = Source(
    title="OpenStax Clinical Nursing Skills, rounding: 5 or more up, 4 or less down", read=True
)
RATE_VOLUME_TIME = Source(
    title="Medication Calculations part 2, Charles Sturt University, Learning Skills",
    where="p. 1",
    read=True,
)
DRIP_RATE = Source(
    title="Drop factor definition and formula, a pocket guide to intravenous therapy", read=True
)
RATE_FROM_DOSE = Source(title="Definition: the drug given per time is rate times concentration")
DOSE_BY_WEIGHT = Source(title="Definition of a dose per kilogram and of a dose per day")
VOLUME_FOR_DOSE = Source(title="Definition of concentration: amount per volume")
DILUTION = Source(title="Definition of concentration, the volumes taken to add up")
HOLLIDAY_SEGAR = Source(
    title="Holliday MA, Segar WE. The maintenance need for water in parenteral fluid therapy",
    where="Pediatrics 1957;19:823-832",
)
FOUR_TWO_ONE = Source(title="Holliday and Segar's rule by the hour, common practice")
DEFICIT = Source(title="Percent dehydration is percent of body weight lost as water, 1 kg to 1 L")
BURN_FLUID = Source(
    title="Baxter CR, Shires T. Physiological response to crystalloid resuscitation of severe burns",
    where="Ann N Y Acad Sci 1968;150:874-894; coefficients of 2 to 4 mL/kg/percent differ by body",
)
MOSTELLER = Source(
    title="Mosteller RD. Simplified calculation of body-surface area",
    where="N Engl J Med 1987;317:1098",
)
HAYCOCK = Source(
    title="Haycock GB, Schwartz GJ, Wisotsky DH. Geometric method for measuring body surface area",
    where="J Pediatr 1978;93:62-66",
)
ONE_COMPARTMENT = Source(
    title="Basic pharmacokinetics course, intravenous infusion chapter, boomer.org",
    where="6.3, 6.4",
    read=True,
)
