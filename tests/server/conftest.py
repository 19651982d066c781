"""Processes that work on a record of their own, on the disk or on the PostgreSQL under test."""

import os
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import quote
from uuid import uuid4

import pytest
from django.db import connection


@pytest.fixture
def own_record(tmp_path: Path) -> Iterator[dict[str, str]]:
    """The environment of a record nobody else uses."""
    env = {
        **os.environ,
        "CASTWORTHY_DATA": str(tmp_path / "record"),
        "DJANGO_SETTINGS_MODULE": "castworthy.server.settings",
    }
    if connection.vendor != "postgresql":
        env.pop("DATABASE_URL", None)
        yield env
        return
    name = f"castworthy_{uuid4().hex}"
    _on_server(f'CREATE DATABASE "{name}"')
    try:
        yield {**env, "DATABASE_URL": _address(name)}
    finally:
        _on_server(f'DROP DATABASE "{name}" WITH (FORCE)')


def _address(name: str) -> str:
    own = connection.settings_dict
    user = f"{quote(own['USER'])}:{quote(own['PASSWORD'])}"
    host, port = own["HOST"], own["PORT"] or 5432
    if host.startswith("/"):
        return f"postgres://{user}@{quote(host, safe='')}:{port}/{name}"
    return f"postgres://{user}@{host}:{port}/{name}"


def _on_server(statement: str) -> None:
    """Run one statement on the PostgreSQL server itself."""
    import psycopg

    own = connection.settings_dict
    with psycopg.connect(
        dbname="postgres",
        user=own["USER"],
        password=own["PASSWORD"],
        host=own["HOST"],
        port=own["PORT"] or None,
        autocommit=True,
    ) as server:
        server.execute(statement)
