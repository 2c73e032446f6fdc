"""Ultrasound of a case: phaco time, average power, effective phaco time, dissipated energy.

Each span of machine values i has a time t_i in which ultrasound was on (`phaco_us`), a mean
longitudinal power P_i and a mean torsional amplitude T_i, both per cent of their greatest.

- Phaco time: the sum of t_i.
- Average power: sum(P_i t_i) / sum(t_i), over the spans in which P was noted.
- Effective phaco time, s: sum(t_i P_i / 100); the time that full longitudinal power would have
  taken for the same.
- Cumulative dissipated energy: sum(t_i P_i / 100) + 0.4 sum(t_i T_i / 100), that is mean
  longitudinal power times its time plus 0.4 times mean torsional amplitude times its time. The
  number has no common unit; it is read as per cent-seconds over 100.

The duty cycle is applied once, and only to a time that is taken from the length of a span: a time
that the machine counted stands, and power is never lowered by the duty cycle.

Sources. Duty cycle as the part of a cycle in which ultrasound is on: Devgan U, Pulse programming
with variable duty cycle modifies energy delivery, June 2007. That no machine shows a standard
measure of energy, such as joules: Devgan U, Decreasing phaco energy, November 2004. Effective time
as time multiplied by power: Randleman JB et al., The resident surgeon phacoemulsification learning
curve, Archives of Ophthalmology 2007;125(9):1215-1219, abstract, there called adjusted time. That
torsional amplitude adds to it with a weight of 0.4 is the usual formula, from memory: no printed
statement of it could be read; its scale is held against printed means in
tests/published/test_energy.py. What a machine itself shows may be reckoned otherwise, so figures of
two machines are neither added nor compared.

Where only one of P and T was noted for a span, the other is taken as not used. Where neither was,
its time counts as phaco time and is told apart (`unnoted_us`): power, effective time and energy
then say what was noted, and no more.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from annotate.clock import US_PER_S
from annotate.marks import Setting
from annotate.tags import Tag, TagKind
from metrics.intervals import Spans, measure, subtract, union

TORSIONAL_WEIGHT = 0.4
"""Of torsional amplitude in cumulative dissipated energy; from memory."""
TIME_RULE = (
    "Phaco time = what the machine counted; else the length of the span "
    "\N{MULTIPLICATION SIGN} its duty cycle; else the whole span"
)
FORMULA = (
    "Effective phaco time = mean longitudinal power \N{MULTIPLICATION SIGN} phaco time; dissipated "
    "energy = effective phaco time + 0.4 \N{MULTIPLICATION SIGN} mean torsional amplitude "
    "\N{MULTIPLICATION SIGN} phaco time"
)
SOURCE = (
    "effective phaco time after Randleman and others, Arch Ophthalmol 2007;125:1215 (time "
    "multiplied by power); the weight 0.4 is the usual one, from memory; a machine may reckon "
    "otherwise"
)


@dataclass(frozen=True, slots=True)
class MachineTotals:
    """Ultrasound on one machine.

    Attributes
    ----------
    machine : str
        Its name as first noted; empty where none was.
    spans : int
        Spans of values in which ultrasound was on.
    phaco_us : int
        Time in which ultrasound was on, microseconds.
    powered_us : int
        The part of it for which longitudinal power was noted.
    effective_s : float or None
        Effective phaco time, seconds; None where no longitudinal power was noted.
    dissipated : float or None
        Cumulative dissipated energy, per cent-seconds over 100; None where neither longitudinal
        power nor torsional amplitude was noted.
    unnoted_us : int
        Phaco time for which neither power nor torsional amplitude was noted.
    is_shared_out : bool
        Whether a time read off the machine was shared out by length, because somebody else
        operated in part of its span.
    operator_only : MachineTotals or None
        The same without the hand-over spans; None where there is none.
    """

    machine: str
    spans: int
    phaco_us: int
    powered_us: int
    effective_s: float | None
    dissipated: float | None
    unnoted_us: int
    is_shared_out: bool = False
    operator_only: MachineTotals | None = field(default=None)

    @property
    def average_power_percent(self) -> float | None:
        """Mean of longitudinal power over the time for which it was noted; None where for none."""
        if self.effective_s is None or not self.powered_us:
            return None
        return min(self.effective_s * 100 * US_PER_S / self.powered_us, 100.0)


@dataclass(frozen=True, slots=True)
class _Spent:
    """One span's ultrasound: seconds on, power and amplitude in per cent."""

    on_s: float
    power: float | None
    torsional: float | None
    is_shared_out: bool = False


