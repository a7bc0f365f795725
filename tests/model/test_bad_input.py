# ruff: noqa: E501  (a table of cases, one to a line)
"""A faulty boat file is refused: each fault with its line and key, what is wrong, and what would be right."""

from __future__ import annotations

import pytest

from model.boat import load_boat
from parts.faults import BadInput
from tests.model.boats import CONFIGS, boat_file, build_text, document, faults_of

BASE = """\
boat: test
units: mm
dimensions:
  main: {value: 300, least: 200, greatest: 400}
  half: main / 2
angles:
  face: {value: 135, least: 110, greatest: 150}
hull:
  lines: [keel, chine, gunwale]
  loft: straight
  bow: {rake: 0}
  stations:
    - {at: 0, keel: [0, 0], chine: [600, 0], gunwale: [600, 500]}
    - {at: 1500, keel: [0, 0], chine: [600, 10], gunwale: [600, 500]}
    - {at: 2200, keel: [0, 0], chine: [600, 0], gunwale: [600, 500]}
    - {at: 3000, keel: [0, 0], chine: [600, 0], gunwale: [600, 500]}
  ribs:
    - {name: rib, at: 700, every: 800, until: 2400, height: 30, width: 25}
  stringers:
    - {name: stringer, off_centre: 300, from: 50, to: 2900, height: 40, width: 25}
defaults:
  section: rect-25x50x3
  post_section: square-25x25x3
  sheet: 5052-2mm
  beam_span: 400
  post_span: 700
  fit_gap: 3
  hull_gap: 6
decks:
  sole:
    height: 120
    aft: 1000
    forward: 2000
  main:
    height: main
    aft: 100
    forward: 1000
    risers:
      forward: {down_to: sole}
    openings:
      hatch: {aft: 300, forward: 500, port: 300, starboard: 50, lid: {flange: 15}}
      store: {centre: [700, -300], length: 200, width: 300, lid: {flange: 15}, opens: 85}
  front:
    height: 400
    aft: 2000
    forward: 2900
    port: 300
    starboard: [[2000, -400], [2400, -400], {angle: 45, to_y: -300}]
    frame:
      beam_span: 350
      move: {beam.1: 10}
      leave_out: [beam.2]
      turn: {beam.1: 90}
lockers:
  dry: {under: main.hatch, floor: 150}
  bin: {under: front, aft: 2100, forward: 2400, port: 100, starboard: -100, floor: 50}
bulkheads:
  bow: {at: 2600, under: front}
seat_boxes:
  seat: {on: sole, centre: [1300, 300], length: 350, width: 350, height: 200}
consoles:
  helm: {on: sole, centre: [1600, -300], length: 350, width: 400, height: 350, face_from: 200, face_angle: 20}
fixtures:
  battery: {part: group-24, on: hull, at: [600, 0]}
  post: {part: pedestal-7, on: front, at: [2300, 0]}
members:
  brace: {start: [150, 0, 100], end: [150, 200, 100], start_meets: hull}
"""

