"""A bench of its own process, for tests that pull its plug or set two at one head.

``open`` makes the shop and its head; ``measure SIGN-IN`` records readings without end and says
``ack UUID TYPED`` once each is acknowledged; ``correct SIGN-IN UUID`` corrects one reading when
a line comes in; ``count`` says what is on record.
"""

import itertools
import os
import sys
from pathlib import Path
from uuid import uuid4

from castworthy.server.start import prepare

TAG = "F2-0001"


def say(*words: object) -> None:
    sys.stdout.write(" ".join(str(word) for word in words) + "\n")
    sys.stdout.flush()


def open_record() -> None:
    from factories import shop

    owner = shop.open_shop()
    shop.hire(owner, name="Ana Reed", role="machinist")
    shop.hire(owner, name="Ben Ford", role="machinist")
    shop.take_in(owner, code=shop.write_sheet(owner), tag=TAG)


def measure(sign_in: str, most: str) -> None:
    from castworthy.records.models import Person
    from factories import shop

    by = Person.objects.get(username=sign_in)
    say("ready", os.getpid())
    sys.stdin.readline()
    for number, place in enumerate(itertools.cycle(("1A", "1B", "2A", "2B"))):
        if number >= int(most):
            return
        uuid, typed = uuid4(), f"0.039{number % 10} in"
        say("try", uuid, typed)
        shop.kept(TAG, "recession", place, typed, by=by, uuid=uuid)
        say("ack", uuid, typed)


def correct(sign_in: str, uuid: str) -> None:
    from castworthy.actions.errors import DeedRefused
    from castworthy.records.models import Person, Reading
    from factories import shop

    by = Person.objects.get(username=sign_in)
    place = Reading.objects.get(uuid=uuid).place
    say("ready", os.getpid())
    sys.stdin.readline()
    try:
        shop.kept(TAG, "recession", place, f"0.04{os.getpid() % 10} in", by=by, replaces=uuid)
    except DeedRefused as refusal:
        say("refused", refusal.sentence)
    else:
        say("ack", uuid)


def count() -> None:
    from castworthy.records.models import Reading, Trail

    for uuid, typed in Reading.objects.values_list("uuid", "typed"):
        say("has", uuid, typed)
    say("trail", Trail.objects.filter(deed__startswith="reading").count())


if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[1]))
    prepare()
    {"open": open_record, "measure": measure, "correct": correct, "count": count}[sys.argv[1]](
        *sys.argv[2:]
    )
