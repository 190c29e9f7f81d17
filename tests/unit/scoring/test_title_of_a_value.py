"""A value's title says that it was right only where number and unit were."""

from __future__ import annotations

from tests.unit.scoring.test_entries import found


def test_a_right_value_is_called_right():
    (one,) = found("3.4 mL/h")
    assert one.title.endswith("worked out right: 3.4 mL/h")


def test_a_right_number_without_its_unit_is_not_called_right():
    value, _unit = sorted(found("3.4"), key=lambda one: len(one.id))
    assert value.title.endswith("worked out: 3.4; right: 3.4 mL/h")
