"""Traces taken in, judged together, set aside.

Ra of the traces is known from the geometry of their cusps (f^2 / (18 sqrt(3) r)).
"""

import pytest

from castworthy.actions import heads, plans, work
from castworthy.actions.errors import DeedRefused
from castworthy.actions.traces import CutWith, TraceUpload, add_traces, set_trace_aside
from castworthy.calc.quantity import Quantity
from castworthy.records.lookups.finish import finish_page
from castworthy.records.models import Head, Person, Plan, Reading, Trace
from castworthy.records.standing import standing_of
from factories import shop
from factories.sheet_texts import SMALL
from factories.traces import cusps, ideal_ra_um

GASKETS = """
[[gasket]]
name = "steel"
title = "multi-layer steel"
ra_low = "15 uin"
ra_high = "25 uin"

[[gasket]]
name = "soft"
title = "soft-faced"
ra_low = "30 uin"
ra_high = "60 uin"
"""


def upload(feed_mm: float, name: str = "deck.csv", **more: float) -> TraceUpload:
    return TraceUpload(name=name, content=cusps(feed_mm, **more))


def finish_of(tag: str):
    return standing_of(tag).by_spot[Quantity.FINISH_RA, ""]


@pytest.fixture
def gasketed(owner: Person) -> Head:
    """A head whose sheet names two gaskets."""
    code = shop.write_sheet(owner, text=SMALL + GASKETS)
    return shop.take_in(owner, code=code)


class TestTaking:
    def test_one_trace_is_the_finish(self, head: Head, machinist: Person) -> None:
        taken = add_traces(tag=head.tag, files=[upload(0.15)], by=machinist)
        finish = finish_of(head.tag)
        assert taken.kept_count == 1
        assert finish.value == pytest.approx(ideal_ra_um(0.15), rel=0.02)
        assert finish.u is not None

    def test_the_worst_of_several_decides_and_the_first_stays_on_record(
        self, gasketed: Head, machinist: Person
    ) -> None:
        for feed_mm in (0.11, 0.16, 0.12):
            add_traces(tag=gasketed.tag, files=[upload(feed_mm, f"{feed_mm}.csv")], by=machinist)
        finish = finish_of(gasketed.tag)
        assert finish.value == pytest.approx(ideal_ra_um(0.16), rel=0.04)
        assert finish.verdict == "outside"
        assert len(finish.history) == 3
        assert len(finish.current) == 1

    def test_traces_take_the_place_of_a_typed_figure(self, head: Head, machinist: Person) -> None:
        shop.kept(head.tag, "finish_ra", "", "90 uin", by=machinist)
        add_traces(tag=head.tag, files=[upload(0.15)], by=machinist)
        assert finish_of(head.tag).value == pytest.approx(ideal_ra_um(0.15), rel=0.02)

    def test_the_same_file_is_kept_once(self, head: Head, machinist: Person) -> None:
        for _ in range(2):
            taken = add_traces(tag=head.tag, files=[upload(0.15)], by=machinist)
        assert taken.kept_count == 0
        assert Trace.objects.count() == 1
        assert Reading.objects.count() == 1

    def test_a_bad_file_is_named_and_the_others_are_kept(
        self, head: Head, machinist: Person
    ) -> None:
        bad = TraceUpload(name="letter.pdf", content=b"%PDF-1.4")
        taken = add_traces(tag=head.tag, files=[bad, upload(0.15)], by=machinist)
        assert taken.kept_count == 1
        assert len(taken.refused) == 1
        assert taken.refused[0].startswith("letter.pdf looks like a PDF")

    def test_nothing_is_kept_of_bad_files_alone(self, head: Head, machinist: Person) -> None:
        with pytest.raises(DeedRefused, match="looks like a PDF"):
            add_traces(
                tag=head.tag,
                files=[TraceUpload(name="letter.pdf", content=b"%PDF-1.4")],
                by=machinist,
            )
        assert not Trace.objects.exists()

    @pytest.mark.parametrize(
        ("cut", "says"),
        [
            (CutWith(feed="brisk"), "The feed"),
            (CutWith(feed="-0.1 mm"), "more than nothing"),
            (CutWith(nose="0.8 psi"), "The insert radius"),
        ],
    )
    def test_a_setting_that_is_none(
        self, head: Head, machinist: Person, cut: CutWith, says: str
    ) -> None:
        with pytest.raises(DeedRefused, match=says):
            add_traces(tag=head.tag, files=[upload(0.15)], cut=cut, by=machinist)

    def test_a_trace_of_the_block_leaves_the_head_alone(
        self, gasketed: Head, machinist: Person
    ) -> None:
        add_traces(tag=gasketed.tag, files=[upload(0.2)], face="block", by=machinist)
        page = finish_page(gasketed.tag)
        assert page.deck == ()
        assert page.block[0].value_um == pytest.approx(ideal_ra_um(0.2), rel=0.04)
        assert (Quantity.FINISH_RA, "") not in standing_of(gasketed.tag).by_spot or finish_of(
            gasketed.tag
        ).value is None

    def test_viewers_may_not(self, head: Head, viewer: Person) -> None:
        with pytest.raises(DeedRefused, match="may look"):
            add_traces(tag=head.tag, files=[upload(0.15)], by=viewer)


