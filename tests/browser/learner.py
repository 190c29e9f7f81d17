"""A student at the screen: what they press and type, by mouse or by keyboard alone."""

from __future__ import annotations

from dataclasses import dataclass

from playwright.sync_api import Locator, Page, expect
from typing_extensions import override

CASE = "maintenance-and-a-bent-line"
MOST_TABS = 400
WAY = """one => {
  const from = document.activeElement;
  if (one === from) return ["", 0];
  const back = from !== document.body && from.compareDocumentPosition(one) & 2;
  const [first, last] = back ? [one, from] : [from, one];
  const reached = "a[href], button, input:not([type=hidden]), select, textarea, summary";
  const between = [...document.querySelectorAll(reached)].filter((each) =>
    each.checkVisibility() && first.compareDocumentPosition(each) & 4
    && last.compareDocumentPosition(each) & 2);
  return [back ? "Shift+Tab" : "Tab", between.length];
}"""


@dataclass
class Student:
    """Presses with the mouse."""

    page: Page

    # --- pressing and typing ---------------------------------------------------------

    def press(self, target: Locator) -> None:
        target.click()

    def type(self, target: Locator, text: str) -> None:
        target.fill(text)

    def choose(self, target: Locator, text: str) -> None:
        target.select_option(label=text)

    # --- the pages before and after --------------------------------------------------

    def begin(self, case: str = CASE) -> None:
        """From the first page over the prebrief to the bedside."""
        self.page.goto("/")
        self.press(self.page.locator(f'a[href="/scenarios/{case}"]'))
        self.press(self.page.get_by_role("button", name="Begin").first)
        expect(self.page.locator("#bedside")).to_be_visible()
        expect(self.page.locator("html.js")).to_have_count(1)

    def arrive(self, case: str = CASE) -> None:
        """Straight to the bedside of a new attempt, by what the prebrief's form sends."""
        begun = self.page.request.post("/attempts", form={"scenario": case, "seed": "0"})
        self.page.goto(begun.url)
        expect(self.page.locator("html.js")).to_have_count(1)

    def end(self) -> None:
        self.press(self.page.get_by_role("button", name="End the attempt"))
        self.page.wait_for_url("**/debrief")

    # --- the bedside -----------------------------------------------------------------

    def seen(self) -> int:
        return int(self.page.locator("#clock").get_attribute("data-seen") or 0)

    def act(self, button: Locator) -> None:
        """Press, and wait until the page shows what came of it."""
        before = self.seen()
        self.press(button)
        expect(self.page.locator("#clock")).not_to_have_attribute("data-seen", str(before))

    def do(self, name: str, where: str = "body") -> None:
        """Press a button by its words."""
        self.act(self.page.locator(where).get_by_role("button", name=name, exact=True))

    def at(self, station: str, name: str, fill: dict[str, str] | None = None) -> None:
        """Open a part of the line and do something there."""
        drawer = self.page.locator(f"#at-1-{station}")
        if not drawer.is_visible():
            self.press(self.page.locator(f'.station[data-drawer="at-1-{station}"]:visible'))
            expect(drawer).to_be_visible()
        has_it = self.page.get_by_role("button", name=name, exact=True)
        form = drawer.locator("form").filter(has=has_it)
        for field, text in (fill or {}).items():
            target = form.locator(f'[name="{field}"]')
            if target.evaluate("one => one.tagName") == "SELECT":
                self.choose(target, text)
            else:
                self.type(target, text)
        self.act(form.get_by_role("button"))

    def work_out(self, what: str, entered: str) -> None:
        form = self.page.locator(f"#work-maintenance-today-{what}")
        self.type(form.locator(".worked"), entered)
        self.act(form.get_by_role("button"))

    def give(self, **typed: str) -> None:
        form = self.page.locator("#give-1")
        for field, text in typed.items():
            self.type(form.locator(f'[name="{field}"]'), text)
        self.act(form.get_by_role("button"))

    def chart(self, what: str, text: str) -> None:
        card = self.page.locator('section[aria-labelledby="flowsheet-title"]')
        self.choose(card.locator('select[name="what"]'), what)
        self.type(card.locator('[name="text"]'), text)
        self.act(card.get_by_role("button"))

    def leap(self) -> None:
        self.act(self.page.get_by_role("button", name="To the next happening"))


