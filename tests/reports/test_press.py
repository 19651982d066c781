"""Whatever was typed comes out as typed; same facts, same bytes; no colour anywhere."""

import re
from dataclasses import replace
from datetime import UTC, datetime
from io import BytesIO

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image
from pypdf.generic import ContentStream

from castworthy.calc.decision.verdict import Verdict
from castworthy.reports.claim import claim_pdf
from castworthy.reports.code import code_svg
from castworthy.reports.parts import Fact
from castworthy.reports.photo import PhotoError, photo_svg
from castworthy.reports.press import PaperError, soften
from castworthy.reports.release import release_pdf
from castworthy.reports.tag import tag_pdf
from castworthy.reports.traveller import TravellerStep, traveller_pdf

MARKUP = '#panic("x") $a_b$ *b* _i_ @ref <l> [c] \\ "q" // c `r` ~ -- #image("x")'
LETTERS = "Ærø Đorđe Žižka Νίκος Жанна ½ µ° – “x”"


def _photo(colour="RGB", size=(1600, 1200)):
    kept = BytesIO()
    Image.linear_gradient("L").resize(size).convert(colour).save(kept, "JPEG")
    return kept.getvalue()


def test_markup_of_the_typesetter_stays_text(traveller_paper, words_of):
    paper = replace(
        traveller_paper,
        title=MARKUP,
        summary=MARKUP,
        facts=(Fact(label="asked", value=MARKUP),),
        steps=(TravellerStep(title=MARKUP, notes=(MARKUP,), cautions=(MARKUP,)),),
    )
    assert words_of(traveller_pdf(paper)).count(MARKUP) == 6


def test_letters_of_other_tongues_come_out(tag_paper, traveller_paper, words_of):
    assert LETTERS in words_of(traveller_pdf(replace(traveller_paper, summary=LETTERS)))
    assert "Νίκος" in words_of(tag_pdf(replace(tag_paper, customer="Νίκος")))


def test_control_and_direction_signs_are_taken_out(traveller_paper, words_of):
    paper = replace(traveller_paper, summary="a\x00b\x1b[31mc\u202ed\u2066e")
    words = words_of(traveller_pdf(paper))
    assert "\u202e" not in words
    assert re.search(r"a.b.\[31mc.d.e", words)


def test_endless_names_neither_fail_nor_leave_the_page(tag_paper, release_paper, read_pdf):
    endless = "W" * 4000
    tag = tag_pdf(
        replace(
            tag_paper, tag="W" * 24, title=endless, customer=endless, asked=endless, lot=endless
        )
    )
    assert len(read_pdf(tag).pages) == 1
    assert "W" * 24 in read_pdf(tag).pages[0].extract_text().split("\n")
    paper = replace(release_paper(valves=4), title=endless, not_checked=(endless,), asked=endless)
    for page in read_pdf(release_pdf(paper)).pages:
        right = float(page.mediabox[2])
        edges = []
        page.extract_text(visitor_text=lambda _t, _cm, tm, _f, _s, e=edges: e.append(tm[4]))
        assert max(edges) < right


def test_the_same_facts_give_the_same_bytes(release_paper, tag_paper):
    assert release_pdf(release_paper()) == release_pdf(release_paper())
    assert tag_pdf(tag_paper) == tag_pdf(tag_paper)
    later = replace(tag_paper.imprint, made_at=datetime(2026, 3, 15, tzinfo=UTC))
    assert tag_pdf(replace(tag_paper, imprint=later)) != tag_pdf(tag_paper)


def test_the_file_says_when_it_was_made(tag_paper, read_pdf):
    about = read_pdf(tag_pdf(tag_paper)).metadata
    assert about.creation_date == datetime(2026, 3, 14, 10, 41, tzinfo=UTC)
    assert about.title == "Tag T66-0042"


def _painting(reader):
    """Every colour operator of every page and of the forms on it, with what it was given."""
    for page in reader.pages:
        yield from _operators(page.get_contents(), page, reader)


def _operators(content, holder, reader):
    for given_to, operator in ContentStream(content, reader).operations:
        yield operator, given_to
    for form in holder["/Resources"].get("/XObject", {}).values():
        drawn = form.get_object()
        if drawn["/Subtype"] == "/Form":
            yield from _operators(drawn, drawn, reader)


@pytest.mark.parametrize("paper", ["tag", "traveller", "release", "claim"])
def test_papers_use_black_white_and_grey_only(
    paper, tag_paper, traveller_paper, release_paper, claim_paper, read_pdf
):
    made = {
        "tag": lambda: tag_pdf(tag_paper),
        "traveller": lambda: traveller_pdf(traveller_paper),
        "release": lambda: release_pdf(release_paper()),
        "claim": lambda: claim_pdf(claim_paper()),
    }[paper]()
    tones = 0
    for operator, given_to in _painting(read_pdf(made)):
        if operator in {b"rg", b"RG"}:
            red, green, blue = map(float, given_to)
            assert red == green == blue
        elif operator in {b"sc", b"SC", b"scn", b"SCN"}:
            assert len(given_to) == 1
            tones += 1
        assert operator not in {b"k", b"K"}
    assert tones > 3


def _strokes(reader):
    """What is drawn, whatever its tone."""
    toned = {b"rg", b"RG", b"g", b"G", b"sc", b"SC", b"scn", b"SCN", b"cs", b"CS"}
    return [
        (op, [str(part) for part in given_to])
        for op, given_to in _painting(reader)
        if op not in toned
    ]


def test_every_verdict_is_told_by_form_alone(release_paper, read_pdf):
    drawn = [
        _strokes(read_pdf(release_pdf(release_paper(valves=4, verdict=verdict))))
        for verdict in Verdict
    ]
    for i, one in enumerate(drawn):
        for other in drawn[:i]:
            assert one != other


def test_a_photo_is_printed_small_and_grey(claim_paper, read_pdf):
    made = claim_pdf(claim_paper(photo=_photo()))
    (image,) = [image for page in read_pdf(made).pages for image in page.images]
    assert image.image.mode == "L"
    assert max(image.image.size) == 900
    assert len(made) < 400_000


@pytest.mark.parametrize("broken", [b"\xff\xd8\xff\xe0 not a picture", b"%PDF-1.7", b"\x89PNG"])
def test_a_broken_photo_is_refused_in_one_sentence(claim_paper, broken):
    with pytest.raises(PhotoError, match="cannot be read; take it again"):
        claim_pdf(claim_paper(photo=broken))


def test_a_cut_off_photo_is_refused(claim_paper):
    with pytest.raises(PhotoError):
        photo_svg(_photo()[:900])


def test_a_broken_chart_is_a_fault_of_ours(release_paper):
    with pytest.raises(PaperError, match="The release could not be set"):
        release_pdf(replace(release_paper(valves=4), deck_svg="<svg"))


def test_the_code_holds_the_address():
    import segno

    address = "http://bench.example:8100/heads/T66-0042/"
    svg = code_svg(address)
    dark = sum(
        bit for row in segno.make(address, error="m", boost_error=False).matrix for bit in row
    )
    runs = re.findall(r"h(\d+)", re.search(r' d="([^"]+)"', svg).group(1))
    assert sum(map(int, runs)) == dark
    assert code_svg(address + "x") != svg


@given(text=st.text(max_size=200))
def test_softening_only_adds_places_to_break(text):
    soft = soften(text)
    longest = max((len(word) for word in re.split(r"[\s\u200b-]", soft)), default=0)
    assert longest <= 24
    if text.isprintable() and "\u200b" not in text:
        assert soft.replace("\u200b", "") == text
