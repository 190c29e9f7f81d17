"""A line as drawn: what can be seen, what cannot, and numbers for the script."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from tests.build import MINUTE, Bedside, a_dry_line, a_ready_line, a_running_state, a_scenario
from trainer.engine import drive
from trainer.engine.actions import act
from trainer.engine.begin import initial_state
from trainer.engine.carry import carry
from trainer.engine.events import Acted, Perceived
from trainer.engine.state import Plug
from trainer.terms import Drive, Site, Verb
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


def test_a_block_shows_only_as_pressure_until_someone_follows_the_line():
    state = a_running_state()
    free, blocked = path(state), path(with_line(state, blocked_below="kinked at the wrist"))
    away = [one.says for one in free.stations if one.kind != "pump"]
    assert away == [one.says for one in blocked.stations if one.kind != "pump"]
    assert station(free, "pump").says == "100 mL/h, 10 mmHg steady"
    assert station(blocked, "pump").says == "100 mL/h, 10 mmHg rising"


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
    chamber = next(one for one in path(state).stations if one.drawer == "at-1-primary-chamber")
    assert Fraction(chamber.drops_per_h) == rate_ml_per_h * factor


def points(view):
    """A path's course as the script reads it: ms, passed, out, mmHg."""
    return [tuple(Fraction(one) for one in point.split(":")) for point in view.course.split(";")]


def test_the_script_gets_a_straight_course_while_nothing_holds_the_fluid_back():
    assert points(path(a_running_state())) == [(0, 0, 0, 10), (3_600_000, 100_000, 100_000, 10)]


def test_behind_a_closed_clamp_nothing_leaves_and_the_pressure_rises():
    """dp/dt = Q / C: 100 mL/h into 1.2 uL/mmHg, so in an hour 100 000 uL / 1.2."""
    view = path(with_line(a_running_state(), patient_clamp_open=False))
    last = points(view)[-1]
    assert (last[1], last[2]) == (100_000, 0)
    assert abs(last[3] - (10 + Fraction(100_000) / Fraction("1.2"))) < 1


def test_a_narrowed_line_gets_a_course_that_bends_toward_resistance_times_flow():
    """p tends to p_vein + R Q: 2 mmHg per mL/h at 100 mL/h are 200 mmHg over the vein's 10."""
    tau_ms = 8_640  # R C = 2 mmHg/(mL/h) x 1.2 uL/mmHg = 0.0024 h
    view = path(with_line(a_running_state(), narrowed_u=2_000_000, narrowed_ms=tau_ms))
    found = points(view)
    assert len(found) > 20
    after_tau = next(one for one in found if one[0] == tau_ms)
    assert abs(after_tau[3] - (10 + 200 * (1 - Fraction("0.36788")))) < 1
    assert abs(found[-1][3] - 210) < 2


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
    values = {counter.name: counter.value for counter in view.counters}
    assert (values["Rate"], values["Time left"], view.pump_ul_h) == ("0", "", "0")


def test_a_blend_is_painted_as_its_drug_mixed_and_named_with_its_shares():
    size = a_running_state().lines[0].below_size
    blend = "saline:800000000+sedative:200000000"
    view = path(with_line(a_running_state(), below=(Plug(blend, size),)))
    assert "drug-a-mixed" in [plug.tone for tube in view.maps[0].tubes for plug in tube.plugs]
    assert any("80 %" in text and "20 %" in text for text in view.contents)
    assert "an invented sedative 2 mg/mL and sodium chloride 0.9 %, mixed" in [
        tone.name for tone in view.legend
    ]


def test_what_of_a_drug_lies_in_the_tubing_is_told_with_blends_taken_apart():
    """3 mL of a blend with a fifth of drug solution hold 0.6 mL of it."""
    size = a_running_state().lines[0].below_size
    blend = "saline:800000000+sedative:200000000"
    view = path(with_line(a_running_state(), below=(Plug(blend, size),)))
    assert [(one.name, one.volume) for one in view.lying] == [
        ("an invented sedative 2 mg/mL", "0.6")
    ]
    assert path(a_running_state(), contents_visible=False).lying == ()


def on(drive, **changes):
    spec = a_ready_line(drive=drive, has_port=False, **changes)
    return initial_state(a_scenario(lines=(spec,)))


def test_a_gravity_line_has_no_pump_and_its_clamp_says_how_far_it_is_open():
    view = path(on(Drive.GRAVITY, opening=Fraction("0.125")))
    assert "pump" not in [one.kind for one in view.stations]
    assert station(view, "clamp").says == "12.5 % open"
    assert view.opening == "12.5"
    assert station(view, "container").says == "500 mL left, 90 cm above"


def test_drops_of_a_gravity_line_fall_at_the_rate_that_physics_gives():
    state = on(Drive.GRAVITY, opening=Fraction("0.125"))
    chamber = station(path(state), "chamber")
    flow_ul_h = drive.flow_ul_h(state, state.lines[0])
    assert flow_ul_h > 0
    assert int(chamber.drops_per_h) == flow_ul_h * 20 // 1000


