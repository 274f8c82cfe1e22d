"""Modules say what they offer, and offer what they say."""

import importlib
import pkgutil

import pytest

import spadework

MODULES = ["spadework", *(found.name for found in pkgutil.walk_packages(spadework.__path__, "spadework."))]


@pytest.mark.parametrize("name", MODULES)
def test_every_listed_name_is_there(name):
    module = importlib.import_module(name)
    listed = getattr(module, "__all__", [])

    assert [entry for entry in listed if not hasattr(module, entry)] == []
    assert len(set(listed)) == len(listed)


def test_the_package_lists_its_names_in_order():
    assert spadework.__all__ == sorted(spadework.__all__)
    assert "__version__" in spadework.__all__
