"""A patch is what git applies, for any text, any line ends, any name."""

from __future__ import annotations

import shutil
import subprocess
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import given, settings
from hypothesis import strategies as st

from limitcheck.checking.corrections import Fix
from limitcheck.checking.file import check_file
from limitcheck.policy import DEFAULT_POLICY
from limitcheck.render.patch import patch
from tests.needs import need_program
from tests.profiles_for_tests import profile_file

REPORT = check_file(profile_file(), DEFAULT_POLICY, date(2026, 11, 25))
LINES = st.lists(
    st.builds(
        str.__add__,
        st.text(st.characters(exclude_characters="\n", exclude_categories=["Cs"]), max_size=8),
        st.sampled_from(["\n", "\n", "\r\n", "\r", ""]),
    ),
    min_size=1,
    max_size=30,
).map("".join)
NAMES = st.lists(
    st.text(
        st.characters(exclude_characters="/\0", exclude_categories=["Cs"]), min_size=1, max_size=8
    ).filter(lambda name: name not in (".", "..") and name.lower().rstrip(". ") != ".git"),
    min_size=1,
    max_size=3,
).map("/".join)


@settings(max_examples=40)
@given(name=NAMES, before=LINES, after=LINES)
def test_git_applies_it(name: str, before: str, after: str) -> None:
    need_program("git")
    with TemporaryDirectory() as folder:
        (Path(folder) / ".git").mkdir()
        path = Path(folder, name)
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(before.encode())
        content = patch(Fix(str(path), "", before, after, (), REPORT))
        shutil.rmtree(Path(folder, ".git"))
        subprocess.run(["git", "init", "-q"], cwd=folder, check=True)
        command = ["git", "-c", "core.autocrlf=false", "apply", "--whitespace=nowarn"]
        done = subprocess.run(command, cwd=folder, input=content, capture_output=True, check=False)
        if before != after:
            assert done.returncode == 0, (done.stderr, content)
        assert (path.read_bytes() if path.exists() else b"") == after.encode()
