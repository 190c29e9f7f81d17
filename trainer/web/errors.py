"""What goes wrong with a request, and the page that says so. The only HTTP status numbers.

An act that is impossible at the bedside is not here: that is a refusal, an event with its
reason, and the page stays as it is. Here are real faults: no such attempt, a form that is
none of ours, a record that cannot be written.
"""

from __future__ import annotations

import logging
from dataclasses import dataclass, replace

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.responses import HTMLResponse, RedirectResponse, Response

from trainer.errors import (
    AttemptClosed,
    AttemptNotFound,
    AttemptOpen,
    DatabaseDamaged,
    LogDamaged,
    NoCue,
    NoOtherNumbers,
    NothingAhead,
    ScenarioError,
    ScenarioNotFound,
    SequenceTaken,
    StepNotFound,
    StoreError,
    StoreUnavailable,
    TrainerError,
    UnknownEvent,
)
from trainer.web import render

log = logging.getLogger("trainer.web")


@dataclass(frozen=True, slots=True, kw_only=True)
class Mishap:
    """One kind of fault: its status number, what is wrong, and the mend."""

    status: int
    title: str
    mend: str
    says: str = ""  # what the fault itself says, printed between the two
    href: str = "/"  # where to go from here
    link: str = "To the first page"


class FormError(TrainerError):
    """A form that cannot be read. The message says what is wrong with it."""


class WrongForm(FormError):
    """The body is of a kind that no form of ours sends."""


class WrongSeed(FormError):
    """A seed in an address that is no seed."""


class TooMuch(TrainerError):
    """A body larger than any form of ours."""


class CrossSite(TrainerError):
    """Another site tried to act in the learner's name."""


_AGAIN = "Go back, reload the page and try again."
_KEPT = "Nothing that was shown as done is lost."

NOT_FOUND = Mishap(
    status=404,
    title="There is nothing here",
    mend="The address may be mistyped, or the attempt belongs to another learner or another "
    "browser. Your own attempts are listed on the first page.",
)

MISHAPS: dict[type[Exception], Mishap] = {
    AttemptNotFound: NOT_FOUND,
    ScenarioNotFound: Mishap(
        status=404,
        title="There is no such scenario",
        mend="Choose one from the first page. A scenario whose file has faults is listed there "
        "with what is wrong.",
    ),
    AttemptClosed: Mishap(
        status=409,
        title="This attempt has ended",
        mend="Nothing can be added to it. Its debrief is open to you.",
    ),
    AttemptOpen: Mishap(
        status=409,
        title="This attempt has not ended yet",
        mend="Its debrief, and all that belongs to it, opens with the end.",
    ),
    StepNotFound: Mishap(
        status=404,
        title="There is no such step",
        mend="The debrief has a link beside every calculation that can be done again.",
    ),
    NoOtherNumbers: Mishap(
        status=422,
        title="There are no other numbers for this step",
        mend="Begin the whole scenario again with other numbers; the debrief has a button for it.",
    ),
    NoCue: Mishap(
        status=409,
        title="There is no cue",
        mend="Look at the patient and the line, or go on as you think right.",
    ),
    NothingAhead: Mishap(
        status=409,
        title="There is nothing to leap to",
        mend="Do something, let the ward clock run, or end the attempt.",
    ),
    SequenceTaken: Mishap(
        status=409,
        title="Someone acted at the same moment",
        mend="Your act was not recorded. Reload the page, look at what changed and act again.",
    ),
    StoreUnavailable: Mishap(
        status=503,
        title="The record cannot be written just now",
        mend=f"Your last act was not recorded. {_KEPT} Check that the disk has room and that "
        "no other program holds the database, then act again.",
    ),
    DatabaseDamaged: Mishap(
        status=500,
        title="The database is damaged",
        mend="This is not about one attempt: the file that holds them all is not sound. End the "
        "trainer and put a copy of the database in its place.",
    ),
    LogDamaged: Mishap(
        status=500,
        title="This attempt's record is damaged",
        mend="It is shown to nobody as if it were whole. Restore the database from a copy; "
        "other attempts are not touched.",
    ),
    UnknownEvent: Mishap(
        status=500,
        title="This attempt was recorded by a newer trainer",
        mend="Start the newer version to open it.",
    ),
    StoreError: Mishap(status=503, title="The record could not be used", mend=f"{_KEPT} {_AGAIN}"),
    ScenarioError: Mishap(
        status=422,
        title="This scenario cannot be used",
        mend="Its author finds every fault, with line and mend, by `trainer check`.",
    ),
    TooMuch: Mishap(
        status=413, title="That was far too much", mend="A form here is at most a page of text."
    ),
    WrongForm: Mishap(status=415, title="This form is not one of ours", mend=_AGAIN),
    WrongSeed: Mishap(
        status=422,
        title="The seed in this address is none",
        mend="Take the link in the debrief; it brings a seed of its own.",
    ),
    FormError: Mishap(status=400, title="This form could not be read", mend=_AGAIN),
    CrossSite: Mishap(
        status=403,
        title="This came from another site",
        mend="Nothing was done. Open the trainer's own page and act there.",
    ),
}
"""Faults and their pages. The nearest parent in the exception's family tree counts."""

