"""The pages of the spec sheets: reading them, writing them as form and as text, their revisions.

Common practice, no source.
"""

import re
import time
from html import unescape
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from castworthy.actions import heads, sheets
from castworthy.records.models import Head, Person, SheetRevision, SpecSheet
from castworthy.sheets.draft_text import write_draft
from castworthy.sheets.keys import TABLES
from castworthy.sheets.spec import read_sheet
from castworthy.units import Show
from castworthy.web.contexts.sheet_form import sheet_form, table_card
from castworthy.web.contexts.sheet_live import live
from castworthy.web.forms.sheet import PATTERNS, draft_of
from factories.sheet_texts import SMALL, big_sheet_text

EXAMPLES = sorted((Path(sheets.__file__).parents[1] / "demo" / "sheets").glob("*.toml"))


def signed_in(person: Person) -> Client:
    client = Client()
    client.force_login(person)
    return client


def text_of(response) -> str:
    return response.content.decode()


def sent_by_a_browser(text: str) -> str:
    return text.replace("\n", "\r\n")


def fields_of(page: str) -> dict[str, list[str]]:
    """What a browser would send of the page's form named sheet."""
    form = page.split('<form id="sheet"', 1)[1].split("</form>", 1)[0]
    form = re.sub(r"<template.*?</template>", "", form, flags=re.DOTALL)
    found: dict[str, list[str]] = {}
    controls = re.finditer(
        r'<input[^>]*?name="(?P<input>[^"]+)"(?P<rest>[^>]*)>'
        r'|<select[^>]*?name="(?P<select>[^"]+)"[^>]*>(?P<options>.*?)</select>'
        r'|<textarea[^>]*?name="(?P<area>[^"]+)"[^>]*>\n?(?P<text>.*?)</textarea>',
        form,
        flags=re.DOTALL,
    )
    for control in controls:
        if name := control["input"]:
            value = re.search(r'value="([^"]*)"', control[0])
            typed = value[1] if value else ""
        elif name := control["select"]:
            chosen = re.search(r'value="([^"]*)" selected', control["options"])
            first = re.search(r'value="([^"]*)"', control["options"])
            typed = (chosen or first)[1]
        else:
            name, typed = control["area"], control["text"]
        found.setdefault(name, []).append(unescape(typed))
    found.pop("csrfmiddlewaretoken", None)
    return found


@pytest.fixture
def bench(machinist: Person) -> Client:
    return signed_in(machinist)


