"""Each module has a test file of the same name at the same place."""

from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SOURCE = ROOT / "src" / "spadework"

# Module, and why it has no test file of its own.
WITHOUT_MIRROR: dict[str, str] = {}


def mirror(module: Path) -> Path:
    place = module.relative_to(SOURCE)
    return ROOT / "tests" / place.with_name(f"test_{place.name}")


def modules() -> dict[str, Path]:
    found = (path for path in SOURCE.rglob("*.py") if path.name != "__init__.py")
    return {path.relative_to(SOURCE).as_posix(): path for path in sorted(found)}


def test_no_module_goes_untested():
    missing = [
        str(mirror(path).relative_to(ROOT))
        for name, path in modules().items()
        if name not in WITHOUT_MIRROR and not mirror(path).is_file()
    ]
    assert missing == []


def test_exceptions_are_still_needed():
    known = modules()
    stale = [name for name in WITHOUT_MIRROR if name not in known or mirror(known[name]).is_file()]
    assert stale == []
