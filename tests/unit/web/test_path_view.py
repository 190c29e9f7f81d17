"""A line as drawn: what can be seen, what cannot, and numbers for the script."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from tests.build import MINUTE, a_dry_line, a_ready_line, a_running_state, a_scenario
from trainer.engine.begin import initial_state
from trainer.engine.carry import carry
from trainer.engine.state import Plug
from trainer.terms import Site
from trainer.web import views_path, views_running


def path(state, **options):
    return views_path.path_view(state, 1, **{"contents_visible": True, **options})


def station(view, kind):
    return next(one for one in view.stations if one.kind == kind)


def with_line(state, **changes):
    return replace(state, lines=(replace(state.lines[0], **changes),))


def test_a_dry_line_shows_air_and_an_empty_chamber():
    view = path(initial_state(a_scenario(lines=(a_dry_line(),))))
    assert "air" in [tone.name for tone in view.legend]
    assert station(view, "chamber").says == "empty"
    assert station(view, "container").says == "nothing hung"


def test_the_map_lies_and_stands_with_the_same_stations():
    wide, upright = path(initial_state(a_scenario())).maps
    assert (wide.name, upright.name) == ("wide", "upright")
    assert [one.drawer for one in wide.stations] == [one.drawer for one in upright.stations]
    assert [one.move for one in wide.stations] != [one.move for one in upright.stations]


def test_a_line_with_a_port_has_the_secondarys_stations_too():
    names = [one.drawer for one in path(initial_state(a_scenario())).stations]
    assert "at-1-secondary-container" in names
    assert "at-1-port" in names


def test_a_block_does_not_show_until_someone_follows_the_line():
    state = a_running_state()
    free, blocked = path(state), path(with_line(state, blocked_below="kinked at the wrist"))
    assert [one.says for one in free.stations] == [one.says for one in blocked.stations]


def test_a_site_shows_when_it_was_looked_at_and_never_what_is_true():
    state = a_running_state()
    swollen = replace(state, access=(replace(state.access[0], site=Site.INFILTRATED),))
    assert station(path(swollen), "site").says == "not looked at"
    looked = replace(swollen, access=(replace(swollen.access[0], seen="swollen", seen_ms=0),))
    assert station(path(looked), "site").says.startswith("looked at ")


def test_in_an_assessment_contents_and_levels_are_hidden():
    view = path(a_running_state(), contents_visible=False)
    assert view.contents == ()
    assert all(tube.plugs == () and tube.data_plugs == "" for tube in view.maps[0].tubes)
    assert "mL" not in station(view, "container").says


def test_plugs_are_drawn_from_the_far_end_first_out_first():
    size = a_running_state().lines[0].below_size
    state = with_line(
        a_running_state(), below=(Plug("glucose", size // 4), Plug("saline", size - size // 4))
    )
    tube = next(one for one in path(state).maps[0].tubes if one.name == "below")
    assert [(plug.dash, plug.offset) for plug in tube.plugs] == [
        ("250 2000", "-750"),
        ("750 2000", "0"),
    ]


def test_the_script_gets_the_drop_rate_of_the_set():
    """Drops a minute are the rate in mL/h times drops per mL over 60 (common practice)."""
    state = a_running_state()
    rate_ml_per_h = Fraction(state.lines[0].pump.rate_ul_h, 1000)
    factor = state.scenario.line(1).drop_factor
    assert Fraction(path(state).drops_per_h) == rate_ml_per_h * factor


def test_nothing_flows_to_the_vein_while_the_clamp_next_to_the_patient_is_closed():
    view = path(with_line(a_running_state(), patient_clamp_open=False))
    assert view.vein_ul_h == "0"
    assert view.pump_ul_h != "0"


def test_the_counters_go_on_along_the_line_that_the_panel_gave_the_script():
    """What the script extrapolates is what the engine carries."""
    state = a_running_state()
    now = views_running.running_view(state, 1)
    later = views_running.running_view(carry(state, state.as_of_ms + 10 * MINUTE), 1)
    passed_h = Fraction(int(later.anchor_ms) - int(now.anchor_ms), 3_600_000)
    extrapolated = Fraction(now.given_ul) + Fraction(now.pump_ul_h) * passed_h
    assert abs(extrapolated - Fraction(later.given_ul)) <= 1


def test_a_standing_pump_has_no_time_left():
    view = views_running.running_view(initial_state(a_scenario(lines=(a_ready_line(),))), 1)
    assert (view.rate, view.left, view.pump_ul_h) == ("0", "", "0")
