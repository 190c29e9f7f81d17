"""A PostgreSQL database for tests: the one that is named, or a throwaway cluster.

`TRAINER_TEST_POSTGRES` names one. Otherwise a cluster is made in a temporary folder if
PostgreSQL's programs are installed. With neither, the tests are skipped, unless
`TRAINER_REQUIRE_ALL=1`: then they fail.
"""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest


@contextmanager
def postgres_address() -> Iterator[str]:
    """The address of a database that may be written."""
    named = os.environ.get("TRAINER_TEST_POSTGRES", "")
    programs = _programs()
    if named:
        yield named
    elif programs is not None:
        with _cluster(programs) as address:
            yield address
    else:
        _missing("PostgreSQL is not installed and TRAINER_TEST_POSTGRES names no database")


def _missing(reason: str) -> None:
    if os.environ.get("TRAINER_REQUIRE_ALL") == "1":
        pytest.fail(reason)
    pytest.skip(reason)


def _programs() -> Path | None:
    """The newest installed folder of PostgreSQL's programs."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    on_path = shutil.which("initdb")
    return found[-1].parent if found else Path(on_path).parent if on_path else None


@contextmanager
def _cluster(programs: Path) -> Iterator[str]:
    place = Path(tempfile.mkdtemp(prefix="pg"))
    try:
        owner = _unprivileged()
        if owner:
            account = pwd.getpwnam(owner)
            os.chown(place, account.pw_uid, account.pw_gid)
        folder, log = str(place / "cluster"), str(place / "server.log")
        _run(owner, programs / "initdb", "-D", folder, "-U", "trainer", "-A", "trust", "-N")
        options = f"-k {place} -c listen_addresses='' -c fsync=off"
        _run(owner, programs / "pg_ctl", "-D", folder, "-l", log, "-w", "-o", options, "start")
        try:
            yield f"postgresql://trainer@/postgres?host={place}"
        finally:
            _run(owner, programs / "pg_ctl", "-D", folder, "-m", "immediate", "stop")
    finally:
        shutil.rmtree(place, ignore_errors=True)


def _unprivileged() -> str:
    """Whose rights the server runs with: PostgreSQL refuses to run as root."""
    if os.geteuid() != 0:
        return ""
    names = {entry.pw_name for entry in pwd.getpwall()}
    return "postgres" if "postgres" in names else "nobody"


def _run(owner: str, *command: object) -> None:
    words = [str(word) for word in command]
    whole = ["runuser", "-u", owner, "--", *words] if owner else words
    done = subprocess.run(whole, cwd="/", stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    assert done.returncode == 0, f"{words[0]} failed"
