"""Air taken out of a line by hand, and the fluid that takes its place or is lost with it.

Above the pump air is tapped up to the drip chamber, where nothing is lost, or drawn off
with a syringe at the access port, with as much fluid again. Below the pump all that lies
between the patient's end and the last air is drawn off. What is missing comes from the
flowing container. Volumes are motes.
"""

from __future__ import annotations

from trainer.engine.copying import changed
from trainer.engine.path import Containers, flowing_role, inlet_of
from trainer.engine.sources import put_inlet, taken_from_source
from trainer.engine.state import Line
from trainer.engine.tubing import Plugs, joined, pushed_through, split, volume_of
from trainer.terms import AIR

TAP_UP = "tap up to the chamber"
DRAW_OFF = "draw off at the port"
DRAW_OFF_BELOW = "draw off below the pump"
CLEARINGS = (TAP_UP, DRAW_OFF, DRAW_OFF_BELOW)
"""The ways of clearing air, in the words of the trade."""


def to_last_air(path: Plugs) -> int:
    """How much must run out at the end of a stretch until the last air has left."""
    passed = wanted = 0
    for plug in path:
        passed += plug.volume
        if plug.fluid == AIR:
            wanted = passed
    return wanted


def cleared_above(
    containers: Containers, line: Line, wasted: int
) -> tuple[Containers, Line, Plugs]:
    """The line without air above its pump, and the fluid drawn off with it.

    What is drawn off is the fluid that followed the first bubble.
    """
    role = flowing_role(containers, line)
    inlet = inlet_of(line, role) or line.primary
    path = joined(line.above, inlet.contents)
    fluid = tuple(plug for plug in path if plug.fluid != AIR)
    missing = line.above_size + inlet.size - line.drawn - volume_of(fluid)
    containers, inlet, fed = taken_from_source(containers, inlet, missing + wasted)
    ahead, behind = split((*fluid, *fed), _to_first_air(path))
    lost, behind = split(behind, wasted)
    above, contents = split(_run_together((*ahead, *behind)), line.above_size)
    line = put_inlet(line, role, changed(inlet, contents=contents))
    return containers, changed(line, above=above), _run_together(lost)


def _to_first_air(path: Plugs) -> int:
    """How much fluid lies before the first air."""
    passed = 0
    for plug in path:
        if plug.fluid == AIR:
            break
        passed += plug.volume
    return passed


def _run_together(plugs: Plugs) -> Plugs:
    """The same, with neighbours of one fluid as one plug."""
    path: Plugs = ()
    for plug in plugs:
        path = joined(path, (plug,))
    return path


def cleared_below(
    containers: Containers, line: Line, volume: int
) -> tuple[Containers, Line, Plugs]:
    """The line after so much was drawn off below its pump, and what that was."""
    role = flowing_role(containers, line)
    inlet = inlet_of(line, role) or line.primary
    containers, inlet, fed = taken_from_source(containers, inlet, volume)
    contents, fed = pushed_through(inlet.contents, fed)
    above, fed = pushed_through(line.above, fed)
    below, lost = pushed_through(line.below, fed)
    line = put_inlet(line, role, changed(inlet, contents=contents))
    return containers, changed(line, above=above, below=below), lost
