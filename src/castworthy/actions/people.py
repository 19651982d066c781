"""Deeds about the shop, its people and signing in."""

from datetime import datetime, timedelta

from django.contrib.auth import authenticate
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import IntegrityError

from castworthy.actions.deed import EVERYBODY, OWNERS, deed, now
from castworthy.actions.errors import DeedRefused
from castworthy.actions.texts import named, note_of, short
from castworthy.records.errors import printable
from castworthy.records.models import Person, Role, Shop, ShowLength, SignInAttempt

WINDOW = timedelta(minutes=15)
"""How long a failed try at signing in counts."""
FAILED_A_NAME_COUNT = 5
"""Failed tries for one name before it must wait."""
FAILED_AN_ADDRESS_COUNT = 20
"""Failed tries from one address before it must wait."""
_KEPT = timedelta(days=30)
_WRONG = "This name and password do not go together; check both, capitals count in the password."


def create_shop(
    *,
    shop_name: str,
    username: str,
    full_name: str,
    password: str,
    address: str = "",
    phone: str = "",
    currency: str = "$",
    warranty: str = "",
    show_length: str = ShowLength.THOU,
) -> Person:
    """Open the record on its first run: the shop and its first owner, who is answered.

    Raises
    ------
    DeedRefused
        If the shop exists already, a text is wrong, or the password is too weak.

    """
    try:
        with deed("shop opened", by=None) as told:
            if Shop.objects.exists():
                raise DeedRefused(
                    "This shop has an owner already; sign in, or ask the owner for an account.",
                    code="exists",
                )
            shop = Shop(pk=1)
            _fill_shop(
                shop,
                name=shop_name,
                address=address,
                phone=phone,
                currency=currency,
                warranty=warranty,
            )
            shop.save(force_insert=True)
            owner = _new_person(
                username=username,
                full_name=full_name,
                password=password,
                role=Role.OWNER,
                show_length=show_length,
            )
            told.by = owner
            told.about(subject=shop.name)
    except IntegrityError as error:
        raise DeedRefused(
            "Somebody else opened this shop a moment ago; sign in.", code="exists"
        ) from error
    return owner


def change_shop(
    *,
    name: str,
    address: str = "",
    phone: str = "",
    currency: str = "$",
    warranty: str = "",
    by: Person,
) -> None:
    """Change what pages and papers say of the shop.

    Raises
    ------
    DeedRefused
        If a text is wrong, or the person is no owner.

    """
    with deed("shop changed", by=by, may=OWNERS) as told:
        shop = Shop.objects.get()
        _fill_shop(
            shop, name=name, address=address, phone=phone, currency=currency, warranty=warranty
        )
        shop.save()
        told.about(subject=shop.name)


def add_person(
    *,
    username: str,
    full_name: str,
    password: str,
    role: str = Role.MACHINIST,
    show_length: str = ShowLength.THOU,
    by: Person,
) -> Person:
    """Make an account.

    Raises
    ------
    DeedRefused
        If the name is taken, a text is wrong, or the password is too weak.

    """
    with deed("person added", by=by, may=OWNERS) as told:
        person = _new_person(
            username=username,
            full_name=full_name,
            password=password,
            role=role,
            show_length=show_length,
        )
        told.about(subject=str(person), username=person.username, role=person.role)
    return person


def change_person(
    *, person_id: int, full_name: str, role: str, active: bool = True, by: Person
) -> Person:
    """Change somebody's name or role, or close the account; the last owner stays one.

    Raises
    ------
    DeedRefused
        If no owner would be left, or a text is wrong.

    """
    with deed("person changed", by=by, may=OWNERS) as told:
        person = _person(person_id)
        person.full_name = named(full_name, field="full_name", what="The full name", longest=80)
        person.role = _role(role)
        person.is_active = active
        others = Person.objects.filter(role=Role.OWNER, is_active=True).exclude(pk=person.pk)
        if not (active and person.role == Role.OWNER) and not others.exists():
            raise DeedRefused(
                f"{person} is the only owner; make somebody else an owner first.", field="role"
            )
        person.save(update_fields=("full_name", "role", "is_active"))
        told.about(subject=str(person), role=person.role, active=active)
    return person


def set_password(*, person_id: int, password: str, old_password: str = "", by: Person) -> Person:
    """Set a password: one's own with the old one, anybody's as an owner.

    The person's other sessions end; keep one's own with Django's ``update_session_auth_hash``.

    Raises
    ------
    DeedRefused
        If the old password is wrong, the new one too weak, or the account is another's.

    """
    own = by.pk == person_id
    with deed("password set", by=by, may=EVERYBODY if own else OWNERS) as told:
        person = _person(person_id)
        if own and not person.check_password(old_password):
            raise DeedRefused(
                "The old password is wrong; type it again, or ask an owner to set a new one.",
                field="old_password",
            )
        _set_password(person, password)
        person.save(update_fields=("password",))
        told.about(subject=str(person))
    return person


def change_units(*, show_length: str, by: Person) -> None:
    """Change the units this person reads lengths in.

    Raises
    ------
    DeedRefused
        If they are none of thou, in and mm.

    """
    with deed("units changed", by=by, may=EVERYBODY) as told:
        by.show_length = _show_length(show_length)
        by.save(update_fields=("show_length",))
        told.about(subject=str(by), show_length=by.show_length)


