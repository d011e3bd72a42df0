"""`python -m tests.fuzz`: look for inputs that break what must hold, and keep them as cases."""

from __future__ import annotations

import argparse
import subprocess
import sys
import time
import traceback
from importlib.util import find_spec

from hypothesis import HealthCheck, Phase, given, settings

from .targets import TARGETS, Target, keep


def main() -> int:
    """Fuzz each target; 1 where something broke."""
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz", description=__doc__)
    parser.add_argument("--seconds", type=float, default=60, help="for each target (default 60)")
    parser.add_argument("--target", choices=TARGETS, action="append", help="may be repeated")
    arguments = parser.parse_args()
    broken = 0
    for name in arguments.target or TARGETS:
        target = TARGETS[name]
        guided = find_spec("atheris") is not None
        share = arguments.seconds / 2 if guided else arguments.seconds
        broken += generated(target, share)
        if guided:
            broken += coverage_guided(target, share)
        else:
            print(f"{name}: coverage-guided part not run: pip install 'limitcheck[fuzz]'")
    return 1 if broken else 0


def generated(target: Target, seconds: float) -> int:
    """Inputs from the strategies until the time is over or one breaks; how many broke."""
    end, tried = time.monotonic() + seconds, 0
    last = b""

    @settings(
        max_examples=200,
        deadline=None,
        database=None,
        suppress_health_check=list(HealthCheck),
        phases=[Phase.generate, Phase.shrink],
    )
    @given(target.inputs)
    def hold(content: bytes) -> None:
        nonlocal tried, last
        tried, last = tried + 1, content
        target.hold(content)

    while time.monotonic() < end:
        try:
            hold()
        except Exception:  # whatever breaks is the find; the last input is the smallest that did
            traceback.print_exc(limit=-8)
            print(f"{target.name}: broken after {tried} inputs; kept as {keep(target, last)}")
            return 1
    print(f"{target.name}: {tried} generated inputs, nothing broke")
    return 0


def coverage_guided(target: Target, seconds: float) -> int:
    """Inputs that reach new branches, in a process of its own, which the fuzzer ends."""
    command = [sys.executable, "-m", "tests.fuzz.guided", target.name, str(int(seconds))]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    lines = done.stderr.splitlines()
    if done.returncode:
        print("\n".join([*done.stdout.splitlines(), *lines][-40:]))
        return 1
    last = next((line for line in reversed(lines) if "cov:" in line), "")
    print(f"{target.name}: coverage-guided, nothing broke: {last.strip()}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
