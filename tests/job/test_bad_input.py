"""Bad input at the command line: one clear line each, exit 1, no traceback, nothing on stdout."""

import json
import os

import pytest

GOOD = [[0, 0], [100, 0], [100, 60], [0, 60]]
PANEL = [[-200, -200], [300, -200], [300, 300], [-200, 300]]


def rust(ring):
    return {"rust": [{"ring": ring}]}


CASES = {
    # name: (changes to a sound job, field, words in its line)
    "bow-tie": (rust([[0, 0], [100, 60], [100, 0], [0, 60]]), "rust[0].ring", "crosses"),
    "spike": (
        rust([[0, 0], [100, 0], [100, 60], [140, 60], [100, 60], [0, 60]]),
        "rust[0].ring[3]",
        "spike",
    ),
    "duplicate points": (rust([*GOOD[:2], *GOOD[1:]]), "rust[0].ring[1]", "twice in a row"),
    "two points": (rust(GOOD[:2]), "rust[0].ring", "at least 3 different points"),
    "no points": (rust([]), "rust[0].ring", "at least 3 different points"),
    "zero area": (rust([[0, 0], [50, 0], [100, 0]]), "rust[0].ring", "at least 1 mm²"),
    "no rust": ({"rust": []}, "rust", "draw the rust-out first"),
    "rust outside the panel": (
        {"panel": {"outline": [[200, 200], [300, 200], [300, 300]]}},
        "rust[0].ring",
        "inside panel.outline",
    ),
    "hole outside the panel": (
        {"panel": {"outline": PANEL, "holes": [[[400, 0], [450, 0], [450, 50]]]}},
        "panel.holes[0]",
        "inside panel.outline",
    ),
    "negative thickness": ({"sheet": {"thickness": -1}}, "sheet.thickness", "0.4 to 4 mm"),
    "absurd thickness": ({"sheet": {"thickness": "5 m"}}, "sheet.thickness", "0.4 to 4 mm"),
    "zero thickness": ({"sheet": {"thickness": 0}}, "sheet.thickness", "0.4 to 4 mm"),
    "unit of mass": ({"sheet": {"thickness": "1 kg"}}, "sheet.thickness", "something else"),
    "unit of length for a flow": ({"weld": {"flow": "10 mm"}}, "weld.flow", "something else"),
    "unknown unit": ({"patch": {"margin": "1 cubit"}}, "patch.margin", "not a known unit"),
    "unknown key": ({"patch": {"margn": 5}}, "patch.margn", 'did you mean "margin"?'),
    "unknown key at the top": ({"wled": {}}, "wled", 'did you mean "weld"?'),
    "unknown price": ({"shop": {"prices": {"flap_disk": 1}}}, "flap_disk", "flap_disc"),
    "wrong format": ({"format": "sheetkit-job/9"}, "format", "sheetkit-job/1"),
    "wrong word": ({"patch": {"joint": "glue"}}, "patch.joint", "'butt', 'lap' or 'plug'"),
    "covered electrode": ({"weld": {"process": "111"}}, "weld.process", "not for thin sheet"),
    "gas of another process": ({"weld": {"process": "141", "gas": "M21"}}, "weld.gas", "I1"),
    "gas for a gasless wire": ({"weld": {"process": "114", "gas": "M21"}}, "weld.gas", "no shield"),
    "flow for a gasless wire": ({"weld": {"process": "114", "flow": 10}}, "weld.flow", "no shield"),
    "gaps in a floor seam": ({"weld": {"spacing": 20}}, "weld.spacing", "not a continuous seam"),
    "dots by TIG": ({"weld": {"process": "141", "fill": "dots"}}, "weld.fill", "wire-feed"),
    "point of one number": (rust([[0], [1, 1], [2, 0]]), "rust[0].ring[0]", "one point [x, y]"),
    "text for a point": (rust([["a", 0], [9, 9], [9, 0]]), "rust[0].ring[0]", "must be"),
    "panel cut in two by a hole": (
        {
            "panel": {
                "outline": PANEL,
                "holes": [[[-200, 100], [300, 100], [300, 120], [-200, 120]]],
            }
        },
        "panel.holes",
        "in one piece",
    ),
    "panel cut in two by two holes that meet": (
        {
            "panel": {
                "outline": PANEL,
                "holes": [
                    [[-200, 100], [60, 100], [60, 120], [-200, 120]],
                    [[50, 90], [300, 90], [300, 110], [50, 110]],
                ],
            }
        },
        "panel.holes",
        "in one piece",
    ),
    "rust beside the panel": (
        {
            "panel": {"outline": PANEL},
            "rust": [{"ring": GOOD}, {"ring": [[301, 0], [304, 0], [304, 50]]}],
        },
        "rust[1].ring",
        "off the metal",
    ),
    "rust in two holes that meet": (
        {
            "panel": {
                "outline": PANEL,
                "holes": [
                    [[-5, -5], [50, -5], [50, 65], [-5, 65]],
                    [[50, -5], [105, -5], [105, 65], [50, 65]],
                ],
            }
        },
        "rust[0].ring",
        "off the metal",
    ),
    "fold too tight": (
        {
            "sheet": {"thickness": 3},
            "patch": {"folds": [{"line": [[0, 30], [100, 30]], "angle": 90, "radius": 0.5}]},
        },
        "patch.folds[0].radius",
        "0.6 to 300 mm",
    ),
    "formula for a currency": ({"shop": {"currency": ";=1"}}, "shop.currency", "letters or sign"),
    "comma for a currency": ({"shop": {"currency": "a,b"}}, "shop.currency", "letters or sign"),
    "blank currency": ({"shop": {"currency": " "}}, "shop.currency", "letters or sign"),
    "long currency": ({"shop": {"currency": "x" * 9}}, "shop.currency", "at most 8"),
    "negative money": ({"shop": {"labour_rate": -5}}, "shop.labour_rate", "at least 0"),
    "both at and line": (
        {"panel": {"protect": [{"name": "x", "at": [0, 0], "line": [[0, 0], [1, 1]]}]}},
        "panel.protect[0]",
        "one of at, line",
    ),
}


