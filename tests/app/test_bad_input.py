"""Bad input of each kind is told by file, line, key, wrong and right; nothing is written."""

from importlib import resources

import pytest

from app import main
from app.build_folder import fresh_build

STARTER = resources.files("app").joinpath("starter", "boat.yaml").read_text(encoding="utf-8")
CSV = """\
station,side,line,half_breadth,height
0,both,keel,0,2
0,both,chine,24,3
0,both,gunwale,29,22
70,both,keel,0,2
70,both,chine,24,3
70,both,gunwale,30,22
144,both,keel,0,6
144,both,chine,12,10
144,both,gunwale,17,26
"""

# Of each: what of the starter boat is replaced, by what; a text on the row that is at fault then; the key
# that is named; what is told.
CASES = {
    "a drain that leads nowhere": (
        "dry: {of: dry, at: [103-3/4, 0]}",
        "dry: {of: dry, at: [103-3/4, 0], to: bow}",
        "dry: {of: dry",
        "water.drains.dry.to",
        "it leads nowhere: 'bow' does not lie below it there",
    ),
    "a passage through a piece that is not there": (
        "\ndecks:\n",
        "\npassages:\n  helm: {at: [60, 0, 8], through: [deck.bow/riser.aft.9], diameter: 1}\n\ndecks:\n",
        "  helm: {at: [60",
        "passages.helm.through[1]",
        "there is no piece called 'deck.bow/riser.aft.9'",
    ),
    "a passage of no size": (
        "\ndecks:\n",
        "\npassages:\n  helm: {at: [60, 0, 8], through: [deck.bow/riser.aft.1], diameter: 0}\n\ndecks:\n",
        "  helm: {at: [60",
        "passages.helm.diameter",
        "0 is not above zero",
    ),
    "a chase of one point": (
        "\ndecks:\n",
        "\npassages:\n  helm: {points: [[60, 0, 8]], diameter: 1}\n\ndecks:\n",
        "  helm: {points",
        "passages.helm.points",
        "2",
    ),
    "a hat under a deck that is not there": (
        "\ndecks:\n",
        "\nhats:\n  rib: {under: bwo, along: [[100, 0], [110, 0]], height: 1, width: 2}\n\ndecks:\n",
        "  rib: {under",
        "hats.rib.under",
        "there is no deck 'bwo'",
    ),
    "a hat too low for its bends": (
        "\ndecks:\n",
        "\nhats:\n  rib: {under: bow, along: [[99, 0], [110, 0]], height: 1/4, width: 2}\n\ndecks:\n",
        "  rib: {under",
        "hats.rib.height",
        'a side of 1/4" leaves no room for its bends',
    ),
    "a mitre that meets nothing": (
        "\ndecks:\n",
        "\nbends:\n  deck.bow/riser.aft.1: [{edge: lower, height: 1, turn: face, corner: mitre}]\n\ndecks:\n",
        "  deck.bow/riser.aft.1: [",
        "bends.deck.bow/riser.aft.1[1].corner",
        "the lower flange meets no other mitred flange",
    ),
    "unknown key": (
        "    height: bow_height",
        "    hieght: bow_height",
        "hieght:",
        "decks.bow.hieght",
        "did you mean 'height'?",
    ),
    "bad length": (
        "bow_height: 16",
        "bow_height: 16 inchs",
        "inchs",
        "dimensions.bow_height",
        "'inchs' is not a unit of length",
    ),
    "decimal comma": (
        "bow_height: 16",
        'bow_height: "16,5"',
        "16,5",
        "dimensions.bow_height",
        "write decimals with a point",
    ),
    "a list for a length": (
        "    height: bow_height",
        "    height: [16]",
        "height: [16]",
        "decks.bow.height",
        "",
    ),
    "true for a length": (
        "    height: bow_height",
        "    height: true",
        "height: true",
        "decks.bow.height",
        "true does not fit",
    ),
    "expression that loops": (
        "  bow_height: 16",
        "  bow_height: 16\n  a: b + 1\n  b: c\n  c: a - 2",
        "  a: b + 1",
        "dimensions.a",
        "a -> b -> c -> a",
    ),
    "expression that names nothing": (
        "    forward: stern_fwd",
        "    forward: stern_fwrd",
        "stern_fwrd",
        "decks.stern.forward",
        "did you mean 'stern_fwd'?",
    ),
    "attack": (
        "    height: bow_height",
        "    height: __import__('os').system('true')",
        "__import__",
        "decks.bow.height",
        "",
    ),
    "power": (
        "    height: bow_height",
        "    height: 9**9**9",
        "9**9",
        "decks.bow.height",
        "powers are not read",
    ),
    "station doubled": (
        "- {at: 48,",
        "- {at: 24,",
        "keel: [0, 2],     chine: [25, 3-5/16]",
        "hull.stations[3].at",
        "doubled",
    ),
    "station out of order": (
        "- {at: 48,",
        "- {at: 20,",
        "{at: 20,",
        "hull.stations[3].keel",
        "out of order",
    ),
    "point above its neighbour line": (
        "chine: [25, 3-5/16]",
        "chine: [25, 23]",
        "chine: [25, 23]",
        "hull.stations[3].chine",
        "",
    ),
    "negative half-breadth": (
        "chine: [25, 3-5/16]",
        "chine: [-25, 3-5/16]",
        "chine: [-25",
        "hull.stations[3].chine",
        "",
    ),
    "unknown line": (
        "chine: [25, 3-5/16]",
        "chin: [25, 3-5/16]",
        "chin: [25",
        "hull.stations[3].chin",
        "did you mean 'chine'?",
    ),
    "deck above the gunwale": (
        "    height: bow_height",
        "    height: 40",
        "height: 40",
        "decks.bow.height",
        "above the gunwale",
    ),
    "deck below the bottom": (
        "    height: bow_height",
        "    height: -10",
        "height: -10",
        "decks.bow.height",
        "below the bottom",
    ),
    "edge that crosses itself": (
        "    forward: stern_fwd",
        "    forward: [[34, -40], [40, 0], [34, 10], [44, 10], [36, 0], [34, 40]]",
        "forward: [[34",
        "decks.stern.forward",
        "crosses itself",
    ),
    "opening off its deck": (
        "centre: [bow_aft + 16, 0]",
        "centre: [bow_aft + 5, 0]",
        "hatch:",
        "decks.bow.openings.hatch",
        "off its deck",
    ),
    "lids that overlap": (
        "openings:\n      battery:",
        "openings:\n      other: {aft: 20, starboard: 2, lid: lid-12x12}\n      battery:",
        "      battery:",
        "decks.stern.openings.battery",
        "overlap",
    ),
    "section not in the catalogue": (
        "\n  section: rect-1x1.5x0.125",
        "\n  section: rect-1x1.5x0.12",
        "rect-1x1.5x0.12",
        "defaults.section",
        "rect-1x1.5x0.125",
    ),
    "lid not in the catalogue": (
        "lid: {clearance: 1/8 in, depth: 1} ",
        "lid: lid-18x13 ",
        "lid-18x13",
        "decks.bow.openings.hatch.lid",
        "lid-18x12",
    ),
    "pair of pieces that is let off": (
        "mat:\n",
        "clearances:\n  exempt:\n    - {between: [fixture.batery, hull], least: 1/16}\nmat:\n",
        "batery",
        "clearances.exempt[1].between",
        "there is no piece called 'fixture.batery'; did you mean 'fixture.battery'",
    ),
    "gap below zero of such a pair": (
        "mat:\n",
        "clearances:\n  exempt:\n    - {between: [fixture.battery, hull], least: -1/16}\nmat:\n",
        "[fixture.battery, hull]",
        "clearances.exempt[1].least",
        "is below zero",
    ),
    "hose to a fitting that is not there": (
        "mat:\n",
        "hoses:\n  fittings:\n    out: {skin: transom, at: [10, 14]}\n"
        "  runs:\n    dry: {from: drain.dry, to: ot, kind: drain, inside: 3/4}\nmat:\n",
        "to: ot",
        "hoses.runs.dry.to",
        "there is no fitting called 'ot'; did you mean 'out'",
    ),
    "hose without a diameter": (
        "mat:\n",
        "hoses:\n  fittings:\n    out: {skin: transom, at: [10, 14]}\n"
        "  runs:\n    dry: {from: drain.dry, to: out, kind: drain, inside: 0}\nmat:\n",
        "inside: 0",
        "hoses.runs.dry.inside",
        "0 is not above zero",
    ),
    "circuit from something that is not there": (
        "mat:\n",
        "electrics:\n  batteries: {house: {of: [battery]}}\n  loads: {lamp: {at: [60, 0, 8], amps: 1}}\n"
        "  circuits:\n    lamp: {from: hous, to: lamp}\nmat:\n",
        "from: hous,",
        "electrics.circuits.lamp.from",
        "did you mean 'house'?",
    ),
    "battery that is none": (
        "mat:\n",
        "electrics:\n  batteries:\n    house: {of: [seat-post]}\nmat:\n",
        "of: [seat-post]",
        "electrics.batteries.house.of[1]",
        "there is no battery called 'seat-post'",
    ),
    "an ice box that is not there": (
        "mat:\n",
        "boxes:\n  drie: {lid: 1}\nmat:\n",
        "drie: {lid",
        "boxes.drie",
        "there is no locker 'drie'",
    ),
    "foam under a deck that is not there": (
        "mat:\n",
        "foam:\n  leave: [bough]\nmat:\n",
        "leave: [bough]",
        "foam.leave[1]",
        "there is no deck 'bough'",
    ),
    "paint on what is not there": (
        "mat:\n",
        "finish:\n  paint:\n    tops: {on: [deck.bough]}\nmat:\n",
        "tops: {on",
        "finish.paint.tops.on[1]",
        "there is no surface 'deck.bough'",
    ),
    "key that stands twice": (
        "title: My boat",
        "title: My boat\ntitle: Yours",
        "Yours",
        "title",
        "stands twice (first on line",
    ),
    "tab": ("  bow_height: 16", "\tbow_height: 16", "\tbow_height", "", "indent with spaces"),
}