def energy(settings: Iterable[Setting], tags: Iterable[Tag] = ()) -> Mapping[str, MachineTotals]:
    """Totals of each machine apart, by its name; nothing is ever added over two.

    Parameters
    ----------
    settings : iterable of Setting
        In any order. Spans in which no ultrasound was on, or of which nothing on ultrasound was
        noted, count for nothing.
    tags : iterable of Tag
        Hand-overs are taken from them; other tags change nothing.

    Returns
    -------
    mapping
        From a machine's name to its totals, in order of first use; '' is a machine not named.
        Names that differ in case or spaces alone are one machine.
    """
    others = union(
        (tag.start_us, tag.end_us)
        for tag in tags
        if tag.kind is TagKind.HAND_OVER and tag.end_us is not None
    )
    by_machine: dict[str, list[Setting]] = {}
    for setting in sorted(settings, key=lambda s: (s.start_us, s.end_us, s.id)):
        by_machine.setdefault(machine_key(setting.machine), []).append(setting)
    found: dict[str, MachineTotals] = {}
    for spans in by_machine.values():
        totals = _totals(spans, others)
        if totals.spans:
            found[totals.machine] = totals
    return found


def phaco_us(setting: Setting) -> int:
    """Time in which ultrasound was on in a span, microseconds.

    What was read off the machine (`energy_s`) stands; else, where power or amplitude is noted as
    none at all, nothing; else the length of the span times its duty cycle where that was noted;
    else the whole span where power or torsional amplitude is above zero; else nothing.
    """
    return round(_on_s(setting) * US_PER_S)


def machine_key(name: str) -> str:
    """What two names of one machine have in common."""
    return " ".join(name.split()).casefold()


def added(first: MachineTotals, second: MachineTotals) -> MachineTotals:
    """Totals of two cases, or of two parts of one, on one machine.

    Raises
    ------
    ValueError
        If they are of two machines, or of one that was not named: such numbers have no common
        unit.
    """
    key = machine_key(first.machine)
    if not key or key != machine_key(second.machine):
        raise ValueError("energies of two machines, or of one not named, cannot be added")
    return MachineTotals(
        machine=first.machine,
        spans=first.spans + second.spans,
        phaco_us=first.phaco_us + second.phaco_us,
        powered_us=first.powered_us + second.powered_us,
        effective_s=_sum_or_none(first.effective_s, second.effective_s),
        dissipated=_sum_or_none(first.dissipated, second.dissipated),
        unnoted_us=first.unnoted_us + second.unnoted_us,
        is_shared_out=first.is_shared_out or second.is_shared_out,
    )


def _totals(settings: Sequence[Setting], others: Spans) -> MachineTotals:
    machine = " ".join(settings[0].machine.split())
    whole = _summed(machine, [_spent(setting, ()) for setting in settings])
    if not others:
        return whole
    alone = _summed(machine, [_spent(setting, others) for setting in settings])
    return replace(whole, operator_only=alone)


def _spent(setting: Setting, others: Spans) -> _Spent:
    """What a span spent outside of the others' time; a time read off is shared out by length."""
    length_us = setting.end_us - setting.start_us
    own_us = measure(subtract(((setting.start_us, setting.end_us),), others))
    return _Spent(
        on_s=_on_s(setting) * own_us / length_us,
        power=setting.power_percent,
        torsional=setting.torsional_percent,
        is_shared_out=setting.energy_s is not None and 0 < own_us < length_us,
    )


def _on_s(setting: Setting) -> float:
    length_s = (setting.end_us - setting.start_us) / US_PER_S
    if setting.energy_s is not None:
        return setting.energy_s
    strengths = [v for v in (setting.power_percent, setting.torsional_percent) if v is not None]
    if strengths and not any(strengths):
        return 0.0
    if setting.duty_cycle_percent is not None:
        return length_s * setting.duty_cycle_percent / 100
    return length_s if strengths else 0.0


def _summed(machine: str, spent: Sequence[_Spent]) -> MachineTotals:
    used = [one for one in spent if one.on_s > 0]
    powered = [(one.on_s, one.power) for one in used if one.power is not None]
    turned = [(one.on_s, one.torsional) for one in used if one.torsional is not None]
    powered_s = sum(on_s for on_s, _ in powered)
    effective_s = sum(on_s * power / 100 for on_s, power in powered)
    turned_s = sum(on_s * amplitude / 100 for on_s, amplitude in turned)
    unnoted_s = sum(one.on_s for one in used if one.power is None and one.torsional is None)
    return MachineTotals(
        machine=machine,
        spans=len(used),
        phaco_us=round(sum(one.on_s for one in used) * US_PER_S),
        powered_us=round(powered_s * US_PER_S),
        effective_s=effective_s if powered else None,
        dissipated=effective_s + TORSIONAL_WEIGHT * turned_s if powered or turned else None,
        unnoted_us=round(unnoted_s * US_PER_S),
        is_shared_out=any(one.is_shared_out for one in used),
    )


def _sum_or_none(*values: float | None) -> float | None:
    noted = [value for value in values if value is not None]
    return sum(noted) if noted else None