@pytest.fixture
def write(tmp_path, job_data):
    def to_file(changes=None, text=None):
        path = tmp_path / "job.json"
        path.write_text(json.dumps(job_data() | (changes or {})) if text is None else text)
        return path

    return to_file


def refused(done):
    """Return the fault lines of a run that was refused as it should be."""
    assert done.returncode == 1, done
    assert done.stdout == ""
    assert "Traceback" not in done.stderr
    lines = done.stderr.splitlines()
    assert lines
    for line in lines:
        assert ": got " in line and line.count("; ") >= 2, line
        assert line.isprintable()
    return lines


@pytest.mark.parametrize("name", CASES)
def test_case(name, write, capfd):
    """Through the command line's own `main`, as a subprocess would."""
    from sheetkit.__main__ import main

    changes, field, words = CASES[name]
    path = write(changes)
    code = main(["check", str(path)])
    out, err = capfd.readouterr()
    assert (code, out) == (1, "")
    lines = err.splitlines()
    assert any(line.startswith(f"{field}: got ") or f"{field}: got " in line for line in lines), err
    assert words in err
    assert "Traceback" not in err
    assert len(lines) == 1, "one fault, one line"


TEXTS = {
    "empty": ("", "empty file"),
    "blank": (" \n\n", "empty file"),
    "not JSON": ("hello", "line 1 column 1"),
    "comma missing": ('{"format": "sheetkit-job/1"\n "sheet": 1}', "line 2 column 2"),
    "cut off": ('{"format": ', "the end of the file"),
    "a list": ("[1, 2]", "one JSON object"),
    "a number": ("5", "one JSON object"),
    "NaN": ('{"format": "sheetkit-job/1", "sheet": {"thickness": NaN}}', "finite"),
    "infinity": ('{"sheet": {"thickness": -Infinity}}', "finite"),
    "key twice": ('{"title": "a", "title": "b"}', "twice"),
    "nested too deep": ("[" * 100_000, "nested too deep"),
    "nested deep inside": ('{"rust": ' + "[" * 900 + "]" * 900 + "}", "rust"),
    "number too long": ('{"x": ' + "9" * 6000 + "}", "number too long"),
}


@pytest.mark.parametrize("name", TEXTS)
def test_text(name, write, capfd):
    from sheetkit.__main__ import main

    text, words = TEXTS[name]
    assert main(["estimate", str(write(text=text))]) == 1
    out, err = capfd.readouterr()
    assert out == "" and words in err and "Traceback" not in err


@pytest.mark.parametrize("command", ["check", "estimate", "sequence"])
def test_each_command_refuses_in_a_process_of_its_own(cli, write, command):
    path = write(CASES["bow-tie"][0])
    (line,) = refused(cli(command, path))
    assert line.startswith("rust[0].ring: got an outline that crosses or touches itself")
    assert refused(cli(command, path, "--json")) == [line]