class TestReading:
    def test_empty_list_says_what_to_do(self, bench: Client) -> None:
        page = text_of(bench.get(reverse("sheets")))
        assert "No spec sheet yet" in page
        assert reverse("sheet-new") in page

    def test_list_leads_to_the_sheet(self, viewer: Person, sheet: str) -> None:
        page = text_of(signed_in(viewer).get(reverse("sheets")))
        assert f'href="{reverse("sheet", args=[sheet])}"' in page
        assert "Fen 2, two cylinders, 4 valves" in page
        assert reverse("sheet-new") not in page

    def test_one_shows_its_deck_and_its_limits_in_words(self, viewer: Person, sheet: str) -> None:
        page = text_of(signed_in(viewer).get(reverse("sheet", args=[sheet])))
        assert 'class="cw-deck"' in page
        for valve in ("1A", "1B", "2A", "2B"):
            assert f">{valve}</text>" in page
        assert "0.0325 to 0.0465 in below the deck" in page
        assert "7 readings a head" in page
        assert "invented for the tests" in page
        assert " style=" not in page
        assert reverse("sheet-edit", args=[sheet]) not in page
        assert reverse("sheet-retire", args=[sheet]) not in page

    def test_limits_are_told_in_the_units_one_reads(
        self, machinist: Person, bench: Client, sheet: str
    ) -> None:
        machinist.show_length = "mm"
        machinist.save()
        page = text_of(bench.get(reverse("sheet", args=[sheet])))
        # 0.0325 in and 0.0465 in times 25.4
        assert "0.826 to 1.181 mm below the deck" in page

    def test_each_revision_names_the_heads_it_judges(
        self, owner: Person, bench: Client, sheet: str, head: Head
    ) -> None:
        sheets.write_sheet(text=SMALL.replace("0.0465", "0.0460"), note="letter", by=owner)
        heads.take_in_head(tag="F2-0900", sheet=sheet, kind="new casting", by=owner)
        page = text_of(bench.get(reverse("sheet", args=[sheet])))
        newer, older = page.split("Revision 2</a>", 1)[1].split("Revision 1</a>", 1)
        assert "F2-0900" in newer
        assert head.tag not in newer
        assert head.tag in older

    def test_older_revision_says_so(self, owner: Person, bench: Client, sheet: str) -> None:
        sheets.write_sheet(text=SMALL.replace("Fen 2,", "Fen 2 late,"), by=owner)
        page = text_of(bench.get(reverse("sheet-revision", args=[sheet, 1])))
        assert "This is an older revision." in page
        assert "Fen 2 late," not in page.split("<main", 1)[1].split("Limits", 1)[0].replace(
            "Fen 2 late, two cylinders, 4 valves</h1>", ""
        )
        assert bench.get(reverse("sheet-revision", args=[sheet, 7])).status_code == 404

    def test_download_is_the_text_as_written(self, viewer: Person, sheet: str) -> None:
        answer = signed_in(viewer).get(reverse("sheet-file", args=[sheet, 1]))
        assert answer.content.decode() == SMALL
        assert answer["Content-Disposition"] == 'attachment; filename="F2-revision-1.toml"'

    def test_retired_and_back(self, bench: Client, sheet: str) -> None:
        address = reverse("sheet-retire", args=[sheet])
        page = text_of(bench.post(address, {"retired": "yes"}, follow=True))
        assert "This sheet is retired" in page
        bench.post(address, {"retired": "no"})
        assert not SpecSheet.objects.get().retired

    def test_unknown_one_is_not_found(self, owner: Person) -> None:
        for name in ("sheet", "sheet-edit", "sheet-difference"):
            answer = signed_in(owner).get(reverse(name, args=["NONE"]))
            assert answer.status_code == 404
            assert "There is no sheet" in text_of(answer)


class TestDifference:
    def test_in_words_and_line_by_line(self, owner: Person, viewer: Person, sheet: str) -> None:
        text = (
            SMALL.replace("high = 0.0465", "high = 0.0460")
            .replace('name = "T1"', 'name = "T2"')
            .replace("[limit.flatness]\nhigh = 0.003\n", "")
            + "\n[work]\nallowance = 0.001\n"
        )
        sheets.write_sheet(text=text, note="the foundry's letter", by=owner)
        page = text_of(signed_in(viewer).get(reverse("sheet-difference", args=[sheet])))
        assert (
            "Recession: allowed 0.0325 to 0.0465 in below the deck is now "
            "allowed 0.0325 to 0.0460 in below the deck." in page
        )
        assert "1 measuring place added: T2." in page
        assert "1 measuring place taken out: T1." in page
        assert "Flatness: limit taken out, allowed up to 0.0030 in." in page
        assert "Allowance: 0.0005 in is now 0.0010 in." in page
        assert "the foundry&#x27;s letter" in page
        line = SMALL.splitlines().index("high = 0.0465") + 1
        assert re.search(
            rf'diff__out"><td class="diff__no">{line}</td><td class="diff__no"></td>.*?'
            r'<td class="diff__text">high = 0.0465</td>',
            page,
        )
        assert '<td class="diff__text">high = 0.0460</td>' in page

    def test_a_comment_changes_nothing_a_head_is_judged_by(
        self, owner: Person, bench: Client, sheet: str
    ) -> None:
        sheets.write_sheet(text=f"# a word\n{SMALL}", by=owner)
        page = text_of(bench.get(reverse("sheet-difference", args=[sheet])))
        assert "Nothing a head is judged or planned by was changed" in page

    def test_any_two_revisions_either_way_round(
        self, owner: Person, bench: Client, sheet: str
    ) -> None:
        sheets.write_sheet(text=SMALL.replace("0.0465", "0.0460"), by=owner)
        sheets.write_sheet(text=SMALL.replace("0.0465", "0.0450"), by=owner)
        address = reverse("sheet-difference", args=[sheet])
        page = text_of(bench.get(address, {"old": "3", "new": "1"}))
        assert "From revision 1 to 3" in page
        assert bench.get(address, {"old": "x"}).status_code == 404


