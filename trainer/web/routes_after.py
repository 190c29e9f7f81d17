"""After the end: reflecting, doing one step again, and marking again by a changed policy.

All that is kept here stands in the attempt's own log, behind its end.
"""

from __future__ import annotations

import asyncio
import secrets
from collections.abc import Mapping, Sequence
from fractions import Fraction

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, Response

from trainer.errors import AttemptOpen
from trainer.live.attempt import scenario_of
from trainer.live.ward import Glimpse
from trainer.scoring.redo import Redo, fresh, judged, key_as_written
from trainer.scoring.remark import rules_changed
from trainer.store.records import Entry, Redone, Reflected
from trainer.web import errors, forms, marked_again, render, views_after, views_redo
from trainer.web.deps import AtBedside, BedsideDep
from trainer.web.routes_bedside import HIGHEST_SEED, LEARNER
from trainer.web.routes_home import other_seed
from trainer.web.settings import MOST_BODY_BYTES

router = APIRouter()

OTHER_DRAWS = 3
"""So often a seed for "once more" is drawn again if it gives the same answer. Chosen by us."""


# --- reflecting ---------------------------------------------------------------------


@router.post("/attempts/{attempt_id}/reflection")
async def reflect(request: Request, here: BedsideDep) -> Response:
    """Keep what the learner wrote; what did not change is not kept again."""
    fields = await forms.read_form(request, longest=MOST_BODY_BYTES)
    await _ended(here)
    part, typed, seen = _reflected(fields)
    after = await here.ward.after(here.attempt)
    fault = next((found for found in map(views_after.too_long, typed.values()) if found), "")
    if fault:
        view = views_after.reflection(
            here.attempt,
            part,
            after,
            fields.get("token", ""),
            typed=typed,
            seen=seen,
            fault="Nothing was kept. What you typed is still here; make it shorter.",
        )
        return errors.refused(_reflection_body(request, here, view))
    records = _changed(typed, seen, after)
    token = forms.token_of(fields, repr(records))
    if records:
        await here.ward.add_after(here.attempt, *records, actor=LEARNER, token=token)
    if not _is_open_page(request):
        return errors.go(f"/attempts/{here.attempt}/debrief#reflection-{part}")
    after = await here.ward.after(here.attempt)
    view = views_after.reflection(here.attempt, part, after, new_token(), typed=typed, seen=seen)
    return HTMLResponse(
        _reflection_body(request, here, view), headers={"Cache-Control": "no-store"}
    )


def _reflected(fields: Mapping[str, str]) -> tuple[str, dict[str, str], dict[str, int]]:
    """Which place was sent, what stands in its fields, and the rows they were drawn from.

    Raises:
        FormError: if it is no place of ours.
    """
    part = fields.get("part", "")
    names = views_after.PARTS.get(part)
    known = {"part", "token", *(names or ()), *(f"seen-{name}" for name in names or ())}
    if names is None or set(fields) - known:
        raise errors.FormError("This is not the form in which one reflects here.")
    typed = {name: fields[name].replace("\r\n", "\n") for name in names if name in fields}
    seen = {name: fields.get(f"seen-{name}", "") for name in names}
    rows = {name: int(text[:9]) for name, text in seen.items() if text.isdecimal()}
    return part, typed, rows


def _changed(
    typed: Mapping[str, str], seen: Mapping[str, int], after: Sequence[Entry]
) -> tuple[Reflected, ...]:
    """What the learner changed: against the rows that the page was drawn from, and the last.

    So a page that is behind does not overwrite what was kept in another window.
    """
    rows = {entry.sequence: entry for entry in after}
    last = views_after.latest(after)
    changed = []
    for name, text in typed.items():
        drawn = rows.get(seen.get(name, 0))
        if text not in (views_after.text_of(drawn), views_after.text_of(last.get(name))):
            changed.append(Reflected(at_ms=0, question=name, text=text))
    return tuple(changed)


def _reflection_body(request: Request, here: AtBedside, view: views_after.ReflectionView) -> str:
    """The panel for an open page; a page of its own for a plain form."""
    if _is_open_page(request):
        return render.text("panels/_reflection.html", reflection=view)
    debrief = f"/attempts/{here.attempt}/debrief"
    return render.text("pages/reflection.html", reflection=view, debrief=debrief)


# --- one step again -----------------------------------------------------------------


@router.get("/attempts/{attempt_id}/redo/{order}/{quantity}")
async def redo(here: BedsideDep, order: str, quantity: str, seed: str = "") -> Response:
    """One calculation with fresh numbers; once it was answered, what became of it."""
    glimpse = await _ended(here)
    if not seed:
        _check_step(glimpse, order, quantity)
        return errors.go(views_redo.address(here.attempt, order, quantity, other_seed()))
    step = await _step(here, glimpse, order, quantity, seed)
    tries = views_redo.tries_of(await here.ward.after(here.attempt), order, quantity)
    last = next((one for one in reversed(tries) if one.seed == step.seed), None)
    view = views_redo.redo_view(
        here.attempt,
        step,
        tries=tries,
        next_seed=await _next_seed(here, glimpse, step),
        token=new_token(),
        judged=None if last is None else judged(step, last.entered, last.sure),
        typed=last.entered if last else "",
        sure=last.sure if last else "",
    )
    return render.page("redo", view=view)


