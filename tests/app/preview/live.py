"""A preview that is really served, for tests: in a thread, on a free port, of a boat in a folder."""

import shutil
import threading
import time
from pathlib import Path

from app.preview.guard import Guard, hosts_of
from app.preview.serve import HERE, bound, server
from app.preview.workshop import Workshop

CONFIGS = Path(__file__).parents[3] / "configs"

POND = """boat: pond12
title: Pond 12
units: in

dimensions:  # all of them
  deck: {value: 13, least: 11, greatest: 15}   # height of the bow deck
  deck_aft: "84"   # station
  lid: deck / 13 * 14

angles: {slant: 60}

hull:
  lines: [keel, chine, gunwale]
  thickness: 0.1
  stations:
    - {at: 0,   keel: [0, 1],     chine: [22, 1-1/4],     gunwale: [26, 18]}
    - {at: 36,  keel: [0, 1],     chine: [23, 1-1/4],     gunwale: [27-1/4, 18-1/4]}
    - {at: 72,  keel: [0, 1],     chine: [22-3/4, 1-1/2], gunwale: [27, 18-3/4]}
    - {at: 108, keel: [0, 2-3/4], chine: [20, 3-3/4],     gunwale: [24, 20]}
    - {at: 136, keel: [0, 6-1/2], chine: [15-1/4, 7-3/4], gunwale: [19, 21-1/2]}

defaults: {section: rect-1x1.5x0.125, sheet: 5052-0.100, beam_span: 14, post_span: 26}

decks:
  bow:
    height: deck
    aft: [[deck_aft, -40], [deck_aft, 0], {angle: slant, to_y: 40}]
    forward: 130
    openings:
      hatch:
        {centre: [deck_aft + 21, -6], length: lid, width: 16, lid: {clearance: 1/8}, hinge: forward}
"""
"""A small boat that is quick to build."""


def pond(folder):
    """The small boat in a folder."""
    path = folder / "pond12.yaml"
    path.write_text(POND, encoding="utf-8")
    return path


def lake(folder):
    """The main demo in a folder."""
    for name in ("lake16.yaml", "lake16-survey.csv", "shop.yaml"):
        shutil.copy(CONFIGS / name, folder / name)
    return folder / "lake16.yaml"


class Live:
    """A preview being served; `stop` it, or use as a context."""

    def __init__(self, path, port=0, shared=False):
        listening = bound(HERE, port)
        self.port = listening.getsockname()[1]
        self.links = []
        self.guard = Guard(hosts_of(HERE, self.port, False), shared, self.links.append)
        self.workshop = Workshop(path.resolve())
        self.server = server(self.workshop, self.guard)
        self.thread = threading.Thread(target=self.server.run, args=([listening],), daemon=True)
        self.thread.start()
        while not self.server.started:
            time.sleep(0.01)

    @property
    def address(self):
        return f"http://{HERE}:{self.port}/"

    @property
    def line(self):
        return f"ws://{HERE}:{self.port}/line"

    def stop(self):
        self.server.force_exit = True
        self.server.should_exit = True
        self.thread.join(10)

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.stop()