class TestStart:
    @pytest.mark.parametrize("unit", ["in", "mm"])
    def test_from_nothing_is_a_sheet_that_reads(self, bench: Client, unit: str) -> None:
        page = text_of(bench.get(reverse("sheet-new"), {"from": "nothing", "unit": unit}))
        assert "Reads as a sheet." in page
        answer = bench.post(reverse("sheet-new"), fields_of(page))
        assert answer.status_code == 302
        assert f'unit = "{unit}"' in SheetRevision.objects.get().text

    def test_a_copy_keeps_all_but_the_code(self, bench: Client, sheet: str) -> None:
        page = text_of(bench.get(reverse("sheet-new"), {"from": "copy", "sheet": sheet}))
        sent = fields_of(page)
        assert sent["head.code"] == [""]
        assert sent["valve.name"] == ["1A", "1B", "2A", "2B"]
        assert "1 thing to mend" in page
        sent["head.code"] = ["F3"]
        assert bench.post(reverse("sheet-new"), sent).status_code == 302
        assert SheetRevision.objects.get(sheet__code="F3").text == SMALL.replace(
            'code = "F2"\ntitle = "Fen 2, two cylinders, 4 valves"',
            'title = "Fen 2, two cylinders, 4 valves"',
        ).replace(
            "outline = [[0, 0], [12, 0], [12, 7], [0, 7]]",
            'outline = [[0, 0], [12, 0], [12, 7], [0, 7]]\ncode = "F3"',
        )

    def test_a_file_opens_with_its_findings(self, bench: Client) -> None:
        wrong = SMALL.replace('material = "grey iron"', 'material = "cheese"')
        upload = SimpleUploadedFile("mine.toml", wrong.encode())
        page = text_of(bench.post(reverse("sheet-file-in"), {"file": upload}))
        assert "1 thing to mend" in page
        assert fields_of(page)["text"] == [wrong.lstrip("\n")] or wrong in unescape(page)

    @pytest.mark.parametrize(
        ("content", "told"),
        [
            (b"\xff\xfe\x00bad", "no text in UTF-8"),
            (b"#" * 1_000_001, "larger than 1 MB"),
            (None, "Choose a file first."),
        ],
    )
    def test_a_file_that_is_none_is_refused_in_a_sentence(
        self, bench: Client, content: bytes | None, told: str
    ) -> None:
        sent = {"file": SimpleUploadedFile("x.toml", content)} if content else {}
        answer = bench.post(reverse("sheet-file-in"), sent)
        assert answer.status_code == 422
        assert told in text_of(answer)


