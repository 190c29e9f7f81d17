"""The law of the panels, checked on the templates themselves."""

from __future__ import annotations

import re
from html.parser import HTMLParser

import pytest
from jinja2 import meta
from typing_extensions import override

from tests.web.at_bedside import set_up
from trainer.paths import TEMPLATES
from trainer.web import panels, render

PANELS = sorted(path.name for path in (TEMPLATES / "panels").glob("_*.html"))
GLOBALS = {"notice", "asset", "version"}
VOID = {"area", "br", "hr", "img", "input", "link", "meta", "wbr"}


def needed(source: str) -> set[str]:
    """The names in the first line's `needs`."""
    found = re.match(r"\{# needs: (.*?) #\}", source)
    assert found is not None, "the first line says what the panel needs"
    return set(re.findall(r"(\w+): ", found[1]))


@pytest.mark.parametrize("name", PANELS)
def test_a_panel_asks_for_exactly_what_its_first_line_says(name):
    source = (TEMPLATES / "panels" / name).read_text()
    asked = meta.find_undeclared_variables(render.environment().parse(source))
    assert asked - GLOBALS == needed(source)


class Roots(HTMLParser):
    """Collects the elements at the top, and whether anything is left open."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.roots: list[dict[str, str | None]] = []

    @override
    def handle_starttag(self, tag, attrs):
        if not self.open:
            self.roots.append(dict(attrs))
        if tag not in VOID:
            self.open.append(tag)

    @override
    def handle_startendtag(self, tag, attrs):
        pass

    @override
    def handle_endtag(self, tag):
        assert self.open, f"</{tag}> without a beginning"
        assert self.open.pop() == tag, f"</{tag}> closes something else"


def test_a_drawn_panel_has_one_root_with_its_own_id(visit):
    set_up(visit)
    pieces = visit.client.get(f"{visit.address}/panels?after=9999").text
    drawn = re.findall(r'<hx-partial hx-target="#([\w-]+)"[^>]*>(.*?)</hx-partial>', pieces, re.S)
    assert len(drawn) > 10
    for name, body in drawn:
        roots = Roots()
        roots.feed(body)
        assert not roots.open, name
        assert [root.get("id") for root in roots.roots] == [name]


def test_no_panel_that_is_pushed_holds_something_to_fill_in(visit):
    """Only `work` does, and its forms are left alone when it is pushed (`hx-morph-skip`)."""
    pieces = visit.client.get(f"{visit.address}/panels?after=9999").text
    for name, body in re.findall(r'hx-target="#([\w-]+)"[^>]*>(.*?)</hx-partial>', pieces, re.S):
        fields = re.findall(r"<(?:select|textarea|input (?!type=\"hidden\"))", body)
        assert not fields or name == "work", name
    source = (TEMPLATES / "panels" / "_work.html").read_text()
    assert source.count("<form") == source.count("hx-morph-skip")


def test_every_panel_that_is_pushed_has_its_place_on_the_page(visit):
    page = visit.page()
    pieces = visit.client.get(f"{visit.address}/panels?after=9999").text
    for name in re.findall(r'hx-target="#([\w-]+)"', pieces):
        assert f'id="{name}"' in page


def test_no_id_stands_twice_on_the_bedside(visit):
    set_up(visit)
    ids = re.findall(r'\sid="([^"]+)"', visit.page())
    assert len(ids) == len(set(ids))


def test_a_panel_that_does_not_exist_is_a_fault_of_ours():
    with pytest.raises(LookupError):
        panels._chart_view("weather", None, None, ())  # type: ignore[arg-type]
