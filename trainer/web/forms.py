"""Reading a form: from bytes to an act, or to a fault that says what is wrong with it.

What a learner typed into a field is never judged here; the engine does that and may
refuse. A form that no page of ours can have sent is a fault.
"""

from __future__ import annotations

import hashlib
from urllib.parse import parse_qsl

from fastapi import Request

from trainer.engine.actions import Action, act
from trainer.terms import Param, Verb
from trainer.web.errors import FormError, TooMuch, WrongForm
from trainer.web.settings import MOST_BODY_BYTES, MOST_FIELDS

KIND = "application/x-www-form-urlencoded"
LONGEST_TOKEN = 64
LONGEST_FIELD = 4000

SITUATION = ("situation", "background", "assessment", "recommendation")
"""The four parts of a call, in the order in which they are said (SBAR)."""

_OURS = frozenset({*Param, "verb", "seen", "token", "hours", "minutes", *SITUATION})
_VERBS = {str(verb): verb for verb in Verb}


async def read_form(request: Request, longest: int = LONGEST_FIELD) -> dict[str, str]:
    """The fields of a form, each at most once and of at most `longest` characters.

    Raises:
        WrongForm: if the body is no form.
        TooMuch: if it is longer than any form of ours.
        FormError: if it cannot be read, or a field comes twice.
    """
    if request.headers.get("content-type", "").partition(";")[0].strip().lower() != KIND:
        raise WrongForm("A form is sent as `application/x-www-form-urlencoded`.")
    body = await _body(request)
    try:
        pairs = parse_qsl(
            body.decode("ascii"),
            keep_blank_values=True,
            errors="strict",
            max_num_fields=MOST_FIELDS,
        )
    except UnicodeError as fault:
        raise FormError("A field is not written in UTF-8.") from fault
    except ValueError as fault:
        raise FormError(f"A form has at most {MOST_FIELDS} fields.") from fault
    return _once_each(pairs, longest)


async def _body(request: Request) -> bytes:
    """The whole body, as long as it is no longer than a form of ours."""
    body = b""
    async for piece in request.stream():
        body += piece
        if len(body) > MOST_BODY_BYTES:
            raise TooMuch(f"A form here has at most {MOST_BODY_BYTES} bytes.")
    return body


def _once_each(pairs: list[tuple[str, str]], longest: int) -> dict[str, str]:
    fields: dict[str, str] = {}
    for name, text in pairs:
        if name in fields:
            raise FormError(f"The field {name[:40]} comes twice.")
        if len(text) > longest:
            raise FormError(
                f"The field {name[:40]} is too long; write at most {longest} characters."
            )
        if "\0" in text:
            raise FormError(f"The field {name[:40]} holds a character that cannot be kept.")
        fields[name] = text
    return fields


def action_of(fields: dict[str, str]) -> Action:
    """The act that a form describes; its values stay as typed.

    Raises:
        FormError: if the verb or a field is none of ours.
    """
    verb = _VERBS.get(fields.get("verb", ""))
    if verb is None:
        raise FormError("The form does not say what to do.")
    strange = sorted(set(fields) - _OURS)
    if strange:
        raise FormError(f"There is no field {strange[0][:40]} on this page.")
    params = {str(name): fields.get(name, "").strip() for name in Param}
    params["duration"] = params["duration"] or _duration(fields)
    params["text"] = params["text"] or _said(fields)
    return act(verb, **params)


def _duration(fields: dict[str, str]) -> str:
    """Hours and minutes as one text: `1 h 30 min`; empty if neither was filled in."""
    parts = ((fields.get("hours", "").strip(), "h"), (fields.get("minutes", "").strip(), "min"))
    return " ".join(f"{text} {unit}" for text, unit in parts if text)


def _said(fields: dict[str, str]) -> str:
    """The four parts of a call as one text, each with its name."""
    parts = ((name, fields.get(name, "").strip()) for name in SITUATION)
    return " ".join(f"{name.capitalize()}: {text}" for name, text in parts if text)


def seen_of(fields: dict[str, str]) -> int | None:
    """How many events the page showed that the form was sent from; None if it does not say."""
    text = fields.get("seen", "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 9 else None


def token_of(fields: dict[str, str], what: str) -> str:
    """What makes a repetition of this form known: the page's token and what it does.

    A page without script sends no token; then the same act from a page that shows the
    same events counts as the same click. A form that sends neither is never a repetition.

    Raises:
        FormError: if the token is none of ours.
    """
    seen = seen_of(fields)
    token = fields.get("token", "") or ("" if seen is None else f"page-{seen}")
    if not token:
        return ""
    if len(token) > LONGEST_TOKEN or not token.isascii() or not token.isprintable():
        raise FormError("The form's token is not one that this page gave.")
    digest = hashlib.sha256(what.encode(errors="surrogatepass")).hexdigest()[:16]
    return f"{token}.{digest}"