class TestWritingAsText:
    def test_new_one_is_kept_as_written(self, bench: Client) -> None:
        sent = {"way": "text", "text": sent_by_a_browser(SMALL), "note": "first writing"}
        answer = bench.post(reverse("sheet-new"), sent, follow=True)
        assert answer.redirect_chain == [(reverse("sheet", args=["F2"]), 302)]
        assert "Revision 1 of F2 is kept." in text_of(answer)
        revision = SheetRevision.objects.get()
        assert (revision.text, revision.note) == (SMALL, "first writing")

    def test_findings_are_listed_by_line_and_the_text_stays(self, bench: Client) -> None:
        wrong = SMALL.replace("bore = 4.0", 'bore = "4 furlongs"', 1).replace(
            'kind = "exhaust"', 'kind = "outlet"', 1
        )
        lines = wrong.splitlines()
        first = lines.index('bore = "4 furlongs"') + 1
        second = lines.index('kind = "outlet"') + 1
        sent = {"way": "text", "text": sent_by_a_browser(wrong), "note": "typed with care"}
        answer = bench.post(reverse("sheet-new"), sent)
        assert answer.status_code == 422
        page = text_of(answer)
        assert "2 things to mend" in page
        assert f'data-line="{first}"' in page
        assert f'data-line="{second}"' in page
        assert "valve 1B, kind" in page
        assert "bore = &quot;4 furlongs&quot;" in page
        assert 'value="typed with care"' in page
        assert 'aria-invalid="true"' in page.split('id="sheet-text"', 1)[1].split(">", 1)[0]
        assert not SpecSheet.objects.exists()

    def test_text_that_is_no_toml_is_told_with_its_line(self, bench: Client) -> None:
        answer = bench.post(reverse("sheet-new"), {"way": "text", "text": "format = 1\nunit ="})
        assert answer.status_code == 422
        assert 'data-line="2"' in text_of(answer)

    def test_new_one_with_a_code_on_record_is_refused(self, bench: Client, sheet: str) -> None:
        sent = {"way": "text", "text": SMALL.replace("Fen 2,", "Fen 2 again,")}
        answer = bench.post(reverse("sheet-new"), sent)
        assert answer.status_code == 422
        assert "Fen 2 again," in text_of(answer)
        assert "is on record already" in text_of(answer)
        assert SheetRevision.objects.count() == 1

    def test_unchanged_text_makes_no_revision(self, bench: Client, sheet: str) -> None:
        sent = {"way": "text", "text": sent_by_a_browser(SMALL), "base_number": 1}
        page = text_of(bench.post(reverse("sheet-edit", args=[sheet]), sent, follow=True))
        assert "Nothing was changed; F2 stays at revision 1." in page
        assert SheetRevision.objects.count() == 1

    def test_overtaken_edit_is_kept_on_the_page_and_may_be_saved_knowingly(
        self, bench: Client, owner: Person, sheet: str
    ) -> None:
        sheets.write_sheet(text=SMALL.replace("Fen 2,", "Fen 2 theirs,"), by=owner)
        mine = SMALL.replace("Fen 2,", "Fen 2 mine,")
        sent = {"way": "text", "text": mine, "base_number": 1}
        address = reverse("sheet-edit", args=[sheet])
        answer = bench.post(address, sent)
        assert answer.status_code == 422
        assert "Revision 2 was written by Olive Marsh" in text_of(answer)
        assert "Fen 2 mine," in text_of(answer)
        assert SheetRevision.objects.count() == 2
        assert bench.post(address, sent | {"over": "2"}).status_code == 302
        assert SheetRevision.objects.get(number=3).text == mine

    def test_another_code_in_an_edit_is_refused(self, bench: Client, sheet: str) -> None:
        sent = {"way": "text", "text": SMALL.replace('"F2"', '"F9"'), "base_number": 1}
        answer = bench.post(reverse("sheet-edit", args=[sheet]), sent)
        assert answer.status_code == 422
        assert "sheet F2 is being edited" in text_of(answer)
        assert SpecSheet.objects.count() == 1

    def test_a_long_note_is_marked(self, bench: Client) -> None:
        sent = {"way": "text", "text": SMALL, "note": "n" * 201}
        answer = bench.post(reverse("sheet-new"), sent)
        assert answer.status_code == 422
        assert 'aria-invalid="true"' in text_of(answer).split('id="note"', 1)[1].split(">", 1)[0]


