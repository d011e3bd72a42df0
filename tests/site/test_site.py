"""The documentation site: it builds, its links hold, and nothing of the program is left out."""

from __future__ import annotations

import re
import subprocess
import sys
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread

import pytest

from docsite import made, physics
from docsite.format import OF_TWO
from docsite.settings import settings_table
from limitcheck.checks import CHECKS, check_name
from limitcheck.checks.documentation import DOCUMENTED
from limitcheck.cli.app import COMMANDS
from limitcheck.documents.explanation import explanation_data
from limitcheck.page.addresses import EDIT, TASKS
from limitcheck.physics import constants, heat, resistance, usual
from limitcheck.policy import DEFAULT_POLICY, settings
from limitcheck.profile.amounts import RANGES
from limitcheck.profile.described import DESCRIBED
from limitcheck.profile.schema import profile_schema
from limitcheck.profile.usual_ranges import USUAL
from limitcheck.profile.usual_ranges import usual as usual_range
from limitcheck.schemas import with_schema
from limitcheck.units.tables import KINDS

from ..browser.run import run_script
from ..documentation import ROOT, runs


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The site, built with every warning an error: links, anchors, pages left out."""
    folder = tmp_path_factory.mktemp("site")
    build = [sys.executable, "-m", "mkdocs", "build", "--strict", "-q", "-d", str(folder)]
    done = subprocess.run(build, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return folder


def words(path: Path) -> str:
    """The text of a page, as it is read."""
    text = re.sub(r"<[^>]+>", "", path.read_text("utf-8"))
    for name, sign in (("lt", "<"), ("gt", ">"), ("quot", '"'), ("amp", "&")):
        text = text.replace(f"&{name};", sign)
    return " ".join(text.split())


@pytest.mark.parametrize("name", [entry.name for entry in COMMANDS])
def test_every_command_has_its_page(site: Path, name: str) -> None:
    text = words(site / "commands" / name / "index.html")
    assert "--color WHEN" in text
    assert f"limitcheck {name}" in text
    assert f'href="{name}/"' in site.joinpath("commands/index.html").read_text("utf-8")
    shown = [run.command for run in runs((ROOT / f"docs/commands/{name}.md").read_text("utf-8"))]
    serves = name == "page"  # until it is ended: nothing to show
    assert serves or any(command.split()[1] == name for command in shown)


def test_every_screen_of_the_page_is_told(site: Path) -> None:
    text = words(site / "commands/page/index.html")
    assert all(f"{task.label} {task.purpose}" in text for task in (*TASKS, EDIT))
    assert "Only with --edit" in text


def test_no_page_fails_in_the_browser(site: Path, tmp_path: Path) -> None:
    """Attack on issue 18, 26: a script failed on every page."""
    handler = partial(Quiet, directory=str(site))
    with ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
        thread = Thread(target=server.serve_forever)
        thread.start()
        origin = f"http://127.0.0.1:{server.server_port}"
        pages = ["/", "/bench/", "/checks/not-decided/", "/commands/page/", "/format/"]
        try:
            told = run_script("site.mjs", str(tmp_path), *(origin + page for page in pages))
        finally:
            server.shutdown()
            thread.join()
    assert list(told) == [f"{origin}{page} {mode}" for page in pages for mode in ("light", "dark")]
    assert {name: errors for name, errors in told.items() if errors} == {}


class Quiet(SimpleHTTPRequestHandler):
    """Serves the files of a folder without a word."""

    def log_message(self, *_: object) -> None:
        pass


def test_pages_for_the_laboratory_name_nothing_of_the_repository(site: Path) -> None:
    """Attack on issue 18: `python -m tests.detection`, "a profile of the tests"."""
    for path in site.rglob("*.html"):
        text = words(path)
        internals = ["python -m tests", "profile of the tests", "pytest"]
        if path.parent.name != "physics":  # which names the tables of published values
            internals.append("tests/")
        for internal in internals:
            assert internal not in text, path.relative_to(site)


def test_every_option_of_a_command_is_on_its_page(site: Path) -> None:
    text = words(site / "commands/check/index.html")
    for option in ("--fail-on GRADE", "--output, -o FILE", "--changed-since REV", "PATH..."):
        assert option in text


@pytest.mark.parametrize("name", DOCUMENTED)
def test_every_check_has_its_page(site: Path, name: str) -> None:
    text = words(site / "checks" / name / "index.html")
    told = explanation_data(name)
    for key in ("summary", "do", "at_the_bench"):
        assert told[key][1:].replace("`", "") in text.replace("`", "")
    assert f'href="{name}/"' in site.joinpath("checks/index.html").read_text("utf-8")


def test_most_checks_show_a_finding(site: Path) -> None:
    pages = {name: words(site / "checks" / name / "index.html") for name in DOCUMENTED}
    shown = [name for name, text in pages.items() if "As it is printed For a profile" in text]
    assert {check_name(check) for check in CHECKS} - set(shown) <= {"rating-raised-over-shared"}


def test_every_key_of_the_format_has_its_row(site: Path) -> None:
    tables = profile_schema()["$defs"]
    page = site.joinpath("format/index.html").read_text("utf-8")
    for name, keys in DESCRIBED.items():
        assert keys.keys() == tables[name]["properties"].keys(), name
        section = page.partition(f'id="{name.lower()}"')[2].partition("<h2")[0]
        for key in keys:
            assert f'data-head="Key"><code>{key}</code></td>' in section, f"{name}.{key}"
    assert tables.keys() - DESCRIBED.keys() == {"Text", "PartInUse"}


def test_every_usual_range_is_told() -> None:
    told = {*USUAL.values(), *OF_TWO}
    # A flow is told in units of its own; how long a gradient lasts is no range of each point.
    assert {*told, "flow", "gradient"} == RANGES.keys()
    assert not told & {"flow", "gradient"}
    for table, key in USUAL:
        assert key in DESCRIBED[table], f"{table} has no {key}"
    assert usual_range("Conditions", "flow") == "0.3 nL/min to 10 L/min"


def test_every_unit_has_its_row(site: Path) -> None:
    text = words(site / "units/index.html")
    for known in KINDS.values():
        for unit in known.values():
            assert unit.definition in text
            assert str(unit.factor) in text


def test_every_correlation_is_told(site: Path) -> None:
    page = site.joinpath("physics/index.html").read_text("utf-8")
    told = [f.__name__ for name in _modules() for f in physics.functions(name)]
    assert {"viscosity", "bed_resistance", "tube_resistance", "turbulent_friction"} <= set(told)
    assert all(f'id="{name}"' in page for name in told)
    text = words(site / "physics/index.html")
    for table in (constants.SOLVENTS, resistance.PACKINGS, usual.USUAL_LENGTH, heat.FILM):
        assert all(name in text for name in table)


def _modules() -> list[object]:
    from importlib import import_module

    return [import_module(f"limitcheck.physics.{name}") for name, _ in physics._MODULES]


def test_no_module_with_correlations_is_forgotten() -> None:
    from limitcheck import physics as package

    given = {path.stem for path in Path(package.__file__).parent.glob("*.py")}
    with_source = {
        name
        for name in given - {"__init__"}
        if list(physics.functions(__import__(f"limitcheck.physics.{name}", fromlist=["_"])))
    }
    assert with_source <= {name for name, _ in physics._MODULES}


def test_every_setting_and_schema_is_told(site: Path) -> None:
    text = words(site / "policy/index.html")
    assert all(setting.name in text for setting in settings(DEFAULT_POLICY))
    output = words(site / "output/index.html")
    assert all(f"limitcheck schema {name}" in output for name in with_schema())


def test_every_setting_says_what_it_is() -> None:
    rows = [row for row in settings_table().splitlines() if row.startswith("|")][2:]
    told = {row.split("|")[1].strip().strip("`"): row.split("|")[3].strip() for row in rows}
    assert all(told.values())
    assert told["transfer.edition"].startswith("The edition")
    assert told["transfer.length_over_particle_less"].startswith("Length over particle size")


def test_nothing_is_fetched_when_it_is_read(site: Path) -> None:
    for path in site.rglob("*.html"):
        fetched = re.findall(
            r'<(?:script|img|link)[^>]*(?:src|href)="(https?:)', path.read_text("utf-8")
        )
        assert not fetched, path
    assert not any("url(http" in path.read_text("utf-8") for path in site.rglob("*.css"))


def test_a_piece_that_nobody_makes_is_an_error() -> None:
    with pytest.raises(KeyError):
        made.put_in("<!-- made: nothing -->", "x.md")


def test_every_piece_is_asked_for() -> None:
    pages = "\n".join(path.read_text("utf-8") for path in ROOT.glob("docs/**/*.md"))
    assert all(f"<!-- made: {name} -->" in pages for name in made.MADE)
