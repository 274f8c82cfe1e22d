import pytest

from spadework.demo import demo_book
from spadework.records.types import Book, FieldRecords


@pytest.fixture(scope="session")
def demo() -> Book:
    return demo_book()


@pytest.fixture(scope="session")
def demo_fields(demo: Book) -> dict[str, FieldRecords]:
    return demo.by_field()
