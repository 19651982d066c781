"""What every test may ask for: a shop, its people, a sheet, a head.

The deeds are loaded by the fixtures that need them, so that tests of calc, charts and reports
stand on their own.
"""

import os
from typing import TYPE_CHECKING

import hypothesis
import pytest
from django.conf import settings

if TYPE_CHECKING:
    from castworthy.records.models import Head, Person

hypothesis.settings.register_profile(
    "castworthy",
    deadline=None,
    derandomize="CASTWORTHY_EXPLORE" not in os.environ,
    suppress_health_check=[hypothesis.HealthCheck.too_slow],
)
hypothesis.settings.load_profile("castworthy")


@pytest.fixture(scope="session", autouse=True)
def _quick_and_apart(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Passwords hash quickly, photos land in a folder of the tests' own."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    settings.MEDIA_ROOT = tmp_path_factory.mktemp("media")


@pytest.fixture
def owner(db: None) -> "Person":
    """The owner of a shop just opened."""
    from factories import shop

    return shop.open_shop()


@pytest.fixture
def machinist(owner: "Person") -> "Person":
    """Somebody at the bench."""
    from factories import shop

    return shop.hire(owner, name="Ana Reed", role="machinist")


@pytest.fixture
def viewer(owner: "Person") -> "Person":
    """Somebody who may look."""
    from factories import shop

    return shop.hire(owner, name="Vera Lock", role="viewer")


@pytest.fixture
def sheet(owner: "Person") -> str:
    """The code of a small sheet on record: two cylinders, four valves."""
    from factories import shop

    return shop.write_sheet(owner)


@pytest.fixture
def gauge(owner: "Person") -> str:
    """The name of a depth gauge on record."""
    from factories import shop

    return shop.add_depth_gauge(owner)


@pytest.fixture
def head(owner: "Person", sheet: str) -> "Head":
    """A new casting just taken in, of the small sheet."""
    from factories import shop

    return shop.take_in(owner, code=sheet)
