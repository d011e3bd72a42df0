"""What to type as AnIML, read by a library that others made of the standard.

No registry we can reach has the XML Schema itself; animl2 declares each element, attribute and type
of AnIML core 0.90 and reads by these: https://pypi.org/project/animl2 (MIT).
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from xml.etree import ElementTree

import pytest
from animl2.models import AnIMLDoc  # type: ignore[import-untyped]

from limitcheck.cli.app import run
from limitcheck.profile.load import load
from limitcheck.tables.animl import NAMESPACE, NOT_IN_IT
from tests.profiles_for_tests import text

ROOT = Path(__file__).parents[2]
EVERY = [*sorted((ROOT / "profiles").glob("*.toml")), *sorted((ROOT / "examples").rglob("*.toml"))]
_ORDER = ["Device", "Category"]


def exported(tmp_path: Path, *paths: Path) -> tuple[AnIMLDoc, ElementTree.Element]:
    output = tmp_path / "sheet.animl"
    run(["export", *map(str, paths), f"-o{output}"])
    content = output.read_text("utf-8")
    return AnIMLDoc.loads(content), ElementTree.fromstring(content)


def parameters(template: object) -> dict[str, object]:
    category = template.method.category  # type: ignore[attr-defined]
    assert category.name == "Pressure cutoffs"
    return {one.name: one for one in category.parameters}


def plain(element: ElementTree.Element) -> tuple[object, ...]:
    """An element by name, attributes and text, with those in it: the library drops what is none."""
    names = {key: value for key, value in element.attrib.items() if not key.startswith("xmlns")}
    schema = {key: value for key, value in names.items() if "schemaLocation" not in key}
    text = (element.text or "").strip()
    number = str(float(text)) if element.tag.rpartition("}")[2] == "D" else text
    return element.tag.rpartition("}")[2], schema, number.lower(), [plain(e) for e in element]


def test_every_profile_is_read_as_the_standard_has_it(tmp_path: Path) -> None:
    document, root = exported(tmp_path, *EVERY)
    assert root.tag == f"{{{NAMESPACE}}}AnIML"
    templates = document.experiment_set.templates
    assert len(templates) == len(root[0]) > 20
    assert len({one.templateID for one in templates}) == len(templates)
    again = document.dump_xml()
    assert plain(again) == plain(root)
    typed = 0
    for template, element in zip(templates, root[0], strict=True):
        names = [child.tag.rpartition("}")[2] for child in element[0]]
        assert names == _ORDER
        said = parameters(template)
        assert said["Not in this file"].value.value == NOT_IN_IT  # type: ignore[attr-defined]
        ready = said["May be typed"].value.value  # type: ignore[attr-defined]
        assert ready in (True, False, "true", "false")
        if str(ready).lower() == "false":
            assert "Why nothing is to be typed" in said
            assert not any("cutoff" in name for name in said)
            continue
        typed += 1
        profile = load(template.sourceDataLocation).profile
        assert template.method.device.identifier.value == profile.instrument.id
        for end in ("high", "low"):
            pressure = getattr(profile.cutoffs, end)
            number = said.get(f"{end.capitalize()} cutoff")
            assert (number is None) == (pressure is None or not pressure.value)
            if number is None:
                continue
            assert Fraction(str(number.value.value)) == pressure.to(pressure.unit)  # type: ignore[attr-defined]
            units = {str(one.unit): one for one in number.unit.siunits}  # type: ignore[attr-defined]
            assert {name: int(one.exponent) for name, one in units.items()} == {
                **{"kg": 1, "m": -1, "s": -2}
            }
            pascal = float(number.value.value) * float(units["kg"].factor)  # type: ignore[attr-defined]
            assert pascal == pytest.approx(float(pressure.value), rel=1e-12)
    assert typed > 3


def test_a_name_that_xml_would_take_for_its_own_is_text(tmp_path: Path) -> None:
    path = tmp_path / "a.toml"
    path.write_text(text(method='"<KB> & \\"tea\\""'), "utf-8")
    document, _ = exported(tmp_path, path)
    (template,) = document.experiment_set.templates
    assert template.method.name == '<KB> & "tea"'
