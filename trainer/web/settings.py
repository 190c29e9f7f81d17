"""What can be set from outside, one table: name, default, meaning."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from trainer.paths import SCENARIOS


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """All that `create_app` needs to know.

    * `folder`: where the trainer keeps its own things: the database file, if none is
      named, and the secret that signs the learners' cookies. Made if it is missing.
    * `database_url`: empty for a SQLite file in `folder`.
    * `scenarios`: the folder that is searched for scenarios, policies and formularies.
    * `contents_visible`: whether the tubing's contents are drawn (practice) or not.
    * `cues_offered`: whether the bedside has a button for a cue; a test never has one.
    * `beat_s`: seconds between two signs of life on an idle stream.
    """

    folder: Path
    database_url: str = ""
    scenarios: Path = SCENARIOS
    contents_visible: bool = True
    cues_offered: bool = True
    beat_s: float = 15.0


MOST_BODY_BYTES = 65_536
"""A form is a few hundred bytes; anything larger is no form of ours. Chosen by us."""

MOST_FIELDS = 24
"""The largest form, the give sentence, has twelve fields. Chosen by us."""