def test_several_faults_are_all_told_at_once(cli, write):
    path = write(
        {
            "format": "other",
            "sheet": {"thickness": "-1 mm", "coating": "gold"},
            "rust": [
                {"ring": [[0, 0], [100, 60], [100, 0], [0, 60]]},
                {"ring": GOOD},
                {"ring": [[0, 0], [1, 1]]},
            ],
            "patch": {"margn": 5, "gap": "2 kg"},
            "weld": {"process": "141", "gas": "C1", "fill": "dots"},
        }
    )
    lines = refused(cli("check", path))
    fields = [line.split(": got")[0] for line in lines]
    for field in (
        "format",
        "sheet.thickness",
        "sheet.coating",
        "rust[0].ring",
        "rust[2].ring",
        "patch.margn",
        "patch.gap",
        "weld.gas",
        "weld.fill",
    ):
        assert field in fields, (field, lines)
    assert len(lines) == 9


def test_a_ring_that_is_no_ring_gets_no_second_complaint(cli, write):
    """One fault is one line: nothing about missing rust when rust is there but malformed."""
    (line,) = refused(cli("check", write({"rust": [[1, 2]]})))
    assert line.startswith("rust[0]")


def test_rust_inside_an_existing_hole_is_named(cli, write):
    """One rust-out on metal, one in a hole: the second is told by its name."""
    hole = [[150, 150], [280, 150], [280, 280], [150, 280]]
    inside = [[205, 205], [225, 205], [225, 225], [205, 225]]
    path = write(
        {
            "panel": {"outline": PANEL, "holes": [hole]},
            "rust": [{"ring": GOOD}, {"ring": inside}],
        }
    )
    (line,) = refused(cli("check", path))
    assert line.startswith("rust[1]") and "hole" in line


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda p: p / "absent.json", "no such file"),
        (lambda p: p, "a folder"),
        (lambda p: p / "x" / "y.json", "no such file"),
        (lambda p: "/dev/null", "a device or pipe"),
        (lambda p: "a\0b", "read"),
        (lambda p: "n" * 5000, "read"),
    ],
    ids=["absent", "folder", "absent folder", "device", "nul in the name", "long name"],
)
def test_not_a_file(tmp_path, capfd, make, words):
    from sheetkit.__main__ import main

    assert main(["check", str(make(tmp_path))]) == 1
    out, err = capfd.readouterr()
    assert out == "" and words in err


@pytest.mark.parametrize("content", [b"\x89PNG\r\n\x1a\n\x00\x00", os.urandom(64) + b"\xff\xfe"])
def test_binary_file(tmp_path, cli, content):
    path = tmp_path / "job.json"
    path.write_bytes(content)
    (line,) = refused(cli("check", path))
    assert "not UTF-8" in line


def test_name_of_the_file_cannot_write_on_the_terminal(tmp_path, cli):
    path = tmp_path / "a\x1b[31mb.json"
    path.write_text("")
    (line,) = refused(cli("check", path))
    assert "\x1b" not in line


@pytest.mark.parametrize("command", ["check", "estimate", "sequence"])
def test_title_and_names_cannot_write_on_the_terminal(cli, write, command):
    """Control characters in a job's texts are escaped or refused, like those in faults."""
    mounting = {"name": "belt\x1b[2J", "at": [50, 100]}
    path = write(
        {"title": "red \x1b[31m alert\x07", "panel": {"outline": PANEL, "mountings": [mounting]}}
    )
    done = cli(command, path)
    assert "\x1b" not in done.stdout + done.stderr
    assert "\x07" not in done.stdout + done.stderr


@pytest.mark.parametrize(
    "arguments",
    [
        [],
        ["estimate"],
        ["guess", "data/trunk_floor.json"],
        ["estimate", "data/trunk_floor.json", "--units", "furlong"],
        ["estimate", "data/trunk_floor.json", "--wrong"],
        ["check", "a", "b"],
    ],
)
def test_bad_usage_exits_with_2(cli, arguments):
    done = cli(*arguments)
    assert done.returncode == 2
    assert done.stdout == "" and "usage:" in done.stderr and "Traceback" not in done.stderr


@pytest.mark.parametrize("name", ["trunk_floor", "footwell", "wheel_arch"])
def test_demo_jobs_are_sound(cli, name):
    done = cli("check", f"data/{name}.json")
    assert (done.returncode, done.stderr) == (0, "")
    assert "sound" in done.stdout


def test_reader_that_stops_early_sees_no_traceback(root):
    import subprocess
    import sys

    done = subprocess.run(
        f'"{sys.executable}" -m sheetkit estimate data/trunk_floor.json | true',
        shell=True,
        executable="/bin/bash",
        cwd=root,
        capture_output=True,
        text=True,
    )
    assert "Traceback" not in done.stderr and "BrokenPipe" not in done.stderr


def test_plain_ascii_terminal_gets_no_traceback(cli):
    done = cli("estimate", "data/trunk_floor.json", env=os.environ | {"PYTHONIOENCODING": "ascii"})
    assert "Traceback" not in done.stderr
    assert done.returncode == 0
