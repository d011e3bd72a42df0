"""Generated profiles and readings, as analysts might have them."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from hypothesis import strategies as st

from limitcheck.diagnosis.reading import Reading, read
from limitcheck.diagnosis.telling import AFTER, CAME, Told
from limitcheck.profile.load import ProfileFile, load_bytes
from limitcheck.units import TRADE_UNITS, Pressure

_TUBE = '[[flow_path]]\npart = "tubing"\nlength = "{length} mm"\nbore = "{bore} mm"\n'
_SOLVENTS = ("water", "20 mM phosphate, pH 2.5", "0.1 % formic acid in water", "acetone")
_ORGANIC = ("acetonitrile", "methanol", "ethanol", "acetonitrile/water 90:10")

_LONGER = st.sampled_from(("", "-second-floor", "-isocratic-in-water-150-x-4.6"))


@dataclass(frozen=True)
class Case:
    """A profile with a reading, and what else was seen."""

    file: ProfileFile
    pressure: Pressure
    told: Told
    swing: Pressure | None
    period: float | None

    @property
    def reading(self) -> Reading:
        """What it says."""
        return read(
            self.file.profile,
            self.pressure,
            told=self.told,
            swing=self.swing,
            period=self.period,
            in_doubt=False,
        )


@st.composite
def profile_texts(draw: st.DrawFn) -> str:
    """The text of a valid profile; much of it may be missing."""
    unit = draw(st.sampled_from(TRADE_UNITS))
    bar = draw(st.integers(20, 900))
    scale = Pressure.of(1, "bar").to(unit)

    def amount(number: Fraction) -> str:
        return f"{float(number * scale):.6g}"

    low, high = Fraction(bar), Fraction(bar) * draw(st.sampled_from((105, 130, 300))) / 100
    lines = [
        f'format = 1\n[method]\nid = "KB-TEA-014{draw(_LONGER)}"\nrevision = "B"',
        f'[instrument]\nid = "KB-LC-{draw(st.integers(1, 99)):02}{draw(_LONGER)}"',
        f'pressure_unit = "{unit}"',
        "[cutoffs]",
    ]
    if draw(st.booleans()):
        lines.append(f"high = {amount(high * draw(st.sampled_from((90, 125, 200))) / 100)}")
    if draw(st.booleans()):
        lines.append(f"low = {amount(low / 2)}")
    if draw(st.integers(0, 4)):
        basis = draw(st.sampled_from(("measured", "declared", "predicted")))
        lines.append(f'[expected]\nlow = {amount(low)}\nhigh = {amount(high)}\nbasis = "{basis}"')
        if draw(st.booleans()):
            lines.append(f"swing = {amount(low / 50)}")
    lines.append('[conditions]\nflow = "1.0 mL/min"')
    lines += draw(st.sampled_from((['temperature = "35 degC"'], [])))
    lines += draw(st.sampled_from((['ambient = "21 degC"'], [])))
    lines.append(f'solvent_a = "{draw(st.sampled_from(_SOLVENTS))}"')
    programme = draw(st.integers(0, 2))
    if programme:
        lines.append(f'solvent_b = "{draw(st.sampled_from(_ORGANIC))}"')
        lines.append(
            f"percent_b = {draw(st.integers(0, 100))}"
            if programme == 1
            else "gradient = [{minute = 0, percent_b = 5}, {minute = 10, percent_b = 60}]"
        )
    lines.append('[[flow_path]]\npart = "pump"')
    if draw(st.booleans()):
        lines.append(f'rating = "{draw(st.integers(200, 1300))} bar"')
    if draw(st.booleans()):
        lines.append(f'stroke_volume = "{draw(st.integers(5, 100))} uL"')
        lines += draw(st.sampled_from((["heads = 1"], ["heads = 2"], [])))
    lines.append(_TUBE.format(length=draw(st.integers(100, 900)), bore="0.17"))
    for part in draw(st.lists(st.sampled_from(("filter", "injector", "mixer")), unique=True)):
        lines.append(f'[[flow_path]]\npart = "{part}"\nlabel = "{part}, steel, finger-tight"')
        lines += draw(st.sampled_from((['rating = "350 bar"'], [])))
    if draw(st.booleans()):
        lines.append('[[flow_path]]\npart = "guard column"')
    lines.append(
        '[[flow_path]]\npart = "column"\nlength = "150 mm"\nbore = "4.6 mm"\n'
        f'particle_size = "{draw(st.sampled_from(("1.7", "3", "5")))} um"'
    )
    if draw(st.booleans()):
        lines.append(f'rating = "{draw(st.integers(40, 1200))} bar"')
    lines += draw(st.sampled_from((["reversible = true"], ["reversible = false"], [])))
    if draw(st.booleans()):
        lines.append('[[flow_path]]\npart = "detector cell"\nrating = "60 bar"')
    return "\n".join(lines) + "\n"


@st.composite
def cases(draw: st.DrawFn) -> Case:
    """A profile, a reading from nothing to far too much, and answers."""
    file = load_bytes(draw(profile_texts()).encode(), "tea.toml")
    expected = file.profile.expected
    unit = file.profile.instrument.pressure_unit
    base = expected.high.to(unit) if expected is not None else Fraction(200)
    times = draw(st.sampled_from((0, 1, 7, 10, 40, 80, 95, 105, 120, 170, 400, 1000, 1450)))
    pressure = Pressure.of(Fraction(f"{float(base * times / 100):.4g}"), unit)
    told = Told(
        draw(st.sampled_from((None, *CAME))),
        draw(st.sampled_from((None, 0.0, 21.0, float("inf")))),
        draw(st.sampled_from((None, *AFTER))),
        draw(st.sampled_from((None, True, False))),
    )
    swing = None
    if pressure.value and draw(st.booleans()):
        share = draw(st.sampled_from((0, 1, 5, 30)))
        swing = Pressure.of(Fraction(f"{float(pressure.to(unit) * share / 100):.3g}"), unit)
    period = draw(st.sampled_from((None, 0.3, 1.2, 30.0))) if swing is not None else None
    return Case(file, pressure, told, swing, period)