class KeyboardStudent(Student):
    """Never touches a mouse: Tab until the thing has the focus, then Enter."""

    def _tab_to(self, target: Locator) -> None:
        """Tab on or back, whichever way the thing lies on the page."""
        for _ in range(MOST_TABS):
            key, between = target.evaluate(WAY)
            if not key:
                return
            for _ in range(max(1, between // 2)):  # half the way unseen: never past it
                self.page.keyboard.press(key)
        raise AssertionError(f"Tab never comes to {target}")

    @override
    def press(self, target: Locator) -> None:
        self._tab_to(target)
        self.page.keyboard.press("Enter")

    @override
    def type(self, target: Locator, text: str) -> None:
        self._tab_to(target)
        self.page.keyboard.press("Control+A")
        self.page.keyboard.type(text)

    @override
    def choose(self, target: Locator, text: str) -> None:
        self._tab_to(target)
        self.page.keyboard.type(text)  # a list jumps to the entry that begins so
        expect(target.locator("option:checked")).to_have_text(text)


# --- scenario (a), from the order to a running line ------------------------------------


def question_the_order(student: Student) -> None:
    student.do("Clean your hands")
    student.do("Identify by name and record number")
    student.do("Check the allergies")
    student.do("Check it against the patient", "#orders")
    student.do("Question it", "#orders")
    student.leap()
    expect(student.page.locator("#orders")).to_contain_text("today's weight")
    newest = "#orders article:first-of-type"
    student.do("Read it back", newest)
    student.do("Check it against the patient", newest)


def prepare_the_line(student: Student) -> None:
    first = "#trolley .supply:first-child"
    student.do("Take it", first)
    student.do("Inspect it", first)
    student.do("Label it", first)
    label = student.page.locator(f"{first} .label-on").inner_text()
    student.at("primary-container", "Hang it here", {"supply": label})
    student.at("primary-container", "Spike it")
    student.at("primary-chamber", "Squeeze to fill the chamber")
    student.at("primary-clamp", "Open the clamp")
    student.at("primary-clamp", "Prime the tubing")
    student.at("pump", "Lay the set into the pump")
    student.at("site", "Look at the site")
    student.at("site", "Scrub the hub", {"seconds": "15"})
    student.at("site", "Connect the line")


def start_rightly(student: Student) -> None:
    """17.4 kg by the 4-2-1 rule: 40 + 14.8 = 54.8 mL/h; two hours of it are 109.6 mL."""
    student.work_out("rate", "54.8 mL/h")
    student.work_out("volume", "109.6 mL")
    student.give(volume="109.6", rate="54.8")
    student.do("Start line 1")
    student.at("primary-container", "Look at the container")
    student.chart("what runs", "54.8 mL/h since the start")


def wait_for_the_alarm(student: Student) -> None:
    for _ in range(6):
        if student.page.locator(".alarm-high").count():
            return
        student.leap()
    expect(student.page.locator(".alarm-high")).to_be_visible()


def mend_rightly(student: Student) -> None:
    student.do("Look at the patient")
    student.do("Pause the sound for 2 min")
    student.at("site", "Look at the site")
    student.at("tubing", "Follow the line by hand")
    student.at("tubing", "Release pressure away from the patient")
    student.at("tubing", "Straighten the tubing")
    student.at("pump", "Reset the alarm")
    student.do("Start line 1")
    student.do("Look at the patient")
    student.chart("interruption", "tubing bent under the forearm, freed")
