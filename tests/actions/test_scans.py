"""A scan of a deck taken in, feeler gaps kept, flatness that follows from the grid."""

import numpy as np
import pytest

from castworthy.actions.errors import DeedRefused
from castworthy.actions.scans import keep_feeler, take_scan
from castworthy.calc.deck.feeler import Gap
from castworthy.calc.quantity import Quantity
from castworthy.records.lookups.deck import deck_page
from castworthy.records.models import Head, Person, Reading, Scan
from castworthy.records.standing import standing_of
from castworthy.units import Show
from factories import shop
from factories.sheet_texts import big_sheet_text


def scan(*, bow_mm: float = 0.04, step_mm: float = 10.0, shift_mm: float = 0.0) -> bytes:
    """A deck of 304.8 by 177.8 mm, high by ``bow_mm`` along the middle line x = 152.4."""
    x, y = np.meshgrid(np.arange(0.0, 304.9, step_mm), np.arange(0.0, 177.9, step_mm))
    z = bow_mm * (1.0 - np.abs(x - 152.4) / 152.4)
    rows = zip(x.ravel() + shift_mm, y.ravel(), z.ravel(), strict=True)
    return ("x_mm,y_mm,z_mm\n" + "\n".join(f"{a},{b},{c:.6f}" for a, b, c in rows)).encode()


def flatness_of(tag: str):
    return standing_of(tag).by_spot[Quantity.FLATNESS, ""]


@pytest.fixture
def gridded(owner: Person) -> Head:
    """A head whose sheet names a grid of six heights."""
    code = shop.write_sheet(owner, text=big_sheet_text(cylinders_count=2, heights_count=6))
    return shop.take_in(owner, code=code)


class TestScan:
    def test_flatness_is_of_every_point(self, head: Head, machinist: Person) -> None:
        """A roof of 40 um: its minimum zone is its height, less what the grid misses of the
        ridge (one step of 10 mm from a slope of 40 um in 152.4 mm).
        """
        taken = take_scan(tag=head.tag, name="deck.csv", content=scan(), by=machinist)
        assert taken.form.flatness_um == pytest.approx(40.0, abs=3.0)
        assert flatness_of(head.tag).value == pytest.approx(taken.form.flatness_um / 1000)
        assert Scan.objects.get().points_count == 31 * 18

    def test_a_rough_grid_place_gets_the_mean_about_it(
        self, gridded: Head, machinist: Person
    ) -> None:
        x, y = np.meshgrid(np.arange(0.0, 305.0, 4.0), np.arange(0.0, 229.0, 4.0))
        z = 0.0001 * x
        rows = zip(x.ravel(), y.ravel(), z.ravel(), strict=True)
        content = "x_mm,y_mm,z_mm\n" + "\n".join(f"{a},{b},{c:.6f}" for a, b, c in rows)
        take_scan(tag=gridded.tag, name="deck.csv", content=content.encode(), by=machinist)
        standing = standing_of(gridded.tag)
        for spot in standing.of(Quantity.HEIGHT):
            x_mm, _ = standing.sheet.spot_mm(Quantity.HEIGHT, place=spot.place)
            assert spot.value == pytest.approx(0.0001 * x_mm, abs=0.0004)

    def test_off_the_deck(self, head: Head, machinist: Person) -> None:
        with pytest.raises(DeedRefused, match="lie off the deck"):
            take_scan(tag=head.tag, name="d.csv", content=scan(shift_mm=200.0), by=machinist)
        assert not Scan.objects.exists()

    @pytest.mark.parametrize(
        ("content", "says"),
        [
            (b"%PDF-1.4", "looks like a PDF"),
            (b"x_mm,y_mm,z_mm\n0,0,0\n1,1,0\n", "point"),
            (b"x_mm,y_mm,z_mm\n0,0,0\n1,1,0\n2,2,0\n3,3,0\n4,4,0\n", "line"),
        ],
    )
    def test_what_is_refused(
        self, head: Head, machinist: Person, content: bytes, says: str
    ) -> None:
        with pytest.raises(DeedRefused, match=says):
            take_scan(tag=head.tag, name="d.csv", content=content, by=machinist)
        assert not Reading.objects.exists()


