"""The papers carry every figure they were given; read back by pypdf, an independent reader."""

from dataclasses import replace

import pytest

from castworthy.reports.claim import claim_pdf
from castworthy.reports.parts import PaperSize
from castworthy.reports.release import digest_groups, release_pdf
from castworthy.reports.tag import tag_pdf
from castworthy.reports.traveller import traveller_pdf


def _size_mm(page):
    return tuple(round(float(side) * 25.4 / 72, 1) for side in page.mediabox[2:])


def test_a_tag_is_one_page_of_100_by_60_mm(tag_paper, read_pdf, words_of):
    made = tag_pdf(tag_paper)
    pages = read_pdf(made).pages
    assert [_size_mm(page) for page in pages] == [(100.0, 60.0)]
    words = words_of(made)
    for part in ("T66-0042", "Tarn 66", "new casting, loaded", "Gale Foundry", "7F", "12 Mar 2026"):
        assert part in words
    assert "asked" not in words


def test_a_traveller_says_the_work_in_order(traveller_paper, words_of, read_pdf):
    made = traveller_pdf(traveller_paper)
    words = words_of(made)
    order = ["Surface the deck", "4.0 thou", "Cut seats", "5B +8.2 thou", "5C +10.3 thou", "Wash"]
    places = [words.index(part) for part in order]
    assert places == sorted(places)
    for part in ("0.0493", "0.0453", "Jon Petty", "13 Mar 16:20", "Mind chips.", "Use a hoist."):
        assert part in words
    assert words.count("taken by date") == 2
    assert "page 1 of 1" in words
    assert _size_mm(read_pdf(made).pages[0]) == (210.0, 297.0)


def test_a_release_record_carries_every_reading_limit_and_digest_group(release_paper, words_of):
    paper = release_paper()
    words = words_of(release_pdf(paper))
    for table in paper.tables:
        for row in table.rows:
            assert row.place in words
            for cell in row.cells:
                if cell is not None:
                    assert cell.shipped in words
                    assert cell.received in words
    for part in ("Release record 41", "shop book, table 4", "guarded, 95 %", "Depth gauge DG-2"):
        assert part in words
    for part in ("Surface the deck 4.0 thou", "water, 40 psi, 20 min", "passed", "Cam bores."):
        assert part in words
    groups = digest_groups(paper.digest)
    assert "".join(groups) == paper.digest
    assert " ".join(groups) in words
    assert len(groups) == 16


def test_a_long_release_continues_under_its_own_name(release_paper, read_pdf):
    pages = read_pdf(release_pdf(release_paper(valves=60))).pages
    assert len(pages) >= 2
    for number, page in enumerate(pages, start=1):
        words = page.extract_text()
        assert f"page {number} of {len(pages)}" in words
        assert "T66-0042" in words
        assert "Release record 41" in words


@pytest.mark.parametrize("size", list(PaperSize))
def test_a_small_head_gets_one_page_and_24_valves_no_more_than_two(release_paper, read_pdf, size):
    assert len(read_pdf(release_pdf(release_paper(valves=4, size=size))).pages) == 1
    pages = read_pdf(release_pdf(release_paper(valves=24, size=size))).pages
    assert len(pages) <= 2
    wanted = {PaperSize.A4: (210.0, 297.0), PaperSize.LETTER: (215.9, 279.4)}[size]
    assert {_size_mm(page) for page in pages} == {wanted}


def test_a_claim_sheet_gives_every_fault_with_its_evidence(claim_paper, words_of, read_pdf):
    paper = claim_paper(faults=3)
    made = claim_pdf(paper)
    words = words_of(made)
    for fault in paper.faults:
        for part in (fault.sentence, fault.reading, fault.limit, fault.source, fault.gauge):
            assert part in words
    for part in ("3 faults", "0.5 thou", "0.3 %", "$177.33", "$178.13", "Gale Foundry"):
        assert part in words
    assert len(read_pdf(made).pages) == 1
    assert "One fault" in words_of(claim_pdf(claim_paper(faults=1)))


def test_a_claim_without_a_supplier_leaves_a_line_for_it(claim_paper, words_of):
    words = words_of(claim_pdf(replace(claim_paper(), supplier="", lot="")))
    assert "write the supplier in" in words
    assert "write the supplier in" not in words_of(claim_pdf(claim_paper()))


def test_many_faults_take_more_pages_and_none_is_torn(claim_paper, read_pdf):
    paper = claim_paper(faults=20)
    pages = [page.extract_text() for page in read_pdf(claim_pdf(paper)).pages]
    assert len(pages) >= 2
    for fault in paper.faults:
        (page,) = [page for page in pages if fault.sentence in page]
        assert fault.reading in page


def test_no_work_and_nothing_left_out_are_said(release_paper, words_of):
    from dataclasses import replace

    bare = replace(release_paper(valves=4), work=(), tests=(), not_checked=(), parts=(), limits=())
    words = words_of(release_pdf(bare))
    assert "No work was needed." in words
    assert "Every limit of the sheet was checked." in words
