from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from uuid import uuid4

import pytest
from sqlalchemy import create_engine, text

from tests.unit.store.postgres import postgres_address
from trainer.store.database import normalised_address
from trainer.store.log import Log


@pytest.fixture(scope="session")
def postgres_cluster() -> Iterator[str]:
    with postgres_address() as address:
        yield address


@pytest.fixture
def postgres(postgres_cluster: str) -> Iterator[str]:
    """An address with an empty schema of its own."""
    schema = f"test_{uuid4().hex[:12]}"
    engine = create_engine(normalised_address(postgres_cluster))
    with engine.begin() as connection:
        connection.execute(text(f"CREATE SCHEMA {schema}"))
    joint = "&" if "?" in postgres_cluster else "?"
    yield f"{postgres_cluster}{joint}options=-csearch_path%3D{schema}"
    with engine.begin() as connection:
        connection.execute(text(f"DROP SCHEMA {schema} CASCADE"))
    engine.dispose()


@pytest.fixture
def sqlite(tmp_path: Path) -> str:
    return f"sqlite:///{tmp_path / 'trainer.sqlite'}"


@pytest.fixture(params=["sqlite", "in memory", "postgres"])
def address(request: pytest.FixtureRequest) -> str:
    """Each kind of database in turn."""
    if request.param == "in memory":
        return "sqlite://"
    return str(request.getfixturevalue(request.param))


@pytest.fixture
def log(address: str) -> Iterator[Log]:
    log = Log(address, patience_s=0.3)
    yield log
    log.close()


@pytest.fixture
def file_log(sqlite: str) -> Iterator[Log]:
    log = Log(sqlite, patience_s=0.3)
    yield log
    log.close()
