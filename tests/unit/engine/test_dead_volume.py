"""What lies between pump and vein: when a drug arrives, and what stays in the set."""

from fractions import Fraction

import pytest

from tests.build import HOUR, MINUTE, Bedside, a_ready_line, a_scenario
from trainer.engine.amounts import MOTES_PER_ML
from trainer.engine.view import residual
from trainer.terms import Verb


def a_drug_behind_plain_fluid(below_ml: str, **changes) -> Bedside:
    """Plain fluid in the tubing, a drug hung after it with nothing between."""
    line = a_ready_line(
        above_ml=Fraction(0),
        port_ml=Fraction(0),
        chamber_ml=Fraction(0),
        below_ml=Fraction(below_ml),
        hung_left_ml=Fraction(0),
        has_port=False,
        **changes,
    )
    bedside = Bedside(a_scenario(lines=(line,)))
    bedside.do(Verb.TAKE_DOWN, line="1", role="primary")
    bedside.do(Verb.CHOOSE, supply="small-bag")
    bedside.do(Verb.HANG, line="1", role="primary", supply="small-bag")
    bedside.do(Verb.SPIKE, line="1", role="primary")
    return bedside


@pytest.mark.parametrize(
    # Source: rows DEA-01 and DEA-04, plug flow through the dead volume: 60 V / Q minutes
    # (flows of a bench study of manifolds, the 1 mL is synthetic).
    ("rate", "published_min"),
    [("13", "4.615"), ("3", "20")],
)
def test_a_drug_reaches_the_vein_after_the_dead_volume(rate, published_min):
    bedside = a_drug_behind_plain_fluid("1")
    bedside.run(rate=rate, volume="40")
    bedside.wait(HOUR)
    (front,) = bedside.of_kind("FrontReachedVein")
    assert front.fluid == "sedative"
    assert abs(Fraction(front.at_ms, MINUTE) / Fraction(published_min) - 1) < Fraction(5, 1000)


def test_what_stays_in_the_set_is_counted_and_a_flush_delivers_what_lies_below_the_pump():
    bedside = a_drug_behind_plain_fluid("2")
    bedside.run(rate="100", volume="10")
    bedside.wait(HOUR // 10)
    bedside.do(Verb.STOP, line="1")
    assert dict(residual(bedside.state.line(1))) == {"sedative": 2 * MOTES_PER_ML}
    bedside.do(Verb.FLUSH, line="1", volume="5")
    assert dict(bedside.state.ledger.vein)["sedative"] == 10 * MOTES_PER_ML
    assert dict(residual(bedside.state.line(1))) == {"saline": 2 * MOTES_PER_ML}