@router.post("/attempts/{attempt_id}/redo/{order}/{quantity}")
async def check(
    request: Request, here: BedsideDep, order: str, quantity: str, seed: str = ""
) -> Response:
    """Judge a value and keep the try; then the page shows what became of it."""
    fields = await forms.read_form(request)
    glimpse = await _ended(here)
    step = await _step(here, glimpse, order, quantity, seed)
    typed, sure = fields.get("entered", ""), fields.get("sure", "")
    if sure not in ("", *views_redo.SURE):
        raise errors.FormError(f"How sure is one of: {', '.join(views_redo.SURE)}.")
    fault = _entry_fault(typed)
    if fault:
        return await _asked_again(here, step, typed, sure, fault)
    found = judged(step, typed, sure)
    record = Redone(
        at_ms=0,
        order=order,
        quantity=quantity,
        seed=step.seed,
        entered=typed,
        sure=sure,
        right=found.is_right,
    )
    token = forms.token_of(fields, repr(record))
    await here.ward.add_after(here.attempt, record, actor=LEARNER, token=token)
    return errors.go(f"{views_redo.address(here.attempt, order, quantity, step.seed)}#answer")


def _entry_fault(typed: str) -> str:
    """Why a text is not looked at as a value at all; empty if it is."""
    if not typed.strip():
        return "Write your value with its unit, then press Check."
    if len(typed) > views_redo.LONGEST_ENTERED:
        return f"A value has at most {views_redo.LONGEST_ENTERED} characters; write it shorter."
    return ""


async def _asked_again(
    here: AtBedside, step: Redo, typed: str, sure: str, fault: str
) -> HTMLResponse:
    tries = views_redo.tries_of(await here.ward.after(here.attempt), step.order, step.quantity)
    view = views_redo.redo_view(
        here.attempt,
        step,
        tries=tries,
        next_seed=other_seed(),
        token=new_token(),
        typed=typed,
        sure=sure,
        fault=fault,
    )
    return errors.refused(render.text("pages/redo.html", view=view))


async def _step(here: AtBedside, glimpse: Glimpse, order: str, quantity: str, seed: str) -> Redo:
    """The step with the numbers of its seed, other than the attempt's own.

    Raises:
        WrongSeed: if the seed is no whole number from 1.
        StepNotFound: if there is no such calculation.
        NoOtherNumbers: if it has no other numbers.
    """
    number = _seed_of(seed)
    own = _check_step(glimpse, order, quantity)
    opened = await here.ward.opened(here.attempt)
    written = scenario_of(opened.source, 0, opened.variation)
    return await asyncio.to_thread(fresh, written, order, quantity, number, unlike=own)


def _check_step(glimpse: Glimpse, order: str, quantity: str) -> tuple[Fraction]:
    """The attempt's own answer to a step, which it must have."""
    return (key_as_written(glimpse.state.scenario, order, quantity).value,)


def _seed_of(text: str) -> int:
    """The seed of an address.

    Raises:
        WrongSeed: if it is no whole number from 1.
    """
    number = int(text) if text.isascii() and text.isdigit() and len(text) <= 9 else 0
    if not 1 <= number <= HIGHEST_SEED:
        raise errors.WrongSeed(f"A seed is a whole number from 1 to {HIGHEST_SEED}.")
    return number


async def _next_seed(here: AtBedside, glimpse: Glimpse, step: Redo) -> int:
    """A seed for "once more" whose answer is another one, if a few draws find one."""
    seed = other_seed()
    for _ in range(OTHER_DRAWS):
        other = await _step(here, glimpse, step.order, step.quantity, str(seed))
        if other.key.value != step.key.value:
            break
        seed = other_seed()
    return seed


# --- marked again -------------------------------------------------------------------


@router.post("/attempts/{attempt_id}/remark")
async def remark(request: Request, here: BedsideDep) -> Response:
    """Mark the attempt by the ward's policy as it is now, beside the mark of the day.

    Nothing is kept if those rules are the last mark's, or not those that the page showed.
    """
    fields = await forms.read_form(request)
    glimpse = await _ended(here)
    scenario = glimpse.state.scenario
    now = await marked_again.policy_now(here.ward, scenario)
    last = marked_again.last_policy(scenario, await here.ward.after(here.attempt))
    if now is not None and now.sha256 == fields.get("policy") and rules_changed(last, now.policy):
        token = f"remark.{now.sha256[:40]}.{glimpse.sequence}"
        await here.ward.add_after(here.attempt, now.record, actor=LEARNER, token=token)
    return errors.go(f"/attempts/{here.attempt}/debrief#remarked")


# --- for all of them ----------------------------------------------------------------


async def _ended(here: AtBedside) -> Glimpse:
    """The attempt, which has ended.

    Raises:
        AttemptOpen: if it has not.
    """
    glimpse = await here.ward.look(here.attempt)
    if not glimpse.ended:
        raise AttemptOpen("Nothing of the debrief can be seen or kept before the end.")
    return glimpse


def _is_open_page(request: Request) -> bool:
    return "hx-request" in request.headers


def new_token() -> str:
    """What makes a second press of one button known."""
    return secrets.token_hex(8)
