"""The values that a machine setting holds: their names, units and sensible ranges."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from types import MappingProxyType

from annotate.clock import US_PER_S
from annotate.errors import UserFacingError
from annotate.marks import Setting

LONGEST_WORDS = 40
"""Characters of a mode or of a machine's name."""
SLACK_S = 1.0
"""A machine shows whole seconds: ultrasound may be read as this much longer than its span."""


@dataclass(frozen=True, slots=True)
class ValueKind:
    """One value of a setting.

    Attributes
    ----------
    code : str
        As a vocabulary's limits call it.
    name : str
        Of the field of `Setting`, and of the column in a file.
    least, most : float
        What lies beyond is a slip of the keyboard, not a machine's value: common practice, no
        source.
    """

    code: str
    name: str
    label: str
    unit: str
    least: float
    most: float

    def of(self, setting: Setting) -> float | None:
        """The value in a setting; None where it was not noted."""
        found: float | None = getattr(setting, self.name)
        return found

    def words(self, value: float) -> str:
        """Say a value with its unit."""
        return f"{value:g} {self.unit}"


VALUES = (
    ValueKind("vacuum", "vacuum_mmhg", "Vacuum", "mmHg", 0, 1000),
    ValueKind("flow", "flow_cc_min", "Flow", "cc/min", 0, 200),
    ValueKind("power", "power_percent", "Power", "%", 0, 100),
    ValueKind("duty-cycle", "duty_cycle_percent", "Duty cycle", "%", 0, 100),
    ValueKind("torsional", "torsional_percent", "Torsional", "%", 0, 100),
    ValueKind("bottle", "bottle_cm", "Bottle", "cm", 0, 300),
    ValueKind("pressure", "pressure_mmhg", "Pressure", "mmHg", 0, 200),
    ValueKind("ultrasound-time", "energy_s", "Ultrasound", "s", 0, 36_000),
)
BY_CODE: Mapping[str, ValueKind] = MappingProxyType({kind.code: kind for kind in VALUES})
BY_NAME: Mapping[str, ValueKind] = MappingProxyType({kind.name: kind for kind in VALUES})


def faults_of(setting: Setting) -> list[str]:
    """Say, each as a clause, what in a setting lies outside the sensible ranges."""
    faults = []
    for kind in VALUES:
        value = kind.of(setting)
        if value is not None and not kind.least <= value <= kind.most:
            faults.append(
                f"{kind.label.lower()} is {kind.least:g} to {kind.most:g} {kind.unit}, "
                f"not {value:g}"
            )
    length_s = (setting.end_us - setting.start_us) / US_PER_S
    if setting.energy_s is not None and setting.energy_s > length_s + SLACK_S:
        faults.append(
            f"ultrasound cannot have been on for {setting.energy_s:g} s in {length_s:.1f} s"
        )
    for name, words in (("mode", setting.mode), ("machine's name", setting.machine)):
        if len(words) > LONGEST_WORDS:
            faults.append(f"the {name} has {len(words)} characters; at most {LONGEST_WORDS} fit")
    return faults


def checked(setting: Setting) -> Setting:
    """The same setting.

    Raises
    ------
    UserFacingError
        If a value lies outside its sensible range, or none was given.
    """
    faults = faults_of(setting)
    if is_empty(setting):
        faults.append("no value is given")
    if faults:
        said = "; ".join(faults)
        raise UserFacingError(f"{said[0].upper()}{said[1:]}.", "Nothing was changed.")
    return setting


def is_empty(setting: Setting) -> bool:
    """Whether a setting says nothing but its machine's name."""
    return not setting.mode and all(kind.of(setting) is None for kind in VALUES)


def same_values(first: Setting, second: Setting) -> bool:
    """Whether two settings hold the same, wherever they stand and whatever their ids are."""
    return all(
        getattr(first, field.name) == getattr(second, field.name)
        for field in fields(Setting)
        if field.name not in ("id", "session_id")
    )


def number_in(text: str) -> float:
    """Read a number written with a dot or a comma for its decimals.

    Raises
    ------
    ValueError
        If it is no finite plain number.
    """
    flat = text.strip().replace("\N{MINUS SIGN}", "-")
    if flat.count(",") == 1 and "." not in flat:
        flat = flat.replace(",", ".")
    if not flat or not set(flat) <= set("+-.0123456789"):
        raise ValueError("not a number")
    return float(flat)


def value_words(setting: Setting) -> str:
    """Say all that is noted: 'sculpt, vacuum 80 mmHg, flow 25 cc/min'."""
    said = [setting.mode] if setting.mode else []
    for kind in VALUES:
        value = kind.of(setting)
        if value is not None:
            said.append(f"{kind.label.lower()} {kind.words(value)}")
    return ", ".join(said)
