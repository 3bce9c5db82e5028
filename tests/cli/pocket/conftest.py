import pytest

from lightoff.cli.pocket.page import page_of
from lightoff.engine.reasoning.diagnosis import Diagnosis
from tests.cli.pocket.browsing import browser, phone
from tests.cli.pocket.using import FURNACE


@pytest.fixture(scope="session")
def chromium():
    with browser() as opened:
        yield opened


@pytest.fixture(scope="session")
def compiled(knowledge, tmp_path_factory):
    """The diagnosis of a type of furnace, and the file of its page; each made once."""
    made = {}

    def of(furnace):
        if furnace not in made:
            diagnosis = Diagnosis.of(knowledge, furnace)
            file = tmp_path_factory.mktemp("pocket") / f"{furnace}.html"
            file.write_text(page_of(diagnosis, "0"), encoding="utf-8")
            made[furnace] = diagnosis, file
        return made[furnace]

    return of


@pytest.fixture
def page(chromium, compiled):
    """A page that nobody has touched yet."""
    opened = phone(chromium, compiled(FURNACE)[1])
    yield opened
    opened.context.close()