# of each: what of the base is replaced, by what; the key that is named; what is wrong; what would be right
CASES = {
    # --- the file's form
    "unknown key": ("    height: main", "    hieght: main", "decks.main.hieght", "unknown key", "did you mean 'height'?"),
    "unknown section": ("seat_boxes:", "seatboxes:", "seatboxes", "unknown key", "'seat_boxes'"),
    "unknown key of a run": ("{angle: 45, to_y", "{angl: 45, to_y", "decks.front.starboard[3].angl", "unknown key", "'angle'"),
    "unknown key of a lid": ("starboard: 50, lid: {flange", "starboard: 50, lid: {flang", "decks.main.openings.hatch.lid.flang", "unknown key", "'flange'"),
    "unknown word": ("opens: 85}", "hinge: prt}", "decks.main.openings.store.hinge", "'prt' is not known here", "did you mean 'port'?"),
    "unknown side of a riser": ("      forward: {down_to", "      forwrd: {down_to", "decks.main.risers.forwrd", "not known here", "did you mean 'forward'?"),
    "missing key": ("    height: 120\n", "", "decks.sole.height", "this key is missing", "write `height: ...`"),
    "nothing behind a key": ("    height: 120\n", "    height:\n", "decks.sole.height", "nothing is behind it", "write `height: ...`"),
    "list for a length": ("    height: 120", "    height: [120]", "decks.sole.height", "[120] does not fit", "one value such as 63-1/4 in"),
    "true for a length": ("    height: 120", "    height: true", "decks.sole.height", "true does not fit", "one value such as"),
    "text for a mapping": ("lockers:\n  dry: {under: main.hatch, floor: 150}", "lockers:\n  dry: 5", "lockers.dry", "5 does not fit", "write a mapping"),
    "point of one number": ("centre: [700, -300]", "centre: [700]", "decks.main.openings.store.centre", "this list holds 1", "give at least 2"),
    "every none": ("opens: 85}", "every: {step: 200, count: 0}}", "decks.main.openings.store.every.count", "0 does not fit", "greater than or equal to 1"),
    "every half": ("opens: 85}", "every: {step: 200, count: 1.5}}", "decks.main.openings.store.every.count", "1.5 does not fit", "a whole number"),
    "every far": ("opens: 85}", "every: {step: 200, count: 5000}}", "decks.main.openings.store.every.count", "5000 does not fit", "200"),
    "name with a slash": ("  sole:\n    height", "  so/le:\n    height", "decks.so/le", "cannot be a name here", "letters, digits, - and _"),
    "name with a dot": ("  brace: {", "  br.ace: {", "members.br.ace", "cannot be a name here", "letters, digits"),
    "name that climbs": ("boat: test", "boat: ../test", "boat", "cannot be a name here", "letters, digits"),
    "name of the hull": ("  dry: {under", "  hull: {under", "lockers.hull", "it has a meaning of its own", "another name"),
    "name of a rib": ("{name: rib, at", "{name: 'r:1', at", "hull.ribs[1].name", "cannot be a name here", "letters, digits"),
    "units unknown": ("units: mm", "units: furlong", "units", "'furlong' is not known here", "known: "),
    # --- lengths and expressions
    "bad length": ("    height: 120", "    height: 120 mmm", "decks.sole.height", "'mmm' is not a unit of length", "use mm"),
    "decimal comma": ("    height: 120", "    height: '12,5'", "decks.sole.height", "comma", "decimals with a point"),
    "no number": ("    height: 120", "    height: .nan", "decks.sole.height", "", ""),
    "infinite": ("    height: 120", "    height: 1e999", "decks.sole.height", "", ""),
    "too large": ("    height: 120", "    height: 100000000000000000", "decks.sole.height", "no length for a boat", "write it like"),
    "loop": ("  half: main / 2", "  half: other\n  other: half", "dimensions.half", "half -> other -> half", "plain length"),
    "unknown name": ("    height: main", "    height: mian", "decks.main.height", "'mian' is not a named dimension", "did you mean 'main'?"),
    "unknown name in a dimension": ("  half: main / 2", "  half: mein / 2", "dimensions.half", "'mein' is not a named dimension", "'main'"),
    "call": ("    height: 120", "    height: __import__('os').system('true')", "decks.sole.height", "", "use numbers"),
    "attribute": ("    height: 120", "    height: main.__class__", "decks.sole.height", "", "use numbers"),
    "power": ("    height: 120", "    height: 9**9**9", "decks.sole.height", "powers are not read", "use numbers"),
    "division by zero": ("    height: 120", "    height: 120 / 0", "decks.sole.height", "divides by zero", "something else"),
    "length times length": ("    height: 120", "    height: main * half", "decks.sole.height", "is an area", "plain number"),
    "function": ("    height: 120", "    height: sqrt(4)", "decks.sole.height", "'sqrt' is not a function here", "min() and max()"),
    "dimension named like a unit": ("  half: main / 2", "  in: main / 2", "dimensions.in", "is a unit", "another name"),
    "least above greatest": ("{value: 300, least: 200", "{value: 300, least: 500", "dimensions.main.least", "least is above greatest", "exchange them"),
    "below its least": ("{value: 300, least: 200", "{value: 198, least: 200", "dimensions.main.value", "below its own least", "raise it"),
    "above its greatest": ("{value: 300, least: 200", "{value: 450, least: 200", "dimensions.main.value", "above its own greatest", "lower it"),
    "angle above its greatest": ("{value: 135, least: 110", "{value: 170, least: 110", "angles.face.value", "above its own greatest", "lower it"),
    "length for an angle": ("opens: 85}", "opens: 85 mm}", "decks.main.openings.store.opens", "not an angle", "write it like 45"),
    "unknown angle": ("opens: 85}", "opens: fase - 90}", "decks.main.openings.store.opens", "'fase' is not a named angle", "did you mean 'face'?"),
    "more than a turn": ("opens: 85}", "opens: face * 3}", "decks.main.openings.store.opens", "comes to 405 degrees", "one full turn"),
    "lid opens backwards": ("opens: 85}", "opens: -20}", "decks.main.openings.store.opens", "0 to 180", "angle between"),
    # --- the survey
    "station out of order": ("{at: 2200,", "{at: 3500,", "hull.stations[4].keel", "out of order", "from the transom forward"),
    "station doubled": ("{at: 1500,", "{at: 0,", "hull.stations[2].at", "doubled", "one item"),
    "point above its neighbour": ("chine: [600, 10]", "chine: [600, 510]", "hull.stations[2].chine", "above its neighbour 'gunwale'", "exchanged"),
    "negative half-breadth": ("chine: [600, 10]", "chine: [-600, 10]", "hull.stations[2].chine", "negative", "out from the centreline"),
    "unknown line": ("chine: [600, 10]", "chin: [600, 10]", "hull.stations[2].chin", "unknown line 'chin'", "did you mean 'chine'?"),
    "no survey": ("  stations:\n", "  unused:\n", "hull.unused", "unknown key", "known: "),
    "survey that is not there": ("  loft: straight", "  survey: no.csv", "hull", "two surveys", "either `survey:`"),
    "hull a kilometre long": ("{at: 3000,", "{at: 900000,", "hull", "the hull is", "`units`"),
    "rib off the hull": ("{name: rib, at: 700, every: 800, until: 2400", "{name: rib, at: 3100", "hull.ribs[1]", "rib at 3100.0 mm stands off the hull", "0.0 mm to 3000.0 mm"),
    "rib to an unknown line": ("height: 30, width: 25}", "height: 30, width: 25, to: chin}", "hull.ribs[1].to", "unknown line 'chin'", "'chine'"),
    "stringer off the hull": ("off_centre: 300", "off_centre: 700", "hull.stringers[1]", "reaches off the hull", "within the skin"),
    # --- decks
    "above the gunwale": ("    height: 120", "    height: 560", "decks.sole.height", "60.0 mm above the gunwale", "at or below 500.0 mm"),
    "below the bottom": ("    height: 120", "    height: -40", "decks.sole.height", "below the bottom", "raise it above"),
    "too steep": ("    height: 120", "    height: 120\n    slope: 75", "decks.sole.slope", "cannot rise by 75 degrees", "at most 60"),
    "edge that crosses itself": ("[[2000, -400], [2400, -400], {angle: 45, to_y: -300}]", "[[2000, -400], [2600, -300], [2600, -400], [2100, -300]]", "decks.front.starboard", "crosses itself", "in order"),
    "outline that crosses itself": ("    height: 120\n    aft: 1000\n    forward: 2000", "    height: 120\n    outline: [[1000, -300], [2000, 300], [2000, -300], [1000, 300]]", "decks.sole.outline", "crosses itself", "in order"),
    "outline and edges": ("    height: 120\n    aft: 1000\n    forward: 2000", "    height: 120\n    aft: 1000\n    outline: [[1000, -500], [2000, -500], [2000, 500], [1000, 500]]", "decks.sole.aft", "an outline tells all edges", "leave out aft"),
    "edges in the wrong order": ("    aft: 1000\n    forward: 2000", "    aft: 2000\n    forward: 1000", "decks.sole", "leave no deck", "aft and forward"),
    "deck beyond the bow": ("    aft: 1000\n    forward: 2000", "    aft: 5000\n    forward: 6000", "decks.sole", "leave no deck", "aft and forward"),
    "run that points away": ("{angle: 45, to_y: -300}", "{angle: 225, to_y: -300}", "decks.front.starboard[3]", "lies behind the run", "turn the run"),
    "run that never arrives": ("{angle: 45, to_y: -300}", "{angle: 0, to_y: -300}", "decks.front.starboard[3]", "never reaches to_y", "change the angle"),
    "run with two ends": ("{angle: 45, to_y: -300}", "{angle: 45, to_y: -300, length: 20}", "decks.front.starboard[3]", "needs one end", "just one of"),
    "run without a start": ("[[2000, -400], [2400, -400], {", "[{angle: 0, length: 3}, {", "decks.front.starboard[1]", "cannot begin with a run", "begin with a point"),
    "run of no length": ("{angle: 45, to_y: -300}", "{angle: 45, length: -5}", "decks.front.starboard[3].length", "not above zero", "above zero"),
    "point twice": ("[2400, -400], {", "[2000, -400], {", "decks.front.starboard[2]", "the same as the one before", "leave one of them out"),
    "two decks in one place": ("    height: 400\n    aft: 2000", "    height: 160\n    aft: 1900", "decks.front.height", "lies in the place of deck.sole", "52.0 mm above the other"),
    "riser on a hull edge": ("      forward: {down_to: sole}", "      port: {down_to: sole}", "decks.main.risers.port", "no free edge `port`", "free here: aft, forward"),
    "riser to nothing known": ("{down_to: sole}", "{down_to: sale}", "decks.main.risers.forward.down_to", "'sale' is neither a deck nor a named dimension", "did you mean 'sole'?"),
    "riser that climbs": ("{down_to: sole}", "{down_to: 320}", "decks.main.risers.forward.down_to", "ends above its own deck", "below the deck"),
    "riser to its own deck": ("{down_to: sole}", "{down_to: main}", "decks.main.risers.forward.down_to", "on its own deck", "a lower deck"),
    "seam off its deck": ("    height: 120", "    height: 120\n    seams: [2500]", "decks.sole.seams[1]", "off its deck", "1000.0 mm to 2000.0 mm"),
    # --- what a deck is framed of
    "section not in the catalogue": ("section: rect-25x50x3\n", "section: rect-25x50x4\n", "defaults.section", "the catalogue has no section 'rect-25x50x4'", "'rect-25x50x3'"),
    "sheet not in the catalogue": ("sheet: 5052-2mm", "sheet: 5052-9mm", "defaults.sheet", "no sheet '5052-9mm'", "did you mean"),
    "beams too close": ("      beam_span: 350", "      beam_span: 5", "decks.front.frame.beam_span", "too close for rect-25x50x3", "at least 100.0 mm"),
    "beam span of zero": ("  beam_span: 400", "  beam_span: 0", "defaults.beam_span", "0 is not above zero", "above zero"),
    "gap below zero": ("  hull_gap: 6", "  hull_gap: -6", "defaults.hull_gap", "-6 is below zero", "zero or more"),
    "move of an unknown beam": ("move: {beam.1: 10}", "move: {beem.1: 10}", "decks.front.frame.move.beem.1", "front has no beam called 'beem.1'", "did you mean 'beam.1'"),
    "move of what is no beam": ("move: {beam.1: 10}", "move: {rim.aft.1: 10}", "decks.front.frame.move.rim.aft.1", "has no beam called 'rim.aft.1'", "known: beam.1"),
    "move off the deck": ("move: {beam.1: 10}", "move: {beam.1: 5000}", "decks.front.frame.move.beam.1", "finds no free place", "move it less"),
    "leave out of an unknown member": ("leave_out: [beam.2]", "leave_out: [rim.prt.1]", "decks.front.frame.leave_out", "no member called 'rim.prt.1'", "'rim.port.1'"),
    "turn of an unknown member": ("turn: {beam.1: 90}", "turn: {beam.9: 90}", "decks.front.frame.turn.beam.9", "no member called 'beam.9'", "did you mean 'beam."),
    "no posts at an unknown thing": ("      beam_span: 350", "      no_posts: [drey]", "decks.front.frame.no_posts[1]", "nothing called 'drey'", "did you mean 'dry'?"),
    "no posts in a line": ("      beam_span: 350", "      no_posts: [[[200, 0], [300, 0]]]", "decks.front.frame.no_posts[1]", "crosses itself", "three or more points"),
    "added member of no length": ("      beam_span: 350", "      add: {tie: {start: [2200, 0], end: [2200, 0]}}", "decks.front.frame.add.tie", "has no length", "apart"),
    "added member off its deck": ("      beam_span: 350", "      add: {tie: {start: [2200, 0], end: [1400, 0]}}", "decks.front.frame.add.tie", "reaches off its deck", "within the deck"),
    # --- openings and lids
    "opening off its deck": ("{aft: 300, forward: 500, port: 300", "{aft: 300, forward: 500, port: 900", "decks.main.openings.hatch", "reaches off its deck (612 cm2 of it)", "100.0 mm to 1000.0 mm forward"),
    "lid off its deck": ("{aft: 300, forward: 500, port: 300", "{aft: 300, forward: 500, port: 590", "decks.main.openings.hatch.lid", "the lid reaches off its deck", "flange less"),
    "openings that overlap": ("centre: [700, -300]", "centre: [500, 0]", "decks.main.openings.store", "the openings of deck.main/hatch and deck.main/store overlap", "move one"),
    "lids that overlap": ("centre: [700, -300]", "centre: [625, 100]", "decks.main.openings.store", "the lids of deck.main/hatch and deck.main/store overlap", "move one"),
    "lid not in the catalogue": ("length: 200, width: 300, lid: {flange: 15}", "lid: lid-10x99", "decks.main.openings.store.lid", "no lid 'lid-10x99'", "did you mean"),
    "lid that does not fit": ("length: 200, width: 300, lid: {flange: 15}", "length: 200, width: 300, lid: lid-12x12", "decks.main.openings.store.lid", "lid-12x12 wants a cut-out of", "leave the opening's size to the lid"),
    "opening told by too little": ("{aft: 300, forward: 500, port", "{aft: 300, port", "decks.main.openings.hatch", "its place along the boat is not told", "two of aft, forward, length, centre"),
    "opening told by too much": ("{aft: 300, forward: 500, port", "{aft: 300, forward: 500, length: 100, port", "decks.main.openings.hatch", "its place along the boat", "two of"),
    "edge told twice": ("{aft: 300, forward: 500, port", "{aft: 300, from_aft: 20, forward: 500, port", "decks.main.openings.hatch.aft", "both aft and from_aft", "keep one"),
    "edges exchanged": ("{aft: 300, forward: 500", "{aft: 500, forward: 300", "decks.main.openings.hatch.forward", "forward lies behind aft", "exchange them"),
    "radius too large": ("centre: [700, -300]", "radius: 400, centre: [700, -300]", "decks.main.openings.store.radius", "too large", "smaller"),
    "radius below zero": ("centre: [700, -300]", "radius: -4, centre: [700, -300]", "decks.main.openings.store.radius", "-4 is below zero", "zero or more"),
    "opening that crosses itself": ("{centre: [700, -300], length: 200, width: 300", "{outline: [[600, -400], [800, -200], [800, -400], [600, -200]]", "decks.main.openings.store", "crosses itself", "in order"),
    "outline and place": ("{centre: [700, -300], length: 200, width: 300", "{outline: [[600, -400], [800, -400], [800, -200]], length: 200", "decks.main.openings.store.length", "an outline needs no other place", "leave out length"),
    "clearance over all": ("length: 200, width: 300, lid: {flange: 15}", "length: 200, width: 300, lid: {clearance: 150}", "decks.main.openings.store.lid.clearance", "leaves nothing of the lid", "lessen it"),
    # --- lockers, bulkheads, boxes, consoles, fixtures, members
    "locker under nothing": ("under: main.hatch", "under: main.hutch", "lockers.dry.under", "no place called 'main.hutch'", "did you mean 'main.hatch'"),
    "locker under no deck": ("under: front, aft: 2100", "under: frunt, aft: 2100", "lockers.bin.under", "no deck called 'frunt'", "did you mean 'front'?"),
    "sides of no opening": ("under: front, aft: 2100, forward", "under: front, forward", "lockers.bin", "no opening to take its sides from", "give aft"),
    "locker beside its deck": ("aft: 2100, forward: 2400", "aft: 1100, forward: 1400", "lockers.bin", "do not reach under 'front'", "name what it is under"),
    "floor above the deck": ("floor: 150}", "floor: 299}", "lockers.dry.floor", "no depth below the deck", "keep it below 288.0 mm"),
    "floor through the bottom": ("floor: 150}", "floor: 1}", "lockers.dry.floor", "through the bottom", "raise it"),
    "insulation that fills": ("floor: 150}", "floor: 150, insulation: 120}", "lockers.dry.insulation", "no room inside", "thinner"),
    "bulkhead nowhere": ("bow: {at: 2600, under: front}", "bow: {under: front}", "bulkheads.bow", "place is not told", "one of at and along"),
    "bulkhead without a top": ("bow: {at: 2600, under: front}", "bow: {at: 2600}", "bulkheads.bow", "upper edge is not told", "one of top and under"),
    "bulkhead beyond the bow": ("bow: {at: 2600, under: front}", "bow: {at: 3600, top: 300}", "bulkheads.bow", "outside the boat", "between 0.0 mm and 3000.0 mm"),
    "bulkhead inside out": ("bow: {at: 2600, under: front}", "bow: {at: 2600, top: 300, port: -50, starboard: 50}", "bulkheads.bow.starboard", "to port of port", "exchange"),
    "bulkhead upside down": ("bow: {at: 2600, under: front}", "bow: {at: 2600, top: 100, bottom: 200}", "bulkheads.bow", "upper edge lies below", "raise the top"),
    "bulkhead bent": ("bow: {at: 2600, under: front}", "bow: {along: [[2500, -50], [2600, 0], [2500, 50]], top: 300}", "bulkheads.bow.along", "runs straight", "two points"),
    "seat box on nothing": ("seat: {on: sole", "seat: {on: sol", "seat_boxes.seat.on", "no deck called 'sol'", "did you mean 'sole'?"),
    "seat box over the edge": ("centre: [1300, 300]", "centre: [1300, 500]", "seat_boxes.seat.centre", "over the edge of sole", "inward"),
    "seat box too small": ("length: 350, width: 350, height: 200", "length: 80, width: 350, height: 200", "seat_boxes.seat", "too small for its own frame", "its sides over"),
    "border over all": ("width: 350, height: 200}", "width: 350, height: 200, border: 170}", "seat_boxes.seat.border", "leaves no opening", "less than"),
    "box in a console's place": ("centre: [1300, 300]", "centre: [1500, -200]", "consoles.helm.centre", "console.helm stands in the place of seat.seat", "move one"),
    "console too steep": ("face_angle: 20", "face_angle: 85", "consoles.helm.face_angle", "cannot lean by 85 degrees", "up to 80"),
    "console without a top": ("face_angle: 20", "face_angle: 65", "consoles.helm.face_angle", "leaves no top", "lessen the angle"),
    "slope above the top": ("face_from: 200", "face_from: 400", "consoles.helm.face_from", "too near the console's top", "below the top"),
    "console too narrow": ("width: 400, height: 350", "width: 60, height: 350", "consoles.helm.width", "no room for the console's own frame", "at least"),
    "fixture unknown": ("part: group-24", "part: group-42", "fixtures.battery.part", "no fitting 'group-42'", "'group-24'"),
    "fixture on nothing": ("on: front, at: [2300, 0]", "on: fornt, at: [2300, 0]", "fixtures.post.on", "no place called 'fornt'", "'front'"),
    "fixture off its deck": ("on: front, at: [2300, 0]", "on: front, at: [1300, 0]", "fixtures.post.at", "stands off 'front'", "2000.0 mm to 2900.0 mm forward"),
    "fixture outside the hull": ("on: hull, at: [600, 0]", "on: hull, at: [600, 550]", "fixtures.battery.at", "within the hull", "inward"),
    "member of no length": ("end: [150, 200, 100]", "end: [150, 0, 100]", "members.brace", "has no length", "apart"),
    "member that meets nothing known": ("start_meets: hull", "start_meets: deck.main/rim.aft", "members.brace.start_meets", "no member called 'deck.main/rim.aft'", "deck.main/rim.aft.1"),
    "member along what it meets": ("end: [150, 200, 100], start_meets: hull", "end: [150, 200, 100], start_meets: deck.main/rim.aft.1", "members.brace.start_meets", "never meets it", "meet another member"),
    "member shorter than its cuts": ("brace: {start: [150, 0, 100], end: [150, 200, 100], start_meets: hull", "brace: {start: [60, 0, 274], end: [75, 0, 274], start_meets: deck.main/rim.aft.1", "members.brace", "shorter than its own cuts", "further apart"),
}  # fmt: skip