class TestLater:
    def test_cutting_the_deck_makes_a_trace_one_of_the_past(
        self, head: Head, machinist: Person
    ) -> None:
        shop.measure_all(head.tag, by=machinist, other={("flatness", ""): "0.010 in"})
        add_traces(tag=head.tag, files=[upload(0.19)], by=machinist)
        made = plans.make_plans(tag=head.tag, by=machinist)
        plans.choose_plan(
            plan_id=Plan.objects.get(batch=made.batch, objective="cost").pk, by=machinist
        )
        cut = head.operations.get(kind="surface")
        for operation in head.operations.filter(position__lte=cut.position).order_by("position"):
            work.sign_operation(operation_id=operation.pk, by=machinist)
        (judged,) = finish_page(head.tag).traces
        assert not judged.trace.counts
        assert judged.trace.stale_by is not None
        assert finish_of(head.tag).stale

    def test_one_set_aside_no_longer_decides(self, gasketed: Head, machinist: Person) -> None:
        for feed_mm in (0.135, 0.16):
            add_traces(tag=gasketed.tag, files=[upload(feed_mm, f"{feed_mm}.csv")], by=machinist)
        worst = Trace.objects.get(file_name="0.16.csv")
        set_trace_aside(uuid=worst.uuid, why="across a scratch", by=machinist)
        assert finish_of(gasketed.tag).value == pytest.approx(ideal_ra_um(0.135), rel=0.04)
        assert Trace.objects.count() == 2

    def test_the_last_one_is_not_set_aside(self, head: Head, machinist: Person) -> None:
        add_traces(tag=head.tag, files=[upload(0.15)], by=machinist)
        with pytest.raises(DeedRefused, match="only trace"):
            set_trace_aside(uuid=Trace.objects.get().uuid, why="scratch", by=machinist)

    def test_a_reason_is_needed(self, head: Head, machinist: Person) -> None:
        for name in ("a.csv", "b.csv"):
            add_traces(tag=head.tag, files=[upload(0.15, name)], place=name, by=machinist)
        with pytest.raises(DeedRefused, match="Say why"):
            set_trace_aside(uuid=Trace.objects.first().uuid, why=" ", by=machinist)


class TestGasket:
    def test_another_gasket_needs_another_finish(self, gasketed: Head, machinist: Person) -> None:
        """Common practice, no source: a soft-faced gasket is not held by a smooth deck."""
        add_traces(tag=gasketed.tag, files=[upload(0.12)], by=machinist)
        assert finish_of(gasketed.tag).verdict == "inside"
        heads.choose_gasket(tag=gasketed.tag, gasket="soft", by=machinist)
        assert finish_of(gasketed.tag).verdict == "outside"
        assert finish_of(gasketed.tag).judgement.low == pytest.approx(30 * 0.0254)

    def test_one_the_sheet_does_not_name(self, gasketed: Head, machinist: Person) -> None:
        with pytest.raises(DeedRefused, match="soft, steel"):
            heads.choose_gasket(tag=gasketed.tag, gasket="copper", by=machinist)


class TestCure:
    def test_three_traces_of_a_machine_give_its_own_line(
        self, gasketed: Head, machinist: Person
    ) -> None:
        for feed_mm in (0.10, 0.12, 0.14):
            add_traces(
                tag=gasketed.tag,
                files=[upload(feed_mm, f"{feed_mm}.csv")],
                cut=CutWith(machine="Mill 2", feed=f"{feed_mm} mm", nose="0.8 mm"),
                by=machinist,
            )
        cure = finish_page(gasketed.tag).cure
        assert cure is not None
        assert cure.machine == "Mill 2"
        assert cure.ra_um == pytest.approx(20 * 0.0254)
        assert cure.advice.from_traces_count == 3
        assert ideal_ra_um(cure.advice.feed_mm) == pytest.approx(cure.ra_um, rel=0.05)
        assert cure.advice.interval_um is not None

    def test_fewer_say_so(self, gasketed: Head) -> None:
        cure = finish_page(gasketed.tag).cure
        assert cure is not None
        assert cure.advice.interval_um is None
        assert any("of 3" in words for words in cure.advice.cautions)


def test_a_fresh_casting_with_rotary_waves_fails_and_resurfaced_passes(
    gasketed: Head, machinist: Person
) -> None:
    """Common practice, no source: a multi-layer steel gasket wants Ra below 25 uin; a fresh
    casting read 41 and waved, resurfaced 21 and did not.
    """
    rough_mm = (41 * 0.0254 * 18 * 3**0.5 * 0.8 / 1000) ** 0.5
    smooth_mm = (21 * 0.0254 * 18 * 3**0.5 * 0.8 / 1000) ** 0.5
    add_traces(tag=gasketed.tag, files=[upload(rough_mm, "as-cast.csv", wave_um=5.0)], by=machinist)
    assert finish_of(gasketed.tag).value / 0.0254 == pytest.approx(41, abs=1.5)
    assert finish_of(gasketed.tag).verdict == "outside"
    rough = Trace.objects.get()
    add_traces(tag=gasketed.tag, files=[upload(smooth_mm, "resurfaced.csv")], by=machinist)
    set_trace_aside(uuid=rough.uuid, why="before it was resurfaced elsewhere", by=machinist)
    assert finish_of(gasketed.tag).value / 0.0254 == pytest.approx(21, abs=1.0)
    assert finish_of(gasketed.tag).verdict == "inside"
    assert rough.wt_um > 10 * Trace.objects.get(file_name="resurfaced.csv").wt_um
