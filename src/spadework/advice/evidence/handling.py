"""Findings from what went on the seed or into the furrow, and from its way there."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

from spadework.advice.diagnosis.value import Evidence
from spadework.advice.evidence.rule import limit_for, mentions, one_of, ramp, tell, words_of
from spadework.advice.evidence.seen import Seen
from spadework.knowledge.rows import Measured, WordList
from spadework.records.types import HandlingRow, InoculantForm, InoculationRow, Placement, Sunlight

__all__ = ["handling"]

_BETWEEN = re.compile(r"[,;+/&]|\band\b|\bwith\b")
"""What stands between the active ingredients of a dressing, or the strains of a product."""


def handling(seen: Seen) -> Iterator[Evidence]:
    """All that inoculation and handling say."""
    yield from _no_inoculant(seen)
    yield from _wrong_group(seen)
    yield from _mixed_strains(seen)
    yield from _pack(seen)
    yield from _coated_seed(seen)
    yield from _dressing(seen)
    yield from _partners(seen)


def _used(seen: Seen) -> list[InoculationRow]:
    """Inoculants that went on or in, in an order that does not depend on that of the rows."""
    rows = [row for row in seen.records.inoculation if row.form is not InoculantForm.NONE]
    return sorted(rows, key=lambda row: row.model_dump_json())


def _is_on_seed(row: InoculationRow) -> bool | None:
    """Whether an inoculant sat on the seed; None where nobody wrote down where a peat or a liquid went."""
    if row.placement is not None:
        return row.placement is Placement.SEED
    return False if row.form is InoculantForm.GRANULE else None


# ------------------------------------------------------------------ what was used
def _no_inoculant(seen: Seen) -> Iterator[Evidence]:
    if seen.records.inoculation:
        used = _used(seen)
        forms = ", ".join(dict.fromkeys(str(row.form) for row in used))
        yield tell("no_inoculant", float(not used), "inoculant", {"forms": forms})


def _wrong_group(seen: Seen) -> Iterator[Evidence]:
    """The label against the crop: one that names the crop or a crop of its group is right, whatever the others name."""
    groups = [row for row in seen.knowledge.of(WordList) if row.id.startswith("words.group.")]
    own = next(row for row in groups if str(seen.crop).replace("_", " ") in row.words)
    every = [word for row in groups for word in row.words]
    labels = [row.rhizobia_group or "" for row in _used(seen)]
    named = [set(mentions(label, every)) for label in labels]
    right = [label for label, words in zip(labels, named, strict=True) if words & set(own.words)]
    if right:
        yield tell("wrong_group_label", 0.0, "label", {"label": right[0]}, (own,))
    elif named and all(named):
        yield tell("wrong_group_label", 1.0, "label", {"label": labels[0]}, (own,))


def _mixed_strains(seen: Seen) -> Iterator[Evidence]:
    """Two strains or groups on the same seed; of one product without a strain on record nobody knows what is in it."""
    used = _used(seen)
    on_seed = [row for row in used if _is_on_seed(row)]
    if not on_seed or any(_is_on_seed(row) is None for row in used):
        return
    strains = {part for row in on_seed for part in _parts(row.strain)}
    groups = {" ".join(row.rhizobia_group.lower().split()) for row in on_seed if row.rhizobia_group is not None}
    if len(strains) > 1 or len(groups) > 1:
        yield tell("mixed_strains", 1.0, "strains", {"products": len(on_seed)})
    elif len(strains) == 1 and all(row.strain is not None for row in on_seed):
        yield tell("mixed_strains", 0.0, "strains", {"products": len(on_seed)})


def _parts(text: str | None) -> tuple[str, ...]:
    """What is named in a cell that may name several things, in lower case."""
    parts = (" ".join(part.split()) for part in _BETWEEN.split((text or "").lower()))
    return tuple(part for part in parts if part)


# ------------------------------------------------------------------ how it was kept
def _pack(seen: Seen) -> Iterator[Evidence]:
    """Packs past their date, hot for hours, or frozen; whether one stood open for long is not on record."""
    used, sown = _used(seen), seen.records.field.sown_on
    if not used:
        return
    dates = [None if row.expires_on is None or sown is None else float(row.expires_on < sown) for row in used]
    old = one_of(dates)
    if old == 1.0:
        expired = min(row.expires_on for row in used if row.expires_on is not None)
        yield tell("pack_old_or_hot", 1.0, "pack_date", {"expired": expired, "sown": sown})
        return
    steps = _steps(seen, after_coating=False)
    hot, cold, hours = (limit_for(name, seen) for name in ("hot", "freezing", "hot_hours"))
    kept = [_badly_kept(step, hot=hot, cold=cold, hours=hours) for step in steps]
    worst = one_of(kept)
    if worst:
        yield tell("pack_old_or_hot", worst, "pack_kept", rows=(hot, cold, hours))
    elif worst == 0.0 and old == 0.0:
        probably_no = limit_for("pack_good", seen)
        yield tell("pack_old_or_hot", probably_no.central, "pack_kept", rows=(probably_no, hot, cold), told_as="no")


def _badly_kept(step: HandlingRow, *, hot: Measured, cold: Measured, hours: Measured) -> float | None:
    """How sure a step was too hot for hours, or freezing; None where nobody knows."""
    if step.temperature is None:
        return None
    if step.temperature < cold.central:
        return 1.0
    if step.temperature <= hot.central:
        return 0.0
    return None if step.hours is None else ramp(step.hours, hours)


def _coated_seed(seen: Seen) -> Iterator[Evidence]:
    """Coated seed that waited, or lay in the sun or in heat; where nobody wrote down where it lay a doubt is left."""
    perhaps = [row for row in _used(seen) if _is_on_seed(row) is not False]
    on_seed = [row for row in perhaps if _is_on_seed(row)]
    if not on_seed:
        return
    hot, hours, unwatched = (limit_for(name, seen) for name in ("hot", "coated_hours", "coated_unwatched"))
    steps = _steps(seen, after_coating=True)
    in_sun = any(step.sunlight is Sunlight.SUN for step in steps)
    in_heat = any(step.temperature is not None and step.temperature > hot.central for step in steps)
    if in_sun or in_heat:
        yield tell("late_after_coating", 1.0, "coated_sun", rows=(hot,))
        return
    waited = one_of(
        [
            ramp(row.hours_to_sowing, hours) if _is_on_seed(row) and row.hours_to_sowing is not None else None
            for row in perhaps
        ]
    )
    if waited is None:
        return
    watched = bool(steps) and all(step.sunlight is not None and step.temperature is not None for step in steps)
    longest = max(row.hours_to_sowing for row in on_seed if row.hours_to_sowing is not None)
    told = tell("late_after_coating", waited, "coated_hours", {"hours": longest}, (hours, unwatched))
    yield told if watched else replace(told, sure=max(waited, unwatched.central))


def _steps(seen: Seen, *, after_coating: bool) -> list[HandlingRow]:
    """Steps of the packs, or those from the one on in which seed was coated."""
    steps = sorted(seen.records.handling, key=lambda row: row.step)
    words = words_of("coating", seen).words
    coated = next((place for place, row in enumerate(steps) if mentions(row.what, words)), len(steps))
    return steps[coated:] if after_coating else steps[:coated]


# ------------------------------------------------------------------ what it met
def _dressing(seen: Seen) -> Iterator[Evidence]:
    """Active ingredients on the seed that carries the inoculant; of one that no list names nobody knows."""
    used = _used(seen)
    on_seed = [row for row in used if _is_on_seed(row) is not False]
    if not on_seed:
        if any(row.seed_treatment is not None for row in used):
            yield tell("toxic_dressing", 0.0, "dressing_apart")
        return
    harmful, mild = limit_for("harmful_dressing", seen), limit_for("mild_dressing", seen)
    harms = [_harm(row, seen) for row in on_seed]
    known = [(sure, row) for sure, row in zip(harms, on_seed, strict=True) if sure is not None]
    if not known:
        return
    worst, row = max(known, key=lambda one: one[0])
    lists = (words_of("harmful_dressing", seen), words_of("mild_dressing", seen))
    is_harmful = bool(mentions(row.seed_treatment or "", lists[0].words))
    if is_harmful or len(known) == len(harms):
        values, rows = {"dressing": row.seed_treatment}, (*lists, harmful, mild)
        yield tell("toxic_dressing", worst, "dressing", values, rows, told_as="yes" if is_harmful else "no")


def _harm(row: InoculationRow, seen: Seen) -> float | None:
    """How sure a dressing is harmful to the inoculant on the same seed."""
    text = (row.seed_treatment or "").strip().lower()
    if not text or not _is_on_seed(row):
        return None
    if text in words_of("no_dressing", seen).words:
        return 0.0
    if mentions(text, words_of("harmful_dressing", seen).words):
        return limit_for("harmful_dressing", seen).central
    is_mild = all(mentions(part, words_of("mild_dressing", seen).words) for part in _parts(text))
    return limit_for("mild_dressing", seen).central if is_mild else None


def _partners(seen: Seen) -> Iterator[Evidence]:
    """What inoculant was mixed with, by kind; only where it was written of each step can a kind be ruled out."""
    partners = [(row.partner or "").strip().lower() for row in sorted(seen.records.handling, key=lambda row: row.step)]
    kinds = [_kinds(partner, seen) for partner in partners]
    # Of water it is not known whether it was chlorinated.
    for finding, kind, open_with in (
        ("fertiliser_contact", "fertiliser", {"unknown"}),
        ("harmful_partner", "harmful", {"unknown", "water"}),
    ):
        sure = one_of([1.0 if kind in one else None if one & open_with else 0.0 for one in kinds])
        if sure is not None:
            partner = next((text for text, one in zip(partners, kinds, strict=True) if kind in one), "")
            yield tell(finding, sure, finding, {"partner": partner}, (words_of(kind, seen),))


def _kinds(partner: str, seen: Seen) -> set[str]:
    """What each part of a partner is: fertiliser, harmful, water, nothing, or unknown where no list names it."""
    return set().union(*(_kinds_of_part(part, seen) for part in _parts(partner) or ("",)))


def _kinds_of_part(part: str, seen: Seen) -> set[str]:
    """A dressing that was on the seed anyway is no partner."""
    kinds = {kind for kind in ("fertiliser", "harmful") if mentions(part, words_of(kind, seen).words)}
    dressing = words_of("harmful_dressing", seen).words
    on_seed = {word for row in _used(seen) for word in mentions(row.seed_treatment or "", dressing)}
    if set(mentions(part, dressing)) - on_seed:
        kinds.add("harmful")
    return kinds or {kind for kind in ("water", "nothing") if part in words_of(kind, seen).words} or {"unknown"}
