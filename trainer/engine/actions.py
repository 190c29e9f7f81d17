"""One act of a learner: a verb and what goes with it, all as typed.

`terms.SHAPES` says which parameters each verb carries. Reading the texts is
`engine.decide`'s work: what cannot be read becomes a refusal, never an exception.
"""

from __future__ import annotations

from dataclasses import dataclass

from trainer.terms import SHAPES, Param, Verb


@dataclass(frozen=True, slots=True)
class Action:
    """A verb with its parameters, sorted by name; values are kept as typed.

    >>> act(Verb.START, line="1")
    Action(verb=<Verb.START: 'start'>, params=(('line', '1'),))
    """

    verb: Verb
    params: tuple[tuple[str, str], ...] = ()

    def get(self, param: Param) -> str:
        """The text of a parameter, or an empty text if the act does not carry it."""
        for name, text in self.params:
            if name == param:
                return text
        return ""


def act(verb: Verb, **params: str) -> Action:
    """An act with its parameters in one fixed order, empty ones left out."""
    kept = sorted((name, text) for name, text in params.items() if text != "")
    return Action(verb, tuple(kept))


def missing_params(action: Action) -> tuple[Param, ...]:
    """The parameters that the verb needs and the act does not carry."""
    carried = [name for name, text in action.params if text]
    return tuple([param for param in SHAPES[action.verb].needs if param not in carried])


def unknown_params(action: Action) -> tuple[str, ...]:
    """The parameters that the act carries and the verb does not know."""
    known = KNOWN[action.verb]
    return tuple([name for name, _ in action.params if name not in known])


KNOWN = {
    verb: frozenset(str(param) for param in shape.needs + shape.may)
    for verb, shape in SHAPES.items()
}
"""The names of every parameter that a verb may carry."""
