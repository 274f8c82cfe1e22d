"""Write the invented demo season as a book of plain files, for a look or for another seed.

    python scripts/make_demo_book.py demo-book
    python scripts/make_demo_book.py other-weather --seed 7

`spadework demo` writes the same book with its verdicts and reports. The book is generated, so it is not kept in
the repository; the scenario stands in src/spadework/demo/situations.py.
"""

import argparse
from pathlib import Path

from spadework.demo import demo_book, demo_stories
from spadework.demo.season import SEED
from spadework.records.write import write_book


def main() -> None:
    parser = argparse.ArgumentParser(description="Write the invented demo season as a book.")
    parser.add_argument("folder", type=Path, help="a folder that is not there yet")
    parser.add_argument("--seed", type=int, default=SEED, help=f"seed of weather and plants (default {SEED})")
    parser.add_argument("--stories", action="store_true", help="also print what each field is there to show")
    wanted = parser.parse_args()
    if wanted.folder.exists():
        parser.error(f"{wanted.folder} is there already; name a new folder, so that nothing is overwritten")
    if wanted.seed < 0:
        parser.error(f"--seed is {wanted.seed}; it must be 0 or more")
    write_book(demo_book(wanted.seed), wanted.folder)
    if wanted.stories:
        for field, story in demo_stories().items():
            print(f"{field:<9} {story}")


if __name__ == "__main__":
    main()
