"""What every test may ask for: a shop, its people, a sheet, a head."""

import pytest
from django.conf import settings

from castworthy.records.models import Head, Person, Role
from factories import shop


@pytest.fixture(scope="session", autouse=True)
def _quick_and_apart(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Passwords hash quickly, photos land in a folder of the tests' own."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    settings.MEDIA_ROOT = tmp_path_factory.mktemp("media")


@pytest.fixture
def owner(db: None) -> Person:
    """The owner of a shop just opened."""
    return shop.open_shop()


@pytest.fixture
def machinist(owner: Person) -> Person:
    """Somebody at the bench."""
    return shop.hire(owner, name="Ana Reed", role=Role.MACHINIST)


@pytest.fixture
def viewer(owner: Person) -> Person:
    """Somebody who may look."""
    return shop.hire(owner, name="Vera Lock", role=Role.VIEWER)


@pytest.fixture
def sheet(owner: Person) -> str:
    """The code of a small sheet on record: two cylinders, four valves."""
    return shop.write_sheet(owner)


@pytest.fixture
def gauge(owner: Person) -> str:
    """The name of a depth gauge on record."""
    return shop.add_depth_gauge(owner)


@pytest.fixture
def head(owner: Person, sheet: str) -> Head:
    """A new casting just taken in, of the small sheet."""
    return shop.take_in(owner, code=sheet)