@pytest.fixture
def refusal(tmp_path, capsys):
    """Builds a file that is to be refused into a folder with an earlier build; gives the lines on stderr."""
    with fresh_build(tmp_path / "out") as folder:
        (folder / "saw").write_text("the last good build")

    def run(text, name="boat.yaml"):
        (tmp_path / name).write_bytes(text if isinstance(text, bytes) else text.encode())
        code = main.run(["build", str(tmp_path / name), "-o", str(tmp_path / "out")])
        said = capsys.readouterr()
        assert code == 2, said
        assert said.out == ""
        assert (tmp_path / "out" / "saw").read_text() == "the last good build"
        assert {path.name for path in tmp_path.iterdir()} <= {"out", name, "survey.csv"}
        return [line.removeprefix(f"{tmp_path}/") for line in said.err.splitlines()]

    return run


@pytest.mark.parametrize("case", CASES)
def test_bad_input_is_told_at_its_line_with_the_cure(case, refusal):
    old, new, row, key, told = CASES[case]
    assert STARTER.count(old) == 1
    edited = STARTER.replace(old, new)
    line = next(i for i, text in enumerate(edited.splitlines(), 1) if row in text)
    lines = refusal(edited)
    place = f"boat.yaml:{line} {key}:" if key else f"boat.yaml:{line}:"
    assert any(text.startswith(place) and told in text and "; " in text for text in lines), lines


