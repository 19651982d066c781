"""Two people at one head: nothing is lost, and the second is told who was first."""

from benches import Bench, run

EACH = 40


def test_two_people_at_one_head_lose_nothing(own_record: dict[str, str]) -> None:
    run(own_record, "open")
    benches = [Bench(own_record, "measure", name, str(EACH)) for name in ("ana", "ben")]
    for bench in benches:
        assert bench.line()[0] == "ready"
    for bench in benches:
        bench.go()
    acknowledged = {line[1] for bench in benches for line in bench.rest() if line[0] == "ack"}
    said = run(own_record, "count")
    assert len(acknowledged) == 2 * EACH
    assert {line[1] for line in said if line[0] == "has"} == acknowledged
    assert said[-1] == ["trail", str(2 * EACH)]


def test_one_of_two_corrections_stands_and_the_other_is_told_by_whom(
    own_record: dict[str, str],
) -> None:
    run(own_record, "open")
    bench = Bench(own_record, "measure", "ana", "1")
    bench.line()
    bench.go()
    uuid = bench.rest()[0][1]
    benches = [Bench(own_record, "correct", name, uuid) for name in ("ana", "ben")]
    for bench in benches:
        assert bench.line()[0] == "ready"
    for bench in benches:
        bench.go()
    said = sorted(" ".join(bench.rest()[0]) for bench in benches)
    assert said[0] == f"ack {uuid}"
    assert said[1].startswith("refused Recession of valve 1A was already corrected to 0.04")
    assert " by Ana Reed at " in said[1] or " by Ben Ford at " in said[1]
