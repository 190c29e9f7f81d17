"""`trainer rehearse`: what happened in a scripted run, and its marks."""

from __future__ import annotations

from typer.testing import CliRunner

from trainer.cli.app import app
from trainer.terms import TRAINING_NOTICE

MAINTENANCE = "maintenance-and-a-bent-line"


def rehearse(*words):
    return CliRunner().invoke(app, ["rehearse", MAINTENANCE, *words])


def test_the_model_is_run_and_what_happened_and_the_marks_are_printed():
    result = rehearse()
    assert result.exit_code == 0
    assert "! line 1: downstream occlusion, high priority" in result.output
    assert "critical and not done" not in result.output
    assert TRAINING_NOTICE in result.output


def test_a_named_mistake_is_run_and_told():
    result = rehearse("--conduct", "hub-not-scrubbed")
    assert "critical and not done: start.scrub-hub" in result.output


def test_every_seed_can_be_rehearsed_rightly():
    for seed in range(1, 4):
        assert "critical and not done" not in rehearse("--seed", str(seed)).output


def test_an_unknown_conduct_is_told_with_those_that_there_are():
    result = rehearse("--conduct", "nothing")
    assert "there is no conduct `nothing`; there are model, " in str(result.exception)
