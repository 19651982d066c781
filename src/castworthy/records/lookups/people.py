"""The shop and who works in it."""

from dataclasses import dataclass
from datetime import datetime

from castworthy.records.errors import NotOnRecord
from castworthy.records.models import Person, Role, Shop, ShowLength


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopFacts:
    """The shop as its papers and pages name it; all empty before the first run."""

    name: str = ""
    address: str = ""
    phone: str = ""
    currency: str = "$"
    warranty: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonFacts:
    """One account.  ``may_be_closed`` is False for the last owner with an open account."""

    id: int
    username: str
    full_name: str
    role: str
    role_title: str
    show_length: str
    active: bool
    last_sign_in: datetime | None
    may_be_closed: bool


ROLES: tuple[tuple[str, str], ...] = tuple((role.value, str(role.label)) for role in Role)
"""Value and title of every role, for a form."""
SHOW_LENGTHS: tuple[tuple[str, str], ...] = tuple((s.value, str(s.label)) for s in ShowLength)
"""Value and title of the units a person may read lengths in."""


def shop_exists() -> bool:
    """True once the first run made the shop and its owner."""
    return Shop.objects.exists()


def shop() -> ShopFacts:
    """The one shop of this record."""
    row = Shop.objects.first()
    if row is None:
        return ShopFacts()
    return ShopFacts(
        name=row.name,
        address=row.address,
        phone=row.phone,
        currency=row.currency,
        warranty=row.warranty,
    )


def people() -> tuple[PersonFacts, ...]:
    """Everybody with an account, open ones first, by name."""
    rows = Person.objects.order_by("-is_active", "full_name", "username")
    owners_count = sum(row.is_active and row.role == Role.OWNER for row in rows)
    return tuple(_facts(row, owners_count=owners_count) for row in rows)


def person(person_id: int) -> PersonFacts:
    """One account.

    Raises
    ------
    NotOnRecord
        If there is none of that number.

    """
    found = next((row for row in people() if row.id == person_id), None)
    if found is None:
        raise NotOnRecord("There is no such person on record.")
    return found


def person_named(username: str) -> PersonFacts:
    """One account by its sign-in name.

    Raises
    ------
    NotOnRecord
        If there is none of that name.

    """
    found = next((row for row in people() if row.username == username), None)
    if found is None:
        raise NotOnRecord(f"There is nobody with the sign-in name {username!r} on record.")
    return found


def _facts(row: Person, *, owners_count: int) -> PersonFacts:
    last_owner = row.is_active and row.role == Role.OWNER and owners_count == 1
    return PersonFacts(
        id=row.pk,
        username=row.username,
        full_name=row.full_name,
        role=row.role,
        role_title=str(Role(row.role).label),
        show_length=row.show_length,
        active=row.is_active,
        last_sign_in=row.last_login,
        may_be_closed=not last_owner,
    )
