"""The boat as one page in one file to hand over: it opens from disk, shows everything, changes nothing."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.preview.cards import card_of
from app.preview.files import PAGE
from app.preview.later_work import extras
from app.preview.lids import lid_rows
from app.preview.pieces import ShownPiece, shown_pieces
from app.preview.tables import finding_pieces, finding_rows, lists_of, saw_table, sheet_table, weight_table
from app.preview.wire import Shown, as_json, whole
from cutlists.hull_lines import hull_lines

if TYPE_CHECKING:
    from cutlists.shop_file import Shop
    from model.boat import Boat
    from model.checks.run import Checked

NAME = "preview.html"

_IMPORT = re.compile(r'(\bfrom\s*|\bimport\s*)(["\'])(\.{0,2}/?[\w./-]+)\2')
_MAP = re.compile(r'  <script type="importmap">.*?</script>\n', re.DOTALL)


def write_one_file(boat: Boat, shop: Shop, checked: Checked, folder: Path) -> None:
    """Writes `preview.html` into a folder.

    Args:
        boat: the finished boat.
        shop: whose saw and marks its tables go by.
        checked: what its checks came to.
        folder: an existing folder.
    """
    (folder / NAME).write_text(one_file(boat, shop, checked), encoding="utf-8")


def one_file(boat: Boat, shop: Shop, checked: Checked) -> str:
    """The whole page as HTML that needs nothing else.

    A browser loads no module from a file beside the page, so that modules travel as data: each is given a
    name in the import map, and imports by that name.
    """
    lists = lists_of(boat, shop)
    sections: dict[str, Any] = {
        "boat": {"name": boat.name, "title": boat.title, "units": boat.units, "file": ""},
        "faults": [],
        "lids": lid_rows(boat),
        "lines": [[_point(point) for point in line.points] for line in hull_lines(boat.hull)],
        "findings": finding_rows(checked.findings),
        "looked": {"lines": checked.summary, "wrong": []},
        "saw": saw_table(lists).plain(),
        "sheets": sheet_table(lists).plain(),
        "weights": weight_table(lists.weighed).plain(),
    }
    pieces: dict[str, ShownPiece] = shown_pieces(boat, {}, "") | finding_pieces(checked.findings)
    for name, report in checked.reports.items():
        more, others = extras(boat, name, report)
        sections |= more
        pieces |= others
    cards = {name: card_of(boat, lists, name) for name in pieces if name != "hull"}
    return page_with(whole(Shown(pieces).saying(**sections)), {n: c for n, c in cards.items() if c})


def _point(point: Any) -> list[float]:
    return [round(float(value), 1) for value in point]


def page_with(block: bytes, cards: dict[str, Any], page: Path = PAGE) -> str:
    """The page with a boat in it.

    Args:
        block: all there is to show, as `wire` packs it.
        cards: of pieces by name.
        page: the folder of the page's own files.
    """
    modules = {path.relative_to(page).as_posix(): path.read_text("utf-8") for path in page.rglob("*.js")}
    imports = {"three": _data("three/three.module.js", modules)}
    imports |= {_bare(name): _data(name, modules) for name in modules}
    told = json.dumps({"imports": imports}, separators=(",", ":"))
    style = (page / "look.css").read_text("utf-8")
    start = f'import "{_bare("main.js")}";'
    html = (page / "index.html").read_text("utf-8")
    html = _MAP.sub("", html)
    mark = base64.b64encode((page / "mark.svg").read_bytes()).decode()
    html = html.replace('href="mark.svg"', f'href="data:image/svg+xml;base64,{mark}"')
    html = html.replace('  <link rel="stylesheet" href="look.css">\n', f"  <style>{style}</style>\n")
    html = html.replace('  <script type="module" src="main.js"></script>\n', "")
    policy = _policy(told, start)
    html = html.replace('<meta charset="utf-8">', f'<meta charset="utf-8">\n  {policy}')
    boat = (
        f'<script type="application/octet-stream" id="handover">{base64.b64encode(block).decode()}</script>\n'
        f'<script type="application/json" id="handover-cards">{_inert(as_json(cards))}</script>\n'
        f'<script type="importmap">{told}</script>\n<script type="module">{start}</script>\n'
    )
    return html.replace("</body>", boat + "</body>")


def _policy(told: str, start: str) -> str:
    """What the page may do: run its own modules, show its own pictures, and reach for nothing."""
    own = " ".join(f"'sha256-{_hash(text)}'" for text in (told, start))
    allowed = f"default-src 'none'; script-src {own} data:; style-src 'unsafe-inline'; img-src data:"
    return f'<meta http-equiv="Content-Security-Policy" content="{allowed}">'


def _hash(text: str) -> str:
    return base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


def _bare(name: str) -> str:
    """The name a module goes by when it has no place of its own."""
    return f"athwart/{name}"


def _data(name: str, modules: dict[str, str]) -> str:
    """A module as an address that holds it."""
    folder = Path(name).parent

    def by_name(found: re.Match[str]) -> str:
        wanted = found[3]
        if not wanted.startswith("."):
            return found[0]
        parts: list[str] = []
        for part in (folder / wanted).as_posix().split("/"):
            if part == "..":
                parts.pop()
            elif part != ".":
                parts.append(part)
        return f'{found[1]}"{_bare("/".join(parts))}"' if "/".join(parts) in modules else found[0]

    text = _IMPORT.sub(by_name, modules[name])
    return "data:text/javascript;base64," + base64.b64encode(text.encode()).decode()


def _inert(text: str) -> str:
    """JSON that cannot end the element it stands in."""
    return text.replace("<", "\\u003c")
