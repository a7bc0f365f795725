"""The files of the page: all that is ever served, and what a browser may do with them."""

from __future__ import annotations

import base64
import hashlib
import re
from pathlib import Path

PAGE = Path(__file__).parent / "page"
KINDS = {
    ".html": "text/html; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".svg": "image/svg+xml",
}


def page_files(folder: Path = PAGE) -> dict[str, tuple[bytes, str]]:
    """Every file of the page by its path below the folder, with its kind: the only files that are served."""
    return {
        path.relative_to(folder).as_posix(): (path.read_bytes(), KINDS[path.suffix])
        for path in sorted(folder.rglob("*"))
        if path.suffix in KINDS
    }


def policy(index: bytes) -> str:
    """What a page may load: its own files, and the import map that stands in it."""
    found = re.search(rb'<script type="importmap">(.*?)</script>', index, re.DOTALL)
    told = base64.b64encode(hashlib.sha256(found[1]).digest()).decode() if found else ""
    own = f"'self' 'sha256-{told}'" if told else "'self'"
    return (
        f"default-src 'none'; script-src {own}; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
        "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    )
