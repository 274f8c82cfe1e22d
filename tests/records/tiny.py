"""A book as small as a book can be, to spoil in one place at a time."""

from pathlib import Path

BOOK = '[book]\ntitle = "Tiny"\nseason = "2026"\ntoday = 2026-08-01\n'
FIELDS = "field,crop,sown_on,emerged_on,station\nwest,pea,2026-05-04,2026-05-18,hill\n"
DIGS = "field,date,stage_bbch,counting_unit\nwest,2026-06-24,61,nodule\n"
PLANTS = (
    "field,date,stop,plant,crown_nodules,lateral_nodules,cut_open,red_pink,white,green_brown,vigour\n"
    "west,2026-06-24,1,1,12,11-20,5,4,1,0,4\n"
    "west,2026-06-24,1,2,9,21-50,5,5,0,0,4.5\n"
)
WEATHER = "station,W_DATE,TMAX,TMIN,RAIN\nhill,2026-05-04,17.5,4.0,3.2\nhill,2026-05-05,19,5,0\n"

FILES = {
    "book.toml": BOOK,
    "fields.csv": FIELDS,
    "digs.csv": DIGS,
    "plants.csv": PLANTS,
    "weather.csv": WEATHER,
}


def tiny_book(folder: Path, **changed: str | bytes | None) -> Path:
    """Write the tiny book into a folder, with some files changed: ``plants=...`` is the whole text of plants.csv.

    ``None`` leaves a file out.
    """
    folder.mkdir(parents=True, exist_ok=True)
    renamed = {("book.toml" if name == "book" else f"{name}.csv"): content for name, content in changed.items()}
    for name, content in {**FILES, **renamed}.items():
        if content is not None:
            (folder / name).write_bytes(content if isinstance(content, bytes) else content.encode("utf-8"))
    return folder
