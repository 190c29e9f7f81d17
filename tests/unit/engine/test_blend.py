"""Blends: ids that say what ran together, and that no fluid is lost in them."""

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from tests.build import a_scenario
from trainer.engine.amounts import MOTES_PER_ML
from trainer.engine.blend import (
    WHOLE,
    blended,
    holds,
    is_blend,
    largest_part,
    name_of,
    parts_of,
    pure,
    volumes_of,
)
from trainer.engine.confluence import Spring, parted, run_together
from trainer.engine.heads import Feeds
from trainer.engine.state import Plug
from trainer.engine.tubing import Plugs, filled_with, joined, volume_of
from trainer.terms import AIR, Role

MICROLITRE = MOTES_PER_ML // 1_000

FLUIDS = st.sampled_from(("glucose", "saline", "sedative"))
PARTS = st.lists(st.tuples(FLUIDS, st.integers(1, 10**13)), min_size=1, max_size=5)


def sums(plugs: Plugs) -> dict[str, int]:
    found: dict[str, int] = {}
    for plug in pure(plugs):
        found[plug.fluid] = found.get(plug.fluid, 0) + plug.volume
    return found


def test_a_pure_fluid_is_its_own_blend():
    assert parts_of("saline") == (("saline", WHOLE),)
    assert blended((("saline", 7), ("saline", 5))) == "saline"
    assert not is_blend("saline")


def test_only_the_proportion_counts_and_not_the_order():
    assert blended((("saline", 3), ("glucose", 1))) == blended((("glucose", 10), ("saline", 30)))


def test_the_largest_part_takes_what_rounding_leaves():
    assert dict(parts_of(blended((("a", 1), ("b", 1), ("c", 1))))) == {
        "a": 333_333_334,
        "b": 333_333_333,
        "c": 333_333_333,
    }


def test_a_blend_of_blends_names_pure_fluids_only():
    half = blended((("saline", 1), ("sedative", 1)))
    assert parts_of(blended(((half, 2), ("glucose", 2)))) == (
        ("glucose", 500_000_000),
        ("saline", 250_000_000),
        ("sedative", 250_000_000),
    )


def test_a_blend_knows_its_parts():
    blend = blended((("saline", 9), ("sedative", 1)))
    assert holds(blend, "sedative")
    assert holds(blend, "saline")
    assert not holds(blend, "glucose")
    assert largest_part(blend) == "saline"


def test_a_blend_is_told_by_the_names_and_shares_of_its_parts():
    scenario = a_scenario()
    blend = blended((("saline", 88), ("sedative", 12)))
    assert name_of(scenario, blend) == (
        "a mixture of 88 % sodium chloride 0.9 % and 12 % an invented sedative 2 mg/mL"
    )
    assert name_of(scenario, "saline") == "sodium chloride 0.9 %"
    assert name_of(scenario, AIR) == AIR
    little = blended((("saline", 10_000), ("sedative", 1)))
    assert "a trace of an invented sedative" in name_of(scenario, little)


@given(PARTS)
def test_the_shares_of_a_blend_sum_to_one(parts):
    blend = blended(parts)
    assert sum(share for _, share in parts_of(blend)) == WHOLE
    assert blended(((blend, 12_345),)) == blend


