"""Write the pages of docs/ that are made from the program. Run by ``make docs``; tests hold them fresh."""

from pathlib import Path

from spadework.cli.reference import commands_markdown
from spadework.records.schema import refreshed

DOCS = Path(__file__).resolve().parents[1] / "docs"

PAGES = {"commands.md": commands_markdown}

if __name__ == "__main__":
    for name, text in PAGES.items():
        (DOCS / name).write_text(text(), encoding="utf-8")
    book = DOCS / "book.md"
    book.write_text(refreshed(book.read_text(encoding="utf-8")), encoding="utf-8")