FOLLOWED_BY = {"negative half-breadth": 1}
"""Faults that come with another: the side then leans in and out again."""


def test_the_base_is_a_boat():
    assert len(build_text(BASE).members) > 40


@pytest.mark.parametrize("case", CASES)
def test_a_fault_is_told_with_its_place_and_cure(case):
    old, new, key, wrong, right = CASES[case]
    assert BASE.count(old) == 1, "the case must change one place"
    text = BASE.replace(old, new)
    faults = faults_of(text)
    told = [f for f in faults if f.place.key == key and wrong in f.wrong and right in f.right]
    assert told, [str(f) for f in faults]
    assert told[0].place.file == "test.yaml"
    assert told[0].right
    assert "\n" not in str(told[0])
    # the line is that of the changed place, or of what holds it
    line = text[: text.index(new) + len(new)].count("\n") + 1 if new else None
    assert told[0].place.line is not None
    if line is not None:
        assert abs(told[0].place.line - line) <= 12
    # and nothing else is told, such as a train of faults that only follow from it
    assert len(faults) == FOLLOWED_BY.get(case, 0) + 1, [str(f) for f in faults]


def test_all_faults_are_told_at_once():
    text = BASE
    wanted = set()
    for case in (
        "bad length",
        "opening off its deck",
        "rib off the hull",
        "fixture unknown",
        "console too steep",
    ):
        old, new, key, _, _ = CASES[case]
        text = text.replace(old, new)
        wanted.add(key)
    assert wanted <= {f.place.key for f in faults_of(text)}