OF_THE_DEBRIEF = (AttemptClosed, StepNotFound, NoOtherNumbers, WrongSeed)
"""Faults after which a learner goes on at the debrief."""

BY_STATUS: dict[int, Mishap] = {
    404: NOT_FOUND,
    405: Mishap(
        status=405,
        title="That address does not work this way",
        mend="A page is opened, a form is sent. Start from the first page.",
    ),
    413: MISHAPS[TooMuch],
    400: MISHAPS[FormError],
    422: MISHAPS[FormError],
}

BROKEN = Mishap(
    status=500,
    title="The trainer has a fault",
    mend=f"{_KEPT} Reload the page. If it happens again, export the attempt and tell whoever "
    "looks after the trainer.",
)


def mishap_for(fault: Exception) -> Mishap:
    """The row for a fault: its own class, or the nearest parent listed."""
    for kind in type(fault).__mro__:
        if kind in MISHAPS:
            found = MISHAPS[kind]
            return replace(found, says=str(fault))
    return BROKEN


def answer(mishap: Mishap, *, fragment: bool) -> HTMLResponse:
    """A whole page, or the piece that an open page shows at its top."""
    if fragment:
        piece = render.text("panels/_fault.html", mishap=mishap)
        return HTMLResponse(render.partial("fault", piece), status_code=mishap.status)
    return render.page("error", status=mishap.status, mishap=mishap)


def _is_fragment(request: Request) -> bool:
    return "hx-request" in request.headers


async def _trainer_fault(request: Request, fault: Exception) -> Response:
    mishap = mishap_for(fault)
    attempt = request.path_params.get("attempt_id")
    if isinstance(fault, OF_THE_DEBRIEF) and attempt:
        mishap = replace(mishap, href=f"/attempts/{attempt}/debrief", link="To the debrief")
    if isinstance(fault, NothingAhead | NoCue | AttemptOpen) and attempt:
        mishap = replace(mishap, href=f"/attempts/{attempt}", link="Back to the bedside")
    return answer(mishap, fragment=_is_fragment(request))


async def _http_fault(request: Request, fault: Exception) -> Response:
    assert isinstance(fault, HTTPException)
    mishap = BY_STATUS.get(fault.status_code)
    if mishap is None:
        mishap = Mishap(status=fault.status_code, title=str(fault.detail), mend=_AGAIN)
    found = answer(mishap, fragment=_is_fragment(request))
    found.headers.update(fault.headers or {})
    return found


async def _unreadable(request: Request, fault: Exception) -> Response:
    return answer(BY_STATUS[422], fragment=_is_fragment(request))


async def _broken(request: Request, fault: Exception) -> Response:
    log.error("a fault of ours at %s %s", request.method, request.url.path, exc_info=fault)
    return answer(BROKEN, fragment=_is_fragment(request))


def install(app: FastAPI) -> None:
    """Let every fault end as one of the pages above."""
    app.add_exception_handler(TrainerError, _trainer_fault)
    app.add_exception_handler(HTTPException, _http_fault)
    app.add_exception_handler(RequestValidationError, _unreadable)
    app.add_exception_handler(Exception, _broken)


# --- answers that are not faults but carry a number ---------------------------------


def go(address: str) -> RedirectResponse:
    """After a form: look at this page now (a reload does not send the form again)."""
    return RedirectResponse(address, status_code=303)


def refused(body: str) -> HTMLResponse:
    """A form that was read and not taken: it comes back with what was typed, and why."""
    return HTMLResponse(body, status_code=422, headers={"Cache-Control": "no-store"})


def nothing_new() -> Response:
    """The page is up to date."""
    return Response(status_code=204)
