"""The plug is pulled in the middle of entry: every acknowledged reading is there afterwards."""

import random
import sqlite3
from pathlib import Path

from benches import Bench, run

ROUNDS = 4


def test_every_acknowledged_reading_survives_kill_9(own_record: dict[str, str]) -> None:
    chance = random.Random(20)
    run(own_record, "open")
    tried: dict[str, str] = {}
    acknowledged: dict[str, str] = {}
    for _ in range(ROUNDS):
        bench = Bench(own_record, "measure", "ana", "100000")
        assert bench.line()[0] == "ready"
        bench.go()
        wanted = chance.randint(3, 25)
        while wanted:
            word, uuid, typed = bench.line()
            (tried if word == "try" else acknowledged)[uuid] = typed.strip()
            wanted -= word == "ack"
        bench.kill()
        for word, uuid, typed in bench.rest():
            (tried if word == "try" else acknowledged)[uuid] = typed
        assert bench.process.returncode == -9
        on_record = readings(own_record)
        assert acknowledged.items() <= on_record.items()
        assert on_record.keys() <= tried.keys()
        assert len(tried) - len(on_record) <= ROUNDS
    if "DATABASE_URL" not in own_record:
        assert soundness(Path(own_record["CASTWORTHY_DATA"])) == ["ok"]


def readings(env: dict[str, str]) -> dict[str, str]:
    """What a fresh start finds, each with its row in the trail."""
    said = run(env, "count")
    found = {line[1]: line[2] for line in said if line[0] == "has"}
    assert said[-1] == ["trail", str(len(found))]
    return found


def soundness(folder: Path) -> list[str]:
    with sqlite3.connect(folder / "castworthy.sqlite3") as file:
        return [row[0] for row in file.execute("PRAGMA integrity_check")]
