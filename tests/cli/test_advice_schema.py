import json

from spadework.advice.schema import advice_json_schema


def test_prints_the_schema_and_nothing_else(run):
    assert json.loads(run("advice-schema").stdout) == advice_json_schema()
