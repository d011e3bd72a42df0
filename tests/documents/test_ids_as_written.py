"""A sentence that begins with an id keeps it as it is written."""

from __future__ import annotations

from datetime import date

from limitcheck.diagnosis.isolation import isolate
from limitcheck.documents.isolation import isolation_document
from limitcheck.render import text as terminal
from limitcheck.units import Pressure
from tests.profiles_for_tests import WITH_GEOMETRY, with_geometry


def told(**readings: str) -> str:
    file = with_geometry(WITH_GEOMETRY.replace('id = "KB-TEA', 'id = "kb-tea'))
    assert file.profile.method.id.startswith("kb-tea")
    pressures = {name.replace("_", "-"): Pressure.parse(v) for name, v in readings.items()}
    document = isolation_document(
        file, isolate(file.profile, pressures, in_doubt=False), date(2026, 5, 1), doubt=""
    )
    return " ".join(terminal.render(document).split())


def test_the_verdict_of_an_isolation_begins_with_the_method_as_written() -> None:
    assert told().startswith("kb-tea-014 on")
    assert told(all="158 bar").startswith("kb-tea-014 on")
    rising = told(all="158 bar", all_again="210 bar")
    assert "step all was read as 158 bar and 210 bar" in rising