class TestWritingAsForm:
    @pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
    def test_an_untouched_form_sends_the_text_it_was_made_from(
        self, bench: Client, owner: Person, path: Path
    ) -> None:
        text = path.read_text()
        code = sheets.write_sheet(text=text, by=owner).code
        address = reverse("sheet-edit", args=[code])
        sent = fields_of(text_of(bench.get(address)))
        page = text_of(bench.post(address, sent, follow=True))
        assert f"Nothing was changed; {code} stays at revision 1." in page

    def test_one_field_changes_one_line(self, bench: Client, sheet: str) -> None:
        address = reverse("sheet-edit", args=[sheet])
        sent = fields_of(text_of(bench.get(address)))
        sent["limit.high"][0] = "0,046"
        sent["note"] = ["the foundry's letter"]
        assert bench.post(address, sent).status_code == 302
        revision = SheetRevision.objects.get(number=2)
        assert revision.text == SMALL.replace("high = 0.0465", "high = 0.046")
        assert revision.note == "the foundry's letter"

    def test_what_is_wrong_is_told_at_its_field_and_stays_typed(
        self, bench: Client, sheet: str
    ) -> None:
        address = reverse("sheet-edit", args=[sheet])
        sent = fields_of(text_of(bench.get(address)))
        sent["valve.x"][2] = "far out"
        answer = bench.post(address, sent)
        assert answer.status_code == 422
        page = text_of(answer)
        assert 'data-field="valve.x" data-place="2"' in page
        assert "valve 2A, x" in page
        assert fields_of(page)["valve.x"][2] == "far out"
        assert SheetRevision.objects.count() == 1

    def test_a_blank_row_is_passed_over_and_the_next_is_still_found(
        self, bench: Client, sheet: str
    ) -> None:
        address = reverse("sheet-edit", args=[sheet])
        sent = fields_of(text_of(bench.get(address)))
        for column, values in sent.items():
            if column.startswith("valve."):
                values.insert(1, "")
        sent["valve.x"][3] = "far out"
        page = text_of(bench.post(address, sent))
        assert 'data-field="valve.x" data-place="3"' in page
        assert "1 thing to mend" in page

    def test_code_on_record_is_marked(self, bench: Client, sheet: str) -> None:
        page = text_of(bench.get(reverse("sheet-new"), {"from": "copy", "sheet": sheet}))
        sent = fields_of(page) | {"head.code": [sheet]}
        answer = bench.post(reverse("sheet-new"), sent)
        assert answer.status_code == 422
        tag = text_of(answer).split('id="f-head.code"', 1)[1].split(">", 1)[0]
        assert 'aria-invalid="true"' in tag

    def test_a_choice_the_form_does_not_know_is_kept(self) -> None:
        draft = draft_of(SMALL.replace('kind = "intake"', 'kind = "sideways"', 1))
        kinds = table_card(draft, "valve").rows[0][2]
        assert kinds.value == "sideways"
        assert ("sideways", "sideways") in kinds.choices

    def test_every_key_of_the_sheet_has_its_field(self) -> None:
        form = sheet_form(draft_of(big_sheet_text()))
        assert {field.key for group in form.work for field in group.fields} == {
            key.name for key in TABLES["work"].keys
        }
        assert {field.key for group in form.price for field in group.fields} == {
            key.name for key in TABLES["price"].keys
        }
        assert all(form.tables[i].rows for i in (0, 1, 2, 5, 6))


class TestLive:
    def test_form_and_text_stay_in_step(self, bench: Client, sheet: str) -> None:
        sent = fields_of(text_of(bench.get(reverse("sheet-edit", args=[sheet]))))
        sent["cylinder.bore"][1] = "4.25"
        turned = text_of(bench.post(f"{reverse('sheet-draft')}?show=text", sent))
        text = unescape(turned.split('id="sheet-text"', 1)[1].split(">", 1)[1])
        text = text.split("</textarea>", 1)[0].removeprefix("\n")
        assert read_sheet(text).cylinders[1].bore_mm == pytest.approx(4.25 * 25.4)
        back = {"way": "text", "text": text.replace("4.25", "4.3"), "base_number": "1"}
        page = text_of(bench.post(f"{reverse('sheet-draft')}?show=form", back))
        again = fields_of(f'<form id="sheet">{page}</form>')
        assert again["cylinder.bore"] == ["4.0", "4.3"]
        assert 'hx-swap-oob="true"' in page

    def test_a_text_that_is_no_toml_stays_a_text(self, bench: Client) -> None:
        sent = {"way": "text", "text": "format = 1\n[head"}
        answer = bench.post(f"{reverse('sheet-draft')}?show=form", sent)
        assert answer.status_code == 422
        page = text_of(answer)
        assert "[head" in page
        assert "The form opens once the text reads as TOML" in page
        assert "hx-preserve" in page

    def test_what_can_be_drawn_is_drawn(self, bench: Client) -> None:
        wrong = SMALL.replace("x = 2.6", 'x = "?"')
        page = text_of(bench.post(reverse("sheet-draft"), {"way": "text", "text": wrong}))
        assert ">1B</text>" in page
        assert ">1A</text>" not in page
        assert "sheet-live__deck--partly" in page

    def test_nothing_is_stored(self, bench: Client) -> None:
        bench.post(reverse("sheet-draft"), {"way": "text", "text": SMALL})
        assert not SpecSheet.objects.exists()

    def test_the_answer_grows_no_faster_than_the_sheet(self, owner: Person) -> None:
        """Twice the rows take at most three times as long to read, merge and draw."""
        taken = {}
        for cylinders_count, heights_count in ((6, 60), (12, 120)):
            text = big_sheet_text(cylinders_count=cylinders_count, heights_count=heights_count)
            draft = draft_of(text)
            begun = []
            for _ in range(5):
                start = time.perf_counter()
                assert live(write_draft(draft, base=text), draft=draft, show=Show()).sound
                begun.append(time.perf_counter() - start)
            taken[cylinders_count] = min(begun)
        assert taken[12] < 3 * taken[6]

    def test_rubbish_gets_findings_and_no_fault(self, bench: Client) -> None:
        for text in ("", "\x00\x01", "[" * 5000, "a = " + "9" * 4000, "é" * 300_000):
            answer = bench.post(reverse("sheet-draft"), {"way": "text", "text": text})
            assert answer.status_code == 200
            assert "to mend" in text_of(answer)