@given(PARTS)
def test_a_blend_closes_to_a_microlitre_for_each_fluid(parts):
    """Up to 14 L together: what goes in as one fluid comes out as that fluid again."""
    total = sum(volume for _, volume in parts)
    came_out = dict(volumes_of(blended(parts), total))
    went_in: dict[str, int] = {}
    for fluid, volume in parts:
        went_in[fluid] = went_in.get(fluid, 0) + volume
    assert sum(came_out.values()) == total
    for fluid, volume in went_in.items():
        assert abs(came_out.get(fluid, 0) - volume) <= max(MICROLITRE, 3 * total // WHOLE)


# --- running together ------------------------------------------------------------------

ML = MOTES_PER_ML
THREE_TO_ONE = Feeds(300_000, 100_000)


def come(primary: Plugs, secondary: Plugs, flows: Feeds, volume: int) -> Plugs:
    came: Plugs = ()
    stretches = run_together(
        Spring(primary, volume_of(primary)), Spring(secondary, volume_of(secondary)), flows, volume
    )
    for stretch in stretches:
        came = joined(came, filled_with(stretch.fluid, stretch.volume))
    return came


def test_two_flows_mix_in_the_proportion_of_their_rates():
    (plug,) = come((Plug("saline", 90 * ML),), (Plug("sedative", 30 * ML),), THREE_TO_ONE, 4 * ML)
    assert parts_of(plug.fluid) == (("saline", 750_000_000), ("sedative", 250_000_000))


def test_another_plug_in_one_tubing_makes_another_blend():
    primary = (Plug("saline", 3 * ML), Plug("glucose", 90 * ML))
    came = come(primary, (Plug("sedative", 30 * ML),), THREE_TO_ONE, 8 * ML)
    assert [volume_of((plug,)) for plug in came] == [4 * ML, 4 * ML]
    assert sums(came) == {"saline": 3 * ML, "glucose": 3 * ML, "sedative": 2 * ML}


def test_the_same_fluid_from_both_stays_pure():
    came = come((Plug("saline", 9 * ML),), (Plug("saline", 9 * ML),), THREE_TO_ONE, 4 * ML)
    assert came == (Plug("saline", 4 * ML),)


def test_an_inlet_that_is_empty_leaves_the_flow_to_the_other():
    came = come((Plug("saline", 90 * ML),), (Plug("sedative", ML),), THREE_TO_ONE, 6 * ML)
    assert [plug.volume for plug in came] == [4 * ML, 2 * ML]
    assert came[1].fluid == "saline"


def test_air_comes_alone_and_in_one_piece():
    """An unprimed secondary's air is not beaten into foam that no detector sees."""
    secondary = (Plug(AIR, 2 * ML), Plug("sedative", 30 * ML))
    came = come((Plug("saline", 90 * ML),), secondary, THREE_TO_ONE, 6 * ML)
    assert came[0] == Plug(AIR, 2 * ML)
    assert is_blend(came[1].fluid)


def test_air_comes_without_end_when_both_are_empty():
    came = come((Plug("saline", ML),), (Plug("sedative", ML),), THREE_TO_ONE, 5 * ML)
    assert came[-1] == Plug(AIR, 3 * ML)


PLUGS = st.lists(
    st.builds(Plug, st.sampled_from(("saline", "glucose", AIR)), st.integers(1, 5_000)),
    min_size=1,
    max_size=4,
).map(tuple)


@given(PLUGS, PLUGS, st.integers(1, 9), st.integers(1, 9), st.integers(1, 20_000), st.data())
def test_what_is_foreseen_for_longer_begins_with_what_comes_in_a_shorter_while(
    primary, secondary, first, second, volume, data
):
    shorter = data.draw(st.integers(1, volume))
    flows = Feeds(first, second)
    long = come(primary, secondary, flows, volume)
    short = come(primary, secondary, flows, shorter)
    flat = [plug.fluid for plug in long for _ in range(plug.volume)]
    assert [plug.fluid for plug in short for _ in range(plug.volume)] == flat[:shorter]


@given(PLUGS, PLUGS, st.integers(1, 9), st.integers(1, 9), st.integers(1, 20_000))
def test_the_first_volume_by_which_an_inlet_gave_so_much_is_the_first(
    primary, secondary, first, second, volume
):
    stretches = run_together(
        Spring(primary, volume_of(primary)),
        Spring(secondary, volume_of(secondary)),
        Feeds(first, second),
        volume,
    )
    for stretch in stretches:
        for role in Role:
            wanted = stretch.given(role, stretch.volume)
            if wanted:
                least = stretch.until(role, wanted)
                assert stretch.given(role, least) >= wanted > stretch.given(role, least - 1)


@given(PLUGS, st.integers(0, 7), st.integers(7, 9))
def test_parting_loses_nothing(plugs, down_share, whole):
    down, off = parted(plugs, down_share, whole)
    assert volume_of(down) + volume_of(off) == volume_of(plugs)
    assert volume_of(down) == volume_of(plugs) * down_share // whole
    for fluid, volume in sums(plugs).items():
        assert sums(down).get(fluid, 0) + sums(off).get(fluid, 0) == volume


def test_shares_are_exact_where_they_can_be():
    assert volumes_of(blended((("saline", 4), ("sedative", 1))), 5 * ML) == (
        ("saline", 4 * ML),
        ("sedative", ML),
    )
    assert Fraction(dict(parts_of(blended((("a", 1), ("b", 3)))))["a"], WHOLE) == Fraction(1, 4)
