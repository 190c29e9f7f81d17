"""What the bedside leaves out or makes simpler than it is, told to whoever uses it.

The about page, the author's page and the debrief print from this one list. Each entry has
an id of its own and one sentence that a nurse can read.
"""

from __future__ import annotations

SIMPLIFICATIONS: tuple[tuple[str, str], ...] = (
    (
        "open line held",
        "An open line that is not connected stands still until it is primed: "
        "somebody holds its end up.",
    ),
    (
        "no blood back",
        "When a container or syringe is lowered, nothing flows until the loss is made up; "
        "no blood is drawn back into the line.",
    ),
    (
        "released at once",
        "What was pressed into a line behind a block goes to the vein in one moment when the "
        "way opens.",
    ),
    (
        "open line without store",
        "The pressure of an open line follows its flow at once; what its walls take up meanwhile "
        "is less than a second's flow.",
    ),
    (
        "vein and arm",
        "The pressure in a vein does not change when the arm is raised or lowered.",
    ),
    (
        "even level",
        "A container's fluid level does not fall while it empties, so a gravity flow stays even.",
    ),
    (
        "no air by gravity",
        "A gravity line whose chamber has run empty stands; it draws no air in.",
    ),
    (
        "both bags",
        "Two bags that flow together share the flow by their heights and the resistances of "
        "their tubing, whatever an open clamp holds back; nothing flows up into the secondary.",
    ),
    (
        "stirred bag",
        "Fluid that runs up into a bag mixes with it and with its drip chamber at once.",
    ),
    (
        "air at the join",
        "Where two tubings meet, air in one of them comes through alone, in one piece.",
    ),
    (
        "closed bottle",
        "A bottle without an open air inlet gives its share unhindered until its vacuum holds "
        "it back wholly; the pressure of its gas falls in a straight line.",
    ),
    (
        "squeezed chamber",
        "Filling a drip chamber leaves no vacuum in a bottle; its air goes up in exchange.",
    ),
    (
        "no drops lost",
        "Every drop of a set has the same volume.",
    ),
    (
        "gravity on one catheter",
        "Two gravity lines on one catheter do not hold each other back; a pump there does.",
    ),
    (
        "swollen tissue",
        "Swollen tissue presses back on a pump's line by a few mmHg and not on a gravity line.",
    ),
    (
        "syringe line",
        "A syringe line has no air detector, because no tubing lies before its pump.",
    ),
    (
        "syringe by hand",
        "A syringe that does not lie in its pump gives nothing, however high it is.",
    ),
    (
        "battery",
        "A pump's battery fills as fast as it runs down.",
    ),
    (
        "air drawn off below",
        "Whoever draws air off below the pump gets fluid through the pump in its place.",
    ),
    (
        "new set",
        "Where something fell out of fluids that met, priming the line once it is off the patient "
        "stands for a new set: all that lay in its tubing is thrown away.",
    ),
    (
        "blocked together",
        "Lines that share a blocked catheter build up their pressures apart from one another.",
    ),
    (
        "catheter taken out",
        "A new catheter keeps the old one's name; nothing is lost and nobody bleeds in between.",
    ),
    (
        "one entry",
        "A pump that is told what runs holds one entry against the limits, not the dose of a day.",
    ),
    (
        "one compartment",
        "A drug spreads through one volume at once and leaves it by one half-life; kidneys, liver "
        "and shock change nothing of it unless the author says so.",
    ),
    (
        "signs answer apart",
        "Each sign answers to a drug or to fluid for itself; no sign pulls another one along, and "
        "several answers add up.",
    ),
    (
        "lag before curve",
        "A sign first follows the drug with its lag, and then its curve says how far it moves.",
    ),
    (
        "blood pressure as a pair",
        "A change of the mean pressure moves the upper value by 1.2 of it and the lower by 0.9; "
        "where one number is asked for, it is the upper value.",
    ),
    (
        "an empty beginning",
        "What runs at the beginning has only just begun: nothing of it is in the body, and the "
        "signs are charted without it.",
    ),
    (
        "urine",
        "Urine passed is counted from its charted rate and from the fluid that leaves the "
        "circulation; what a drug does to urine is charted and not taken from the balance.",
    ),
    (
        "nothing drunk",
        "The patient neither drinks, eats, sweats nor bleeds unless the author says so: balance "
        "and weight know only infusions and urine.",
    ),
    (
        "paces set apart",
        "Two half-lives or lags of one drug that are the same to a thousandth are set apart by a "
        "thousandth.",
    ),
    (
        "crossing of a sign",
        "Whether a sign passes a number between two happenings is looked for in sixty-four places; "
        "a sign that passes it and returns within one of the gaps is not seen.",
    ),
)
"""(id, sentence) of every simplification."""


def sentence_of(simplification: str) -> str:
    """The sentence of that id.

    Raises:
        KeyError: if there is none, which is a fault of ours.
    """
    return dict(SIMPLIFICATIONS)[simplification]
