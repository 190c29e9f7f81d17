"""How likely each slip is, for the order in which slips that fit are named.

The figures come from different studies, of students' answers and of reported orders, so
they are no shares of one whole: they only say which of two slips to name first. Where no
study counts a slip, its place is chosen by us and says so.
"""

from __future__ import annotations

from dataclasses import dataclass

from trainer.clinical.slips.names import Slip

STUDENT_ITEMS = "BMC Nursing 2022, article 01085 (doi 10.1186/s12912-022-01085-9), table 3"
TENFOLD_ORDERS = "200 tenfold orders, Annals of Pharmacotherapy 2002 (PubMed 12452740), abstract"
KEYING = "multiple infusions laboratory study, programming errors, abstract"
OURS = "chosen by us"


@dataclass(frozen=True, slots=True, kw_only=True)
class Likelihood:
    """How often a slip is seen among a hundred chances for it, and who says so."""

    slip: Slip
    in_a_hundred: int
    source: str


LIKELIHOODS = tuple(
    Likelihood(slip=slip, in_a_hundred=share, source=source)
    for slip, share, source in (
        (Slip.OTHER_CONCENTRATION, 70, f"{STUDENT_ITEMS}: same dose, new strength: 30% right"),
        (Slip.PER_MINUTE, 55, f"{STUDENT_ITEMS}: mg per min: 45% right"),
        (Slip.SUPERSEDED, 50, f"{OURS}: it is only tried where an older value is known"),
        (Slip.TENFOLD, 44, f"{TENFOLD_ORDERS}: 43.5% by the decimal point alone"),
        (Slip.THOUSANDFOLD, 41, f"{STUDENT_ITEMS}: unit conversion: 59% right"),
        (Slip.POUNDS, 40, f"{STUDENT_ITEMS}: unit conversion: 59% right; one less, {OURS}"),
        (Slip.WEIGHT_LEFT_OUT, 36, f"{STUDENT_ITEMS}: dose by weight: 64% right"),
        (Slip.DROP_FACTOR, 34, f"{OURS}: beside the other steps of a conversion"),
        (Slip.PER_DAY, 33, f"{OURS}: beside the other steps of a conversion"),
        (Slip.HOURS_FOR_MINUTES, 32, f"{OURS}: beside the other steps of a conversion"),
        (Slip.UPSIDE_DOWN, 30, f"{OURS}: rates fail first in the set-up"),
        (Slip.EARLY_ROUNDING, 20, OURS),
        (Slip.TRUNCATED, 15, OURS),
        (Slip.DOSE_AS_RATE, 12, f"{KEYING}: 11.7% of infusions"),
        (Slip.SWAPPED, 11, f"{KEYING}: 11.7% of infusions; one less, {OURS}"),
        (Slip.DIGITS, 10, OURS),
        (Slip.HUNDREDFOLD, 9, f"{OURS}: far below tenfold"),
        (Slip.WEIGHT_TWICE, 8, OURS),
        (Slip.UNIT, 5, f"{OURS}: named beside, not instead of, a wrong value"),
        (Slip.WRITTEN_FORM, 4, f"{OURS}: named beside, not instead of, a wrong value"),
    )
)
"""Every slip with its figure, the likelier first."""

SHARES = {one.slip: one.in_a_hundred for one in LIKELIHOODS}
