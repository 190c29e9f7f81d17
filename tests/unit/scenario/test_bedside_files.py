"""What comes out of a scenario with a syringe, a drip, and signs that answer."""

from dataclasses import fields, replace
from fractions import Fraction

import pytest

from tests.unit.scenario.bedside_files import BEDSIDE, DRUGS, WARD, bedside, faults
from tests.unit.scenario.small_files import POLICY, changed, loaded
from trainer.scenario import behaviours, hydraulic_values, response_values
from trainer.scenario.load import load_formulary, load_policy
from trainer.scenario.model import Drug, Hydraulics, PumpRules, SyringeSize
from trainer.scenario.responses import responses_in
from trainer.scenario.values import WrongValueError
from trainer.scoring import expect
from trainer.terms import AlarmKind, Curve, Drive, Driver, Happening, Priority, Site


def test_a_gravity_line_keeps_its_opening_and_has_no_pump():
    line = bedside().line(1)
    assert (line.drive, line.opening, line.hung) == (Drive.GRAVITY, Fraction(1, 8), "bag")
    assert line.running_rate_ml_per_h is None


def test_a_syringe_line_is_its_tubing_below_alone():
    line = bedside().line(2)
    assert (line.drive, line.below_ml) == (Drive.SYRINGE, Fraction("1.2"))
    assert line.chamber_ml == line.above_ml == line.port_ml == 0
    assert (line.battery_ms, line.plugged_in) == (2_400_000, False)


def test_a_supply_keeps_its_size_and_its_overfill():
    scenario = bedside()
    assert scenario.supply("bag").overfill_ml == 15
    assert scenario.supply("syringe").size_ml == 50


def test_a_sign_is_written_plainly_or_with_how_it_is_measured():
    signs = {sign.name: sign for sign in bedside().patient.signs}
    assert (signs["heart rate"].value, signs["heart rate"].unit) == ("112", "/min")
    assert not signs["heart rate"].measured
    assert (signs["glucose"].value, signs["glucose"].unit) == ("7.5", "mmol/L")
    assert (signs["glucose"].measured, signs["glucose"].takes_ms) == (True, 300_000)


def test_a_catheter_keeps_its_grade_and_its_height():
    hand, neck = bedside().patient.access
    assert (hand.site, hand.grade, hand.height_cm) == (Site.PHLEBITIS, 1, Fraction(0))
    assert neck.height_cm == -5


def test_what_drives_a_response_is_counted_in_the_unit_of_the_drugs_first_fluid():
    """1 mg in 50 mL is counted in mg, so 5 mcg/L is 0.005 mg/L."""
    pressure, heart, clotting = bedside().formulary.drugs[0].responses
    assert (pressure.most, pressure.half_at) == (Fraction(30), Fraction(5, 1000))
    assert (pressure.curve, pressure.driver) == (Curve.SATURATING, Driver.EFFECT_SITE)
    assert (pressure.steepness, pressure.lag_ms) == (2, 30_000)
    assert heart.most == -2_000  # -2 /min per mcg/L
    assert clotting.most == Fraction("1.6")


def test_the_authors_own_responses_name_a_drug_or_the_volume():
    (to_volume, heart), (to_drug, urine) = bedside().responses
    assert (to_volume, heart.most) == ("volume", Fraction(-1, 2))
    assert (to_drug, urine.driver, urine.half_at) == ("pressor", Driver.RATE, Fraction(1, 5000))


def test_a_limit_keeps_its_route_and_its_ages():
    limit = bedside().formulary.drugs[0].limits[0]
    assert limit.route == "peripheral"
    assert (limit.from_years, limit.below_years) == (Fraction(1), Fraction(16))


def test_circulation_and_what_must_not_meet_are_read():
    formulary = bedside().formulary
    assert formulary.circulation is not None
    assert formulary.circulation.half_life_ms == 1_800_000
    assert formulary.circulation.urine_share == Fraction(1, 5)
    (pair,) = formulary.incompatible
    assert (pair.first, pair.second, pair.blocks) == ("pressor", "saline", True)