def test_faults_come_in_order_of_their_lines():
    text = BASE.replace("part: group-24", "part: x").replace("    height: 120", "    height: q")
    lines = [f.place.line for f in faults_of(text)]
    assert lines == sorted(lines)


@pytest.mark.parametrize(
    "section",
    ["decks", "lockers", "bulkheads", "seat_boxes", "consoles", "fixtures", "members", "dimensions"],
)
def test_an_empty_section_is_as_good_as_none(section):
    text = "\n".join(BASE.split("decks:")[0].splitlines()) + "\n"
    text = text.replace(
        "dimensions:\n  main: {value: 300, least: 200, greatest: 400}\n  half: main / 2\n", ""
    )
    assert build_text(f"{text}{section}:\n").members == ()


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        ("", "empty"),
        ("- 1\n", "not a mapping"),
        ("boat: [1\n", "not YAML"),
        ("boat: x\nboat: y\n", "stands twice"),
        ("boat: &a [*a]\n", "holds itself"),
        (
            "a0: &a0 [x, x, x, x, x, x, x, x]\n"
            + "".join(f"a{i}: &a{i} [{', '.join([f'*a{i - 1}'] * 8)}]\n" for i in range(1, 9)),
            "aliases counted out",
        ),
        ("#" * 50_000_000, "too large"),
        ("boat: " + "[" * 100 + "]" * 100, "nested"),
    ],
)
def test_what_is_no_boat_file(text, wrong):
    faults = faults_of(text)
    assert any(wrong in fault.wrong for fault in faults), faults


