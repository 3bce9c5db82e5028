"""The sheets of a scenario as one HTML page that needs nothing else: to print, A4 or Letter.

No text of a scenario becomes markup: each is cleaned and escaped, and there are no links.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from html import escape
from typing import TYPE_CHECKING

from lightoff.cli import screen

if TYPE_CHECKING:
    from lightoff.cli.scenario.sheet import Section, Sheet

# No paper size is named, so that the printer's own is used, A4 or Letter.
PAGE = """\
<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title}</title>
<style>
  @page {{ margin: 18mm; }}
  body {{ font: 1rem/1.45 sans-serif; color: #000; background: #fff; max-width: 42rem; margin: 1rem auto; padding: 0 1rem; overflow-wrap: anywhere; }}
  h1 {{ font-size: 1.5rem; line-height: 1.2; }}
  h2 {{ font-size: 1.1rem; margin: 1.2rem 0 .3rem; break-after: avoid; }}
  p, ul, ol {{ margin: .3rem 0; }}
  li, tr {{ break-inside: avoid; }}
  table {{ border-collapse: collapse; width: 100%; }}
  thead {{ display: table-header-group; }}
  th, td {{ padding: .15rem .6rem .15rem 0; text-align: left; vertical-align: top; border-bottom: 1px solid #777; }}
  .figure {{ text-align: right; font-variant-numeric: tabular-nums; white-space: nowrap; }}
  .line {{ height: 2rem; border-bottom: 1px solid #000; break-inside: avoid; }}
  @media print {{ body {{ font-size: 10.5pt; max-width: none; margin: 0; padding: 0; }} }}
</style>
</head>
<body>
<main>
<h1>{title}</h1>
{sections}
</main>
</body>
</html>
"""  # noqa: E501

TAGS = {"list": "ul", "numbered": "ol"}
FIRST_FIGURE = 2
"""Column of a table from which on there are figures."""


def page(sheet: Sheet) -> str:
    """The sheet as HTML."""
    sections = "\n".join(line for each in sheet.sections for line in _section(each))
    return PAGE.format(title=shown(sheet.title), sections=sections)


def shown(text: str) -> str:
    """The text on one line, in which nothing is markup and no hidden sign is left."""
    return escape(screen.clean(" ".join(text.split())))


def _section(section: Section) -> Iterator[str]:
    yield "<section>"
    if section.heading:
        yield f"<h2>{shown(section.heading)}</h2>"
    if section.drawn in TAGS:
        tag = TAGS[section.drawn]
        yield from (f"<{tag}>", *(f"<li>{shown(each)}</li>" for each in section.texts), f"</{tag}>")
    else:
        yield from (f"<p>{shown(each)}</p>" for each in section.texts)
    if section.rows:
        yield "<table>"
        yield f"<thead>{_row(section.columns, 'th')}</thead>"
        yield f"<tbody>{''.join(_row(each, 'td') for each in section.rows)}</tbody>"
        yield "</table>"
    yield from ['<div class="line"></div>'] * section.lines
    yield "</section>"


def _row(cells: Sequence[str], tag: str) -> str:
    figures = [' class="figure"' if number >= FIRST_FIGURE else "" for number in range(len(cells))]
    drawn = (
        f"<{tag}{figure}>{shown(cell)}</{tag}>" for cell, figure in zip(cells, figures, strict=True)
    )
    return f"<tr>{''.join(drawn)}</tr>\n"