def test_all_faults_are_told_at_once(refusal):
    edited = STARTER
    for case in ("unknown key", "a list for a length"):
        edited = edited.replace(CASES[case][0], CASES[case][1])
    edited = edited.replace("    forward: stern_fwd", "    forwrd: stern_fwd")
    assert len(refusal(edited)) >= 2


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "boat.yaml:1: the file is empty"),
        ("- a\n- b\n", "boat.yaml:1: the file is not a mapping"),
        (
            "a0: &a0 [x, x, x, x, x, x, x, x]\n"
            + "".join(f"a{i}: &a{i} [{', '.join([f'*a{i - 1}'] * 8)}]\n" for i in range(1, 9)),
            "aliases counted out",
        ),
        (b"boat: \xff\n", "boat.yaml:1: the text is not UTF-8"),
        (b"#" * 50_000_000, "boat.yaml: the file has 50.0 MB; at most 2 MB are read"),
    ],
)  # fmt: skip
def test_what_is_no_boat_file_at_all(text, told, refusal):
    (line,) = refusal(text)
    assert told in line


def test_a_file_that_is_not_there(tmp_path, capsys):
    assert main.run(["check", str(tmp_path / "no.yaml")]) == 2
    assert "no.yaml: there is no such file" in capsys.readouterr().err


def with_csv():
    start = STARTER.index("  stations:")
    end = STARTER.index("  bow: {rake")
    return STARTER[:start] + "  survey: survey.csv\n" + STARTER[end:]


@pytest.mark.parametrize(
    ("old", "new", "place", "told"),
    [
        ("half_breadth,height", "half_breadth,hight", "survey.csv:1", "height"),
        ("70,both,chine,24,3", "70,both,chine,24", "survey.csv:6", ""),
        ("70,both,chine,24,3", "70,both,chine,2x4,3", "survey.csv:6", ""),
        ("70,both,chine,24,3", "70,both,chine,24,30", "survey.csv:6", ""),
        ("70,both,chine,24,3", "70,both,chine,-24,3", "survey.csv:6", ""),
        ("70,both,chine,24,3", "70,both,chin,24,3", "survey.csv:6", "did you mean 'chine'?"),
    ],
)
def test_a_faulty_survey_file_is_told_at_its_row(old, new, place, told, refusal, tmp_path):
    (tmp_path / "survey.csv").write_text(CSV.replace(old, new))
    lines = refusal(with_csv())
    assert any(text.startswith(place) and told in text for text in lines), lines


def test_a_survey_file_that_is_not_there(refusal):
    (line,) = refusal(with_csv())
    assert "survey.csv" in line
