"""What is kept of others is byte for byte what VENDOR.md says."""

import re
from hashlib import sha256
from pathlib import Path

import pytest
import vl_convert

import castworthy.web

VENDOR = Path(castworthy.web.__file__).parent / "static" / "castworthy" / "vendor"
ROW = re.compile(r"^\| (\S+) \| (\S+) \| (\S+) \| .+ \| ([0-9a-f]{64}) \|$", re.MULTILINE)
ROWS = ROW.findall((VENDOR / "VENDOR.md").read_text())


def test_htmx_is_listed_with_its_version() -> None:
    kept = {name: (package, version) for name, package, version, _ in ROWS}
    assert kept["htmx.min.js"][0] == "htmx.org"
    assert kept["htmx.min.js"][1] in (VENDOR / "htmx.min.js").read_text()


def test_the_chart_bundle_is_what_its_package_writes() -> None:
    assert vl_convert.javascript_bundle() == (VENDOR / "vega.min.js").read_text()


@pytest.mark.parametrize(("name", "digest"), [(row[0], row[3]) for row in ROWS])
def test_a_kept_file_is_what_was_taken(name: str, digest: str) -> None:
    assert sha256((VENDOR / name).read_bytes()).hexdigest() == digest


def test_every_script_kept_is_listed() -> None:
    scripts = {path.relative_to(VENDOR).as_posix() for path in VENDOR.rglob("*.js")}
    assert scripts == {row[0] for row in ROWS if row[0].endswith(".js")}
