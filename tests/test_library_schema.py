"""The schemas for editors fit the shipped files, and refuse what the library refuses."""

import json

import jsonschema
import pytest
import yaml
from click.testing import CliRunner

from lightoff.cli.main import lightoff
from lightoff.engine import library
from lightoff.engine.library.scenarios import scenario_files
from lightoff.engine.library.schema import FILES, schema_of

SHIPPED = library.shipped()


def files_of(kind):
    if kind == "scenario":
        return scenario_files()
    folder = {"furnace": "furnaces"}.get(kind, kind)
    return sorted([*SHIPPED.glob(f"{folder}.yaml"), *(SHIPPED / folder).glob("*.yaml")])


@pytest.mark.parametrize("kind", FILES)
def test_every_shipped_file_fits_its_schema(kind):
    # The reference is jsonschema, which implements draft 2020-12.
    validator = jsonschema.Draft202012Validator(schema_of(kind))
    validator.check_schema(schema_of(kind))
    files = files_of(kind)
    assert files
    for path in files:
        data = yaml.safe_load(path.read_text(encoding="utf-8"))
        assert [error.message for error in validator.iter_errors(data)] == []


def test_a_misspelt_field_and_a_wrong_shape_do_not_fit():
    validator = jsonschema.Draft202012Validator(schema_of("tools"))
    right = yaml.safe_load((SHIPPED / "tools.yaml").read_text(encoding="utf-8"))[0]
    assert validator.is_valid([right])
    assert not validator.is_valid([right | {"nmae": "x"}])
    assert not validator.is_valid([right | {"name": 3}])
    assert not validator.is_valid(right)


def test_the_command_writes_it_and_names_the_kinds():
    written = CliRunner().invoke(lightoff, ["knowledge", "schema", "checks"])
    assert json.loads(written.stdout) == json.loads(json.dumps(schema_of("checks")))
    refused = CliRunner().invoke(lightoff, ["knowledge", "schema", "cheks"])
    assert refused.exit_code == 2
    assert "checks" in refused.output