def sign_in(*, name: str, password: str, address: str) -> Person:
    """The person of this name and password.

    Unknown names are answered like wrong passwords, in wording and in time.  Hand the answer to
    ``django.contrib.auth.login``.

    Raises
    ------
    DeedRefused
        If they do not go together, or there were too many tries.

    """
    wait = sign_in_allowed(name=name, address=address)
    if wait:
        raise DeedRefused(wait, code="wait")
    found = authenticate(username=_login(name), password=password)
    person = found if isinstance(found, Person) else None
    record_sign_in(name=name, address=address, person=person)
    if person is None:
        raise DeedRefused(_WRONG, field="password", code="wrong")
    return person


def sign_in_allowed(*, name: str, address: str) -> str:
    """Empty when a try may be made now, else the sentence that says how long to wait.

    A question, not a deed: it leaves no row.
    """
    since = now() - WINDOW
    failed = SignInAttempt.objects.filter(at__gt=since, succeeded=False).order_by("-at")
    by_name = failed.filter(name=_login(name))
    last = SignInAttempt.objects.filter(name=_login(name), succeeded=True).order_by("-at").first()
    if last is not None:
        by_name = by_name.filter(at__gt=last.at)
    waits = [
        _wait(tuple(rows.values_list("at", flat=True)[:most]), most=most)
        for rows, most in (
            (by_name, FAILED_A_NAME_COUNT),
            (failed.filter(address=address[:45]), FAILED_AN_ADDRESS_COUNT),
        )
    ]
    minutes = max(waits)
    if not minutes:
        return ""
    named_minutes = "a minute" if minutes == 1 else f"{minutes} minutes"
    return f"Too many tries; wait {named_minutes}, or ask an owner to set a new password."


def owner_named(login: str) -> Person:
    """The owner of that sign-in name, the first owner for an empty one; for the command line.

    A question, not a deed: it leaves no row.

    Raises
    ------
    DeedRefused
        If there is none.

    """
    owners = Person.objects.filter(role=Role.OWNER, is_active=True).order_by("id")
    owner = (owners.filter(username=_login(login)) if login else owners).first()
    if owner is None:
        raise DeedRefused(
            f"There is no owner {login!r} on record; name one with --by."
            if login
            else "This record has no owner yet; open the shop with castworthy serve first."
        )
    return owner


def record_sign_in(*, name: str, address: str, person: Person | None) -> None:
    """Keep one try at signing in; ``person`` is ``None`` for a failed one."""
    with deed("signed in" if person else "sign-in refused", by=None) as told:
        login = _login(name)
        SignInAttempt.objects.create(
            name=login, address=address[:45], at=told.at, succeeded=person is not None
        )
        SignInAttempt.objects.filter(at__lt=told.at - _KEPT).delete()
        told.by = person
        told.about(subject=login, address=address[:45])


def _wait(failed: tuple[datetime, ...], *, most: int) -> int:
    """Minutes until the oldest of the last ``most`` failed tries no longer counts."""
    if len(failed) < most:
        return 0
    left = failed[-1] + WINDOW - now()
    return max(1, -(-int(left.total_seconds()) // 60))


def _login(name: str) -> str:
    return Person.normalize_username(printable(name).strip().casefold())[:150]


def _new_person(
    *, username: str, full_name: str, password: str, role: str, show_length: str
) -> Person:
    person = Person(
        username=_login(named(username, field="username", what="The sign-in name", longest=150)),
        full_name=named(full_name, field="full_name", what="The full name", longest=80),
        role=_role(role),
        show_length=_show_length(show_length),
    )
    try:
        person.clean_fields(exclude=("password",))
    except ValidationError as error:
        raise DeedRefused(
            "The sign-in name may hold letters, digits and . @ + - _ only.", field="username"
        ) from error
    if Person.objects.filter(username=person.username).exists():
        raise DeedRefused(
            f"The sign-in name {person.username} is taken; choose another.", field="username"
        )
    _set_password(person, password)
    person.save()
    return person


def _person(person_id: int) -> Person:
    person = Person.objects.select_for_update().filter(pk=person_id).first()
    if person is None:
        raise DeedRefused("There is no such person on record.", code="unknown")
    return person


def _set_password(person: Person, password: str) -> None:
    try:
        validate_password(password, user=person)
    except ValidationError as error:
        raise DeedRefused(" ".join(error.messages), field="password") from error
    person.set_password(password)


def _role(role: str) -> Role:
    if role not in Role.values:
        raise DeedRefused(f"{role!r} is no role; choose owner, machinist or viewer.", field="role")
    return Role(role)


def _show_length(show_length: str) -> ShowLength:
    if show_length not in ShowLength.values:
        raise DeedRefused(
            f"Lengths are shown in thou, in or mm, not {show_length!r}.", field="show_length"
        )
    return ShowLength(show_length)


def _fill_shop(
    shop: Shop, *, name: str, address: str, phone: str, currency: str, warranty: str
) -> None:
    shop.name = named(name, field="shop_name", what="The shop's name", longest=80)
    shop.address = note_of(address, field="address", what="The address")
    shop.phone = short(phone, field="phone", what="The telephone number", longest=40)
    shop.currency = named(currency, field="currency", what="The currency", longest=3)
    shop.warranty = note_of(warranty, field="warranty", what="The warranty")