def test_an_event_comes_with_a_sign_and_does_what_its_keys_say():
    (event,) = bedside().events
    assert (event.when.sign, event.when.above) == ("heart rate", Fraction("130.5"))
    done = {effect.happening: effect for effect in event.effects}
    assert done[Happening.LINE_NARROWS].resistance == Fraction(1, 2)
    assert done[Happening.SIGN_DRIFTS].half_ms == 600_000
    assert done[Happening.ARM_MOVES].height_cm == -20
    assert done[Happening.VEIN_PRESSURE_CHANGES].pressure_mmhg == 12
    assert (done[Happening.SITE_CHANGES].site, done[Happening.SITE_CHANGES].grade) == (
        Site.INFILTRATED,
        2,
    )


@pytest.mark.parametrize(
    ("written", "number"), [("alert", 0), ("voice", 1), ("pain", 2), ("unresponsive", 3)]
)
def test_consciousness_is_counted_from_its_best_state(written: str, number: int):
    text = changed(
        BEDSIDE, "sign: heart rate, above: 130.5 /min", f"sign: consciousness, above: {written}"
    )
    assert bedside(text).events[0].when.above == number


def test_hydraulics_are_read_and_what_is_left_out_is_as_the_model_has_it():
    hydraulics = load_policy(WARD, "p.yaml").hydraulics
    assert hydraulics.container_height_cm == 80
    assert hydraulics.set_resistance == Fraction("0.02")
    assert hydraulics.catheter_flow == ((22, Fraction(45)), (24, Fraction(20)))
    assert [int(one) for one in hydraulics.grades_ml] == [0, 4, 16, 40]
    assert hydraulics.syringes[1] == SyringeSize(
        size_ml=Fraction(10), compliance_ul_per_mmhg=Fraction("0.48"), slack_ml=Fraction("0.08")
    )
    assert hydraulics.clamp_resistance == Hydraulics().clamp_resistance


def test_a_policy_without_hydraulics_has_the_models():
    assert load_policy(POLICY, "p.yaml").hydraulics == Hydraulics()


def test_pump_rules_that_a_policy_leaves_out_are_the_models():
    pump = load_policy(POLICY, "p.yaml").pump
    left_out = [one.name for one in fields(PumpRules) if one.default is not one.default_factory]
    assert "battery_ms" in left_out
    for one in fields(PumpRules):
        if one.name in left_out:
            assert getattr(pump, one.name) == one.default, one.name


def test_alarms_about_set_and_power_need_no_priority():
    priorities = dict(load_policy(POLICY, "p.yaml").priorities)
    assert set(priorities) == set(AlarmKind)
    assert priorities[AlarmKind.BATTERY_DEPLETED] is Priority.HIGH
    own = load_policy(f"{POLICY}  power lost: medium\n", "p.yaml")
    assert dict(own.priorities)[AlarmKind.POWER_LOST] is Priority.MEDIUM


def test_a_drip_rate_is_computed_for_a_gravity_line():
    """gtt/min = mL/h x gtt/mL / 60: 60 mL/h with 20 gtt/mL are 20 gtt/min."""
    key = expect.key(expect.keys(bedside()), "drip", "drip_rate")
    assert key is not None
    assert (key.value, key.unit) == (Fraction(20), "gtt/min")
    assert key.chain is not None


def test_no_drip_rate_is_computed_where_no_drops_are_counted():
    assert expect.key(expect.keys(loaded()), "maintenance", "drip_rate") is None
    assert expect.key(expect.keys(bedside()), "pressor", "drip_rate") is None


@pytest.mark.parametrize(
    ("read", "written", "value"),
    [
        (hydraulic_values.read_height, "0.9 m", 90),
        (hydraulic_values.read_height, "-20 cm", -20),
        (hydraulic_values.read_resistance, "0.012 mmHg per mL/h", Fraction("0.012")),
        (hydraulic_values.read_flow, "1.2 L/h", 20),
        (hydraulic_values.read_give, "0.5 mL/mmHg", Fraction(1, 2)),
        (hydraulic_values.read_any_pressure, "0 mmHg", 0),
        (hydraulic_values.read_share, "100 %", 1),
        (hydraulic_values.read_opening, "0 %", 0),
        (response_values.read_size, "-3 mmol/L", response_values.Size(Fraction(-3), "mmol/L", None)),
        (response_values.read_threshold, "3.5 mmol/L", response_values.Threshold(Fraction("3.5"), "mmol/L")),
    ],
)  # fmt: skip
def test_a_value_is_read_exactly(read, written, value):
    assert read(written) == value


