"""Finding scenario files, and saying what is wrong with a folder."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tests.unit.live.ward_folder import NIGHT, a_folder
from trainer.errors import ScenarioError, ScenarioNotFound
from trainer.live.library import Library, read_source


def test_every_scenario_of_a_folder_is_listed_in_order(tmp_path):
    shelf = Library((a_folder(tmp_path, "one", "two"),)).shelf()
    assert [(one.id, one.faults) for one in shelf.listings] == [("one", ()), ("two", ())]
    assert shelf.faults == ()


def test_policies_and_formularies_are_no_scenarios(tmp_path):
    shelf = Library((a_folder(tmp_path, "one"),)).shelf()
    assert [one.path.name for one in shelf.listings] == ["one.yaml"]


def test_a_broken_file_does_not_hide_the_others(tmp_path):
    folder = a_folder(tmp_path, "one")
    (folder / "broken.yaml").write_text("format: 1\nid: [\n")
    (folder / "latin.yaml").write_bytes("title: Fl\xfcssigkeit".encode("latin-1"))
    broken, latin, one = Library((folder,)).shelf().listings
    assert one.id == "one"
    assert one.scenario is not None
    assert (broken.id, broken.scenario) == ("broken", None)
    assert broken.faults[0].path == str(folder / "broken.yaml")
    assert "UTF-8" in str(latin.faults[0])


def test_a_file_that_is_mended_is_read_again(tmp_path):
    folder = a_folder(tmp_path)
    path = folder / "one.yaml"
    path.write_text("format: 1\n")
    library = Library((folder,))
    assert library.shelf().listings[0].faults
    path.write_text(NIGHT.format(id="one"))
    assert library.find("one").faults == ()


def hub_scrub_s(library: Library, name: str) -> object:
    scenario = library.find(name).scenario
    assert scenario is not None
    return scenario.policy.hub_scrub_s


def test_a_scenario_is_read_again_when_its_policy_changes(tmp_path):
    folder = a_folder(tmp_path, "one")
    library = Library((folder,))
    before = library.find("one")
    assert library.find("one") is before
    policy = folder / "policies" / "alder-ward.yaml"
    policy.write_text(policy.read_text().replace("hub_scrub: 15 s", "hub_scrub: 30 s"))
    assert hub_scrub_s(library, "one") == 30


def test_the_nearest_policy_counts(tmp_path):
    folder = a_folder(tmp_path)
    inner = folder / "night" / "policies"
    inner.mkdir(parents=True)
    shipped = (folder / "policies" / "alder-ward.yaml").read_text()
    (inner / "alder-ward.yaml").write_text(shipped.replace("15 s", "20 s", 1))
    (folder / "night" / "one.yaml").write_text(NIGHT.format(id="one"))
    assert hub_scrub_s(Library((folder,)), "one") == 20


def test_a_policy_that_is_nowhere_is_named(tmp_path):
    folder = a_folder(tmp_path, "one")
    path = folder / "one.yaml"
    path.write_text(path.read_text().replace("policy: alder-ward", "policy: elm-ward"))
    with pytest.raises(ScenarioError, match=r"policies/elm-ward\.yaml; write it") as caught:
        Library((folder,)).find("one")
    written = path.read_text().splitlines()
    fault = caught.value.faults[0]
    assert written[fault.line - 1][fault.column - 1 :] == "elm-ward"


def test_a_pipe_in_the_folder_is_told_and_not_waited_for(tmp_path):
    folder = a_folder(tmp_path, "one")
    os.mkfifo(folder / "pipe.yaml")
    one, pipe = Library((folder,)).shelf().listings
    assert one.faults == ()
    assert "no plain file" in pipe.faults[0].what


@pytest.mark.parametrize("name", ["../../secret", "/etc/hostname"])
def test_a_policys_name_does_not_lead_out_of_its_folder(tmp_path, name):
    folder = a_folder(tmp_path, "one")
    (tmp_path / "secret.yaml").write_text("the secret")
    path = folder / "one.yaml"
    path.write_text(path.read_text().replace("policy: alder-ward", f"policy: {name}"))
    with pytest.raises(ScenarioError):
        Library((folder,)).find("one")


def test_two_files_with_one_id_are_told(tmp_path):
    folder = a_folder(tmp_path, "one")
    (folder / "zwei.yaml").write_text(NIGHT.format(id="one"))
    first, second = Library((folder,)).shelf().listings
    assert first.faults == ()
    assert "the id 'one' is taken" in second.faults[0].what


def test_a_missing_folder_is_told_with_the_mend_and_the_others_are_listed(tmp_path):
    shelf = Library((tmp_path / "nowhere", a_folder(tmp_path, "one"))).shelf()
    assert [one.id for one in shelf.listings] == ["one"]
    assert str(shelf.faults[0]) == (
        f"{tmp_path}/nowhere: there is no such folder; name the folder that holds your scenarios"
    )


def test_a_file_in_the_place_of_a_folder_is_told(tmp_path):
    (tmp_path / "file").write_text("")
    assert "a file, not a folder" in Library((tmp_path / "file",)).shelf().faults[0].what


def test_a_folder_that_cannot_be_read_is_told(tmp_path, monkeypatch):
    folder = a_folder(tmp_path, "one")

    def refuse(path: str) -> None:
        raise PermissionError(13, "Permission denied", str(path))

    monkeypatch.setattr(os, "scandir", refuse)  # root, who runs some tests, may read everything
    assert "cannot be read" in Library((folder,)).shelf().faults[0].what


def test_a_file_that_vanishes_or_cannot_be_read_is_told(tmp_path):
    folder = a_folder(tmp_path, "one")
    (folder / "gone.yaml").symlink_to(tmp_path / "nothing.yaml")
    gone, _one = Library((folder,)).shelf().listings
    assert "cannot be read" in gone.faults[0].what


def test_an_unknown_scenario_is_told_with_those_that_are_there(tmp_path):
    with pytest.raises(ScenarioNotFound, match=r"no scenario 'three'.*there are: one"):
        Library((a_folder(tmp_path, "one"),)).find("three")


def test_one_file_can_be_read_by_its_path(tmp_path):
    source = read_source(a_folder(tmp_path, "one") / "one.yaml")
    assert Path(source.policy_path).name == "alder-ward.yaml"