def test_a_file_of_50_mb_is_not_read(tmp_path):
    path = tmp_path / "big.yaml"
    with path.open("wb") as out:
        out.truncate(50_000_000)
    with pytest.raises(BadInput, match=r"50\.0 MB; at most 2 MB"):
        load_boat(path)


def test_a_csv_with_a_missing_column(tmp_path):
    (tmp_path / "s.csv").write_text("station,side,line,half_breadth\n0,both,keel,0\n")
    data = boat_file()
    data["hull"] = {"survey": "s.csv", "lines": ["keel", "chine", "gunwale"]}
    (tmp_path / "boat.yaml").write_text(str(data).replace("'", '"'))
    with pytest.raises(BadInput) as refused:
        load_boat(tmp_path / "boat.yaml")
    (fault,) = refused.value.faults
    assert fault.place.file == "s.csv"
    assert fault.place.line == 1
    assert "height" in f"{fault.wrong} {fault.right}"


def test_a_survey_is_not_looked_for_elsewhere():
    data = boat_file()
    data["hull"] = {"survey": "../../secret.csv", "lines": ["keel", "gunwale"]}
    from model.boat import build_boat

    with pytest.raises(BadInput, match="leads away"):
        build_boat(document(data), CONFIGS)


def test_rims_too_short_for_their_mitres_are_refused():
    """A tongue 12 mm wide in an edge: between two outside corners a 25 mm tube has no inner side there."""
    tongue = "[[1050, -594], [1050, -6], [1000, -6], [1000, 6], [1050, 6], [1050, 594]]"
    text = BASE.replace("    aft: 1000\n    forward: 2000", f"    aft: {tongue}\n    forward: 2000")
    faults = [f for f in faults_of(text) if "shorter than its own cuts" in f.wrong]
    assert faults, faults_of(text)
    assert faults[0].place.key == "decks.sole"
    assert "longer run" in faults[0].right
