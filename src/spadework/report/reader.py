"""Who reads a decision: in which units, words and money its figures and sentences are shown."""

from __future__ import annotations

from dataclasses import dataclass

from spadework.advice.messages import render
from spadework.advice.value import FieldAdvice, Message
from spadework.knowledge.rows import Crop
from spadework.report.display import UnitSystem, amounts_in
from spadework.report.labels import Labels, labels

__all__ = ["Reader", "reader_of"]


@dataclass(frozen=True)
class Reader:
    """Units and language of the page, crop of the field and currency of the book."""

    units: UnitSystem
    language: str
    crop: Crop
    currency: str

    @property
    def texts(self) -> Labels:
        """Words of the page."""
        return labels(self.language)

    def say(self, message: Message) -> str:
        """The sentence, its amounts in the reader's units."""
        return render(message, self.language, amounts=amounts_in(self.units, self.crop, currency=self.currency))


def reader_of(advice: FieldAdvice, units: UnitSystem, language: str = "en") -> Reader:
    """The reader of the advice on a field."""
    currency = "" if advice.decision is None else advice.decision.currency
    return Reader(units=units, language=language, crop=advice.crop, currency=currency)
