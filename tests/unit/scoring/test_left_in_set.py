"""What of a dose lies in the tubing is told when its volume is complete, and at the end."""

from tests.rehearsed import report_of as reported


def told(name: str, conduct: str) -> str:
    return " ".join(reported(name, conduct).also)


def test_a_secondary_dose_leaves_what_fills_the_line_and_its_own_tubing():
    # 3 mL below the pump, 5 mL from port to pump, 7 mL and a chamber of 6 mL of its own
    words = told("antibiotic-and-air", "model")
    assert "21 mL of it" in words
    assert "still lay in the tubing" in words


def test_the_primary_carries_in_what_lay_between_port_and_vein():
    # 13 mL stay in the secondary's own tubing and chamber
    assert "At the end 13 mL lay there." in told("antibiotic-and-air", "model")


def test_plain_fluid_that_fills_a_line_is_no_dose_left_behind():
    assert "still lay" not in told("bolus-and-a-dry-bag", "model")
