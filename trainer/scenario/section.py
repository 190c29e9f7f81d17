"""What every group of keys in a file has in common: it is strict and knows its place.

For the sections of `schema` and `schema_ward`, and for `reading`, alone.
"""

from __future__ import annotations

from typing import ClassVar

from pydantic import BaseModel, ConfigDict, PrivateAttr

from trainer.scenario.places import Path


class Section(BaseModel):
    """A group of keys. Once read it knows where in the file it stands.

    Where `plain_key` is set, a plain value may stand for the whole group: it is that key.
    """

    model_config = ConfigDict(strict=True, extra="forbid")
    plain_key: ClassVar[str] = ""
    _place: Path = PrivateAttr(default=())

    @property
    def place(self) -> Path:
        """The path of this section in its document."""
        return self._place

    def stand(self, place: Path) -> None:
        """Remember the path of this section."""
        self._place = place