def test_a_gravity_line_tells_no_rate_but_what_was_counted():
    state = on(Drive.GRAVITY, opening=Fraction("0.125"))
    view = views_running.running_view(state, 1)
    assert view.state == "dripping"
    assert [(one.name, one.value) for one in view.counters] == [
        ("Drops counted", ""),
        ("The set", "20"),
    ]
    counted = (
        Acted(at_ms=0, action=act(Verb.COUNT_DROPS, line="1", seconds="30"), actor="learner"),
        Perceived(at_ms=0, of="line", which="1", text="15 drops fell in the chamber in 30 s."),
    )
    shown = {one.name: one.value for one in views_running.running_view(state, 1, counted).counters}
    assert (shown["Counted"], shown["By that count"]) == ("30", "90")
    tested = views_running.running_view(state, 1, counted, in_practice=False)
    assert "By that count" not in [one.name for one in tested.counters]


def test_a_syringe_lies_before_its_tubing_with_its_pump_behind_it():
    view = path(on(Drive.SYRINGE))
    assert [one.kind for one in view.stations][:2] == ["syringe", "pusher"]
    assert [tube.name for tube in view.maps[0].tubes] == ["below"]
    assert view.drops == ""


def test_a_pump_off_the_mains_says_how_long_its_battery_lasts():
    state = with_line(a_running_state(), plugged_in=False, battery_ms=80 * MINUTE)
    assert "battery 1 h 20 min" in station(path(state), "pump").says
    running = views_running.running_view(state, 1)
    assert running.power == "on battery, not plugged in"
    assert running.battery == "1 h 20 min"
    assert views_running.running_view(a_running_state(), 1).power == "on the mains"


def test_a_slipped_set_shows_at_the_pump():
    view = path(with_line(a_running_state(), set_slipped=True))
    assert station(view, "pump").says.startswith("the set lies wrong")


def test_a_closed_bottle_shows_its_vacuum_only_where_contents_may_be_seen():
    """Gas of 20 mL stretched by 1 mL lies 760/20 = 38 mmHg under the air's pressure."""
    plain = a_running_state(scenario=a_scenario(lines=(a_ready_line(has_port=False),)))
    bottle = replace(plain.containers[0], rigid=True, gas=72_000_000_000, vacuum=3_600_000_000)
    state = replace(plain, containers=(bottle, *plain.containers[1:]))
    assert "air inlet closed: 38 mmHg vacuum" in station(path(state), "container").says
    hidden = station(path(state, contents_visible=False), "container").says
    assert "air inlet closed" in hidden
    assert "vacuum" not in hidden


def test_what_a_look_at_the_site_showed_stands_under_the_map():
    state = a_running_state()
    looked = replace(state, access=(replace(state.access[0], seen="Swollen.", seen_ms=0),))
    assert path(looked).site_seen == "Site at 08:00: Swollen."
    assert path(state).site_seen == ""


def with_a_secondary(**line) -> Bedside:
    """A small bag hung as the secondary, primed, connected and open; the primary hung lower."""
    bedside = Bedside(a_scenario(lines=(a_ready_line(**line),)))
    at = {"line": "1", "role": "secondary"}
    bedside.do(Verb.CHOOSE, supply="small-bag")
    bedside.do(Verb.HANG, supply="small-bag", **at)
    bedside.do(Verb.SPIKE, **at)
    bedside.do(Verb.FILL_CHAMBER, **at)
    bedside.do(Verb.OPEN_CLAMP, line="1", clamp="secondary")
    bedside.do(Verb.PRIME, **at)
    bedside.do(Verb.CONNECT, line="1", at="port")
    bedside.do(Verb.LOWER_PRIMARY, line="1")
    return bedside


def test_the_script_is_told_which_container_gives():
    bedside = with_a_secondary()
    bedside.run("100", "40", role="secondary")
    assert path(bedside.state).source == "secondary"
    bedside.do(Verb.CLOSE_CLAMP, line="1", clamp="secondary")
    assert path(bedside.state).source == "primary"


def test_where_both_give_the_script_gets_each_share_and_the_blend_that_results():
    """Heights alike: by their resistances (0.012 and 0.1), the primary gives most."""
    bedside = with_a_secondary()
    bedside.do(Verb.RAISE_PRIMARY, line="1")
    bedside.run("100", "40", role="secondary")
    view = path(bedside.state)
    assert view.source == "both"
    assert int(view.primary_ul_h) + int(view.secondary_ul_h) == 100_000
    assert int(view.primary_ul_h) > int(view.secondary_ul_h) > 0
    above = next(tube for tube in view.maps[0].tubes if tube.name == "above")
    assert above.feeds.startswith("drug-a-mixed:0:")
    assert int(above.feeds.split(":")[2]) == int(view.secondary_ul_h) // 100


def test_with_a_stuck_valve_fluid_runs_up_into_the_primary_though_the_pump_stands():
    view = path(with_a_secondary(valve_works=False).state)
    assert view.source == "back"
    assert int(view.primary_ul_h) == -int(view.secondary_ul_h) < 0


def test_with_the_way_above_shut_nothing_moves_for_the_script():
    state = a_running_state(scenario=a_scenario(lines=(a_ready_line(has_port=False),)))
    line = state.lines[0]
    shut = with_line(state, primary=replace(line.primary, clamp_open=False))
    assert path(shut).source == ""