class TestPatterns:
    def lay_out(self, bench: Client, name: str, **typed: str):
        page = text_of(bench.get(reverse("sheet-new"), {"from": "nothing", "unit": "in"}))
        sent = fields_of(page)
        sent |= {f"pattern.{name}.{field}": [value] for field, value in typed.items()}
        return bench.post(reverse("sheet-pattern", args=[name]), sent)

    def test_cylinders_come_back_as_rows(self, bench: Client) -> None:
        answer = self.lay_out(
            bench, "cylinders", count="3", first_x="3", first_y="3", pitch="5.1", bore="4"
        )
        assert answer.status_code == 200
        assert answer["HX-Trigger-After-Settle"] == "sheet-changed"
        rows = fields_of(f'<form id="sheet">{text_of(answer)}</form>')
        assert rows["cylinder.x"] == ["3", "8.1", "13.2"]
        assert "3 cylinders laid out." in text_of(answer)

    def test_a_wrong_figure_is_marked_and_the_rows_stay(self, bench: Client) -> None:
        answer = self.lay_out(
            bench, "cylinders", count="3", first_x="3", first_y="3", pitch="five", bore="4"
        )
        assert answer.status_code == 422
        page = text_of(answer)
        tag = page.split('name="pattern.cylinders.pitch"', 1)[1].split(">", 1)[0]
        assert 'aria-invalid="true"' in tag
        assert 'value="five"' in page
        assert fields_of(f'<form id="sheet">{page}</form>')["cylinder.name"] == ["1"]

    def test_every_pattern_answers_with_a_sentence_when_nothing_is_typed(
        self, bench: Client
    ) -> None:
        for name, pattern in PATTERNS.items():
            if name == "copied":
                continue
            answer = self.lay_out(bench, name, **{field.name: "" for field in pattern.fields})
            assert answer.status_code == 422, name
            assert 'role="alert"' in text_of(answer)

    def test_unknown_pattern_is_not_found(self, bench: Client) -> None:
        assert bench.post(reverse("sheet-pattern", args=["moon"])).status_code == 404


class TestWhoMay:
    def test_viewer_writes_nothing(self, viewer: Person, sheet: str) -> None:
        client = signed_in(viewer)
        for address in (reverse("sheet-new"), reverse("sheet-edit", args=[sheet])):
            assert client.get(address).status_code == 403
            assert client.post(address, {"text": SMALL}).status_code == 403
        for address in (
            reverse("sheet-draft"),
            reverse("sheet-file-in"),
            reverse("sheet-pattern", args=["cylinders"]),
            reverse("sheet-retire", args=[sheet]),
        ):
            assert client.post(address, {"retired": "yes"}).status_code == 403
        assert not SpecSheet.objects.get().retired

    def test_stranger_sees_the_door(self, sheet: str) -> None:
        for name, args in (
            ("sheet", [sheet]),
            ("sheet-edit", [sheet]),
            ("sheet-difference", [sheet]),
            ("sheet-file", [sheet, 1]),
            ("sheet-new", []),
        ):
            answer = Client().get(reverse(name, args=args))
            assert answer.status_code == 302
            assert answer["Location"].startswith(reverse("sign-in"))