@pytest.mark.parametrize(
    ("read", "written"),
    [
        (hydraulic_values.read_height, "1 mm and a bit"),
        (hydraulic_values.read_height, "0.01 mm"),
        (hydraulic_values.read_height_above, "0 cm"),
        (hydraulic_values.read_resistance, "0 mmHg per mL/h"),
        (hydraulic_values.read_resistance, "12 mmHg"),
        (hydraulic_values.read_share, "101 %"),
        (response_values.read_size, "per mL/kg"),
        (response_values.read_size, "3 /min per stone"),
        (response_values.read_driving, "-3 mcg/L"),
        (response_values.read_threshold, "1,5 mmol/L"),
    ],
)
def test_a_value_that_cannot_be_meant_is_refused(read, written):
    with pytest.raises(WrongValueError) as caught:
        read(written)
    assert caught.value.what
    assert caught.value.mend


def test_a_response_to_a_drug_that_no_fluid_holds_is_told():
    text = changed(DRUGS, ", drug: pressor, strength: 1 mg in 50 mL", "")
    told = faults(changed(BEDSIDE, "    dose: 0.1 mcg/kg/min", "    rate: 3 mL/h"), formulary=text)
    assert told == [
        "s.yaml:82:10: no fluid holds `pressor`; name a drug that is in a fluid of the formulary",
        "f.yaml:17:5: no fluid holds `pressor`, so nothing says in which unit it is counted; "
        "add a fluid with this drug",
    ]


OWN = """\
    half_life: 2 min
    distribution: 0.1 L/kg
    effect_site: 1 min
    vesicant: true
"""


def with_behaviour(keys: str) -> Drug:
    """The pressor of that behaviour, with the keys that stand beside it."""
    before, rest = DRUGS.split(OWN)
    end = rest.index("    responses:"), rest.index("    source: invented\ncirculation")
    text = f"{before}    behaviour: vasopressor\n{keys}{rest[: end[0]]}{rest[end[1] :]}"
    return load_formulary(text, "f.yaml").drugs[0]


def test_a_ready_behaviour_is_taken_in_the_unit_of_this_formulary():
    """Written in mcg/L; the syringe holds mg, so a thousandth of it is in mg/L."""
    drug, ready = with_behaviour(""), behaviours.named("vasopressor")
    assert drug.behaviour == "vasopressor"
    assert (drug.half_life_ms, drug.volume_l_per_kg) == (ready.half_life_ms, ready.volume_l_per_kg)
    assert [one.most for one in drug.responses] == [one.most for one in ready.responses]
    assert [one.half_at * 1_000 for one in drug.responses] == [
        one.half_at for one in ready.responses
    ]


def test_a_key_beside_a_behaviour_takes_the_place_of_that_key_alone():
    ready = with_behaviour("")
    changed_one = with_behaviour("    half_life: 5 min\n    effect_site: 2 min\n")
    assert (changed_one.half_life_ms, changed_one.effect_site_half_ms) == (300_000, 120_000)
    assert changed_one.volume_l_per_kg == ready.volume_l_per_kg
    assert changed_one.responses == ready.responses
    own = "    responses: [{sign: heart rate, most: -2 /min per mcg/L, source: invented}]\n"
    assert [one.most for one in with_behaviour(own).responses] == [-2_000]


def test_a_ready_behaviour_counted_in_another_unit_does_the_same():
    """What a linear or exponential response gives for a level is the same in every unit."""
    opioid = behaviours.named("opioid")
    (mg, *_), (mcg, *_) = responses_in(opioid, "mg"), responses_in(opioid, "mcg")
    assert mcg == opioid.responses[0]
    assert mg.most / 1_000 == mcg.most


def test_the_circulation_differs_from_the_ready_one_by_the_keys_written():
    ready = behaviours.circulation()
    text = (
        DRUGS[: DRUGS.index("circulation:")]
        + "circulation: {behaviour: crystalloid, urine_share: 0 %}\n"
    )
    circulation = load_formulary(text, "f.yaml").circulation
    assert circulation == replace(ready, urine_share=Fraction(0))