class TestFeeler:
    def gaps(self, goes_mm: float, stops_mm: float | None) -> list[Gap]:
        return [
            Gap(line="front", x_mm=x, y_mm=0.0, goes_mm=a, stops_mm=b)
            for x, a, b in ((0.0, 0.0, 0.03), (150.0, goes_mm, stops_mm), (300.0, 0.0, 0.03))
        ]

    def test_a_leaf_says_between(self, head: Head, machinist: Person) -> None:
        sentence = keep_feeler(tag=head.tag, gaps=self.gaps(0.06, 0.09), by=machinist)
        flat = flatness_of(head.tag)
        assert flat.value is not None
        assert 0.03 <= flat.value <= 0.09
        assert flat.u is not None
        assert flat.verdict == "too close to call"
        assert "cannot settle" in sentence

    def test_a_gap_past_the_limit_is_outside(self, head: Head, machinist: Person) -> None:
        keep_feeler(tag=head.tag, gaps=self.gaps(0.30, 0.33), by=machinist)
        assert flatness_of(head.tag).verdict == "outside"

    def test_no_leaf_that_stops(self, head: Head, machinist: Person) -> None:
        with pytest.raises(DeedRefused, match="thicker leaf"):
            keep_feeler(tag=head.tag, gaps=self.gaps(0.05, None), by=machinist)

    def test_leaves_the_wrong_way_round(self, head: Head, machinist: Person) -> None:
        with pytest.raises(DeedRefused, match="swap them"):
            keep_feeler(tag=head.tag, gaps=self.gaps(0.07, 0.05), by=machinist)


class TestFromTheGrid:
    def read_all(self, head: Head, machinist: Person, *, bow_thou: float) -> None:
        sheet = standing_of(head.tag).sheet
        places = sheet.sites_of(Quantity.HEIGHT)
        for place in places:
            _, y_mm = sheet.spot_mm(Quantity.HEIGHT, place=place)
            high = bow_thou if abs(y_mm - 4.5 * 25.4) < 1.0 else 0.0
            shop.kept(head.tag, "height", place, f"{high} thou", by=machinist)

    def test_flatness_follows_once_all_are_read(self, gridded: Head, machinist: Person) -> None:
        """The middle row of three stands 4 thou high: a roof, 4 thou by any pair of planes."""
        self.read_all(gridded, machinist, bow_thou=4.0)
        flat = flatness_of(gridded.tag)
        assert flat.derived
        assert flat.value == pytest.approx(4 * 0.0254, rel=1e-6)
        assert flat.verdict == "outside"
        page = deck_page(gridded.tag, show=Show())
        assert page.form is not None
        assert page.form.cleanup_level.cut_mm == pytest.approx(4 * 0.0254, rel=1e-6)

    def test_a_figure_read_itself_comes_first(self, gridded: Head, machinist: Person) -> None:
        self.read_all(gridded, machinist, bow_thou=4.0)
        shop.kept(gridded.tag, "flatness", "", "1 thou", by=machinist)
        assert not flatness_of(gridded.tag).derived
        assert flatness_of(gridded.tag).value == pytest.approx(0.0254)

    def test_a_bowed_grid_forces_the_deck_to_be_cut(self, gridded: Head, machinist: Person) -> None:
        from castworthy.actions import plans
        from castworthy.records.lookups.plan import plan_page

        self.read_all(gridded, machinist, bow_thou=4.0)
        shop.measure_all(gridded.tag, by=machinist)
        plans.make_plans(tag=gridded.tag, by=machinist)
        answer = plan_page(gridded.tag).answers["cost"]
        assert answer.deck is not None
        assert answer.deck.depth_mm >= 4 * 0.0254

    def test_heights_are_asked_there_and_back(self, gridded: Head) -> None:
        places = [spot.place for spot in standing_of(gridded.tag).of(Quantity.HEIGHT)]
        sheet = standing_of(gridded.tag).sheet
        spots = [sheet.spot_mm(Quantity.HEIGHT, place=place) for place in places]
        steps = np.hypot(*np.diff(np.array(spots), axis=0).T)
        assert steps.sum() == pytest.approx(3 * 254.0 + 2 * 101.6), "no way is walked twice"
        assert len(set(places)) == 6
