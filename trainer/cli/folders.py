"""Where the trainer keeps its own things on this computer, and which database it uses."""

from __future__ import annotations

import os
import sys
import tempfile
from pathlib import Path

from trainer.errors import StoreUnavailable

FOLDER_NAME = "infusion-trainer"


def default_folder(platform: str = sys.platform) -> Path:
    """The folder for a program's own files, by each platform's convention."""
    home = Path.home()
    if platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA") or home / "AppData" / "Local") / FOLDER_NAME
    if platform == "darwin":
        return home / "Library" / "Application Support" / FOLDER_NAME
    return Path(os.environ.get("XDG_DATA_HOME") or home / ".local" / "share") / FOLDER_NAME


def _folder(named: Path | None) -> Path:
    return (named or default_folder()).expanduser().absolute()


def made_folder(named: Path | None) -> Path:
    """The folder that was named or the default one, made if missing, tried for writing.

    Raises:
        StoreUnavailable: if it cannot be made or written, with the mend.
    """
    folder = _folder(named)
    if folder.exists() and not folder.is_dir():
        raise StoreUnavailable(f"{folder} cannot be used, it is a file; name a folder with --data")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=folder) as trial:
            trial.write(b"can this be written?")
    except (NotADirectoryError, FileExistsError) as error:
        raise StoreUnavailable(
            f"the folder {folder} cannot be used, a file is in its way; name another one with --data"
        ) from error
    except OSError as error:
        raise StoreUnavailable(
            f"the folder {folder} cannot be used ({error.strerror}); make room or give yourself "
            "the right to write there, or name another one with --data"
        ) from error
    return folder


def database_address(named: Path | None) -> str:
    """DATABASE_URL if it is set, else the database file in the folder. Nothing is made."""
    from trainer.store.database import address_in

    return os.environ.get("DATABASE_URL") or address_in(_folder(named))
