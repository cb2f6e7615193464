"""The command line's manners: streams that fail, the keyboard, progress, refusals before the work."""

import json
import os
import re
import signal
import subprocess
import sys

import pytest

from sheetkit import __main__ as program
from sheetkit import command_line as command
from sheetkit import save
from sheetkit.base import terminal
from sheetkit.paper import write

posix = pytest.mark.skipif(os.name == "nt", reason="redirections and terminals of POSIX")
STEERING = "a\x1b[2J\x9b31m\x7f\u202eb\u2028c\U000e0001"


@pytest.fixture
def path(job, tmp_path):
    path = tmp_path / "job.json"
    save(job(title=STEERING, notes="naïve 0.5 × 2"), path)
    return path


def shell(line: str, *arguments, **environment) -> subprocess.CompletedProcess:
    """Run `line` in a shell: "$@" is the program with arguments."""
    return subprocess.run(
        ["sh", "-c", line, "sh", sys.executable, "-m", "sheetkit", *map(str, arguments)],
        capture_output=True,
        text=True,
        timeout=900,
        env=os.environ | environment,
    )


full = pytest.mark.skipif(not os.path.exists("/dev/full"), reason="no disk that is always full")


@posix
@pytest.mark.parametrize(
    ("redirected", "words"),
    [(">&-", "it is closed"), pytest.param(">/dev/full", "No space left", marks=full)],
)
@pytest.mark.parametrize("name", ["estimate", "check"])
def test_output_that_cannot_be_printed_is_told_in_one_line(path, name, redirected, words):
    done = shell(f'"$@" {redirected}', name, path)
    (line,) = done.stderr.splitlines()
    assert done.returncode == 1 and line.startswith("standard output: got") and words in line


@posix
@full
@pytest.mark.parametrize("buffered", ["", "1"])
@pytest.mark.parametrize("arguments", [["--help"], ["check", "--help"]])
def test_help_that_cannot_be_printed_is_told_in_one_line(arguments, buffered):
    done = shell('"$@" >/dev/full', *arguments, PYTHONUNBUFFERED=buffered)
    (line,) = done.stderr.splitlines()
    assert done.returncode == 1 and line.startswith("standard output: got No space left")
    assert shell('"$@"', *arguments, PYTHONUNBUFFERED=buffered).stdout.startswith("usage: sheetkit")


@posix
def test_closed_output_is_refused_before_the_work(path, tmp_path):
    assert shell('"$@" >&-', "sheets", path, "--out", tmp_path / "pages").returncode == 1
    assert not (tmp_path / "pages").exists()


@posix
def test_a_reader_that_has_seen_enough_is_no_fault(path):
    done = shell('{ "$@"; echo "code $?" >&2; } | true', "estimate", path)
    assert done.stderr.split() == ["code", "0"]


@posix
@pytest.mark.parametrize("redirected", ["2>&-", pytest.param("2>/dev/full", marks=full)])
def test_faults_that_cannot_be_told_still_give_the_code(tmp_path, redirected):
    done = shell(f'"$@" {redirected}', "check", tmp_path / "absent.json")
    assert (done.returncode, done.stdout, done.stderr) == (1, "", "")


@pytest.mark.parametrize("arguments", [["estimate"], ["check"]])
def test_json_is_plain_ascii_and_says_the_same(path, capfd, arguments):
    assert command.main([*arguments, str(path), "--json"]) == 0
    out = capfd.readouterr().out
    assert out.isascii() and out.rstrip("\n").isprintable()
    assert json.loads(out)


def test_steering_letters_come_through_json_escaped(path, tmp_path, capfd, monkeypatch):
    monkeypatch.setattr(write, "rendered", lambda *_, **__: dict.fromkeys(write.FILES, b""))
    folder = tmp_path / STEERING
    arguments = ["sheets", str(path), "--out", str(folder), "--overwrite"]
    assert command.main([*arguments, "--json"]) == 0
    out = capfd.readouterr().out
    assert out.rstrip("\n").isprintable()
    assert json.loads(out)["files"][0] == str(folder / write.FILES[0])
    assert command.main(arguments) == 0
    lines = capfd.readouterr().out.splitlines()
    assert len(lines) == len(write.FILES) and all(line.isprintable() for line in lines)


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "cp437"])
def test_a_console_without_the_letters_gets_their_codes(path, encoding):
    environment = os.environ | {"PYTHONIOENCODING": encoding}
    for more in ([], ["--json"]):
        done = subprocess.run(
            [sys.executable, "-m", "sheetkit", "estimate", str(path), *more],
            capture_output=True,
            env=environment,
        )
        assert (done.returncode, done.stderr) == (0, b"")
        assert done.stdout.decode(encoding)
    assert json.loads(done.stdout)["cautions"]


@pytest.mark.parametrize(
    ("out", "words"),
    [("", "it has no name"), ("full", "existing files are never"), ("file", "not a folder")],
)
def test_pages_are_refused_before_the_planning(path, tmp_path, capfd, monkeypatch, out, words):
    def planned(*_, **__):
        raise AssertionError("it went to work")

    monkeypatch.setattr(command, "plan", planned)
    monkeypatch.chdir(tmp_path)
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / write.FILES[0]).write_text("")
    (tmp_path / "file").write_text("")
    assert command.main(["sheets", str(path), "--out", out]) == 1
    told = capfd.readouterr()
    assert told.out == "" and words in told.err and len(told.err.splitlines()) == 1


def test_demo_is_laid_out_and_refused_over_itself(tmp_path, capfd):
    assert command.main(["demo", str(tmp_path / "shop")]) == 0
    lines = capfd.readouterr().out.splitlines()
    assert str(tmp_path / "shop" / "data" / "trunk_floor.json") in lines
    assert command.main(["demo", str(tmp_path / "shop"), "--json"]) == 1
    told = capfd.readouterr()
    assert told.out == "" and "--overwrite" in told.err
    assert command.main(["demo", str(tmp_path / "shop"), "--json", "--overwrite"]) == 0
    assert len(json.loads(capfd.readouterr().out)["files"]) == len(lines)
    with pytest.raises(SystemExit) as ended:
        command.main(["demo"])
    assert ended.value.code == 2


@pytest.fixture(autouse=True)
def a_keyboard_that_is_heard():
    """Tests in the background ignore the keyboard, and so would the programs they start."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


PRESSED = """
import os, runpy, signal, sys
_, module, spoilt, *arguments = sys.argv

class Press:  # the keyboard, at the moment when a module is looked for
    def find_spec(self, name, path=None, target=None):
        if name == module:
            sys.meta_path.remove(self)
            try:
                os.kill(os.getpid(), signal.SIGINT)
            except KeyboardInterrupt:
                if spoilt:
                    raise ImportError("a part of it is missing") from None
                raise

sys.meta_path.insert(0, Press())
sys.argv[:] = ["sheetkit", *arguments]
runpy.run_module("sheetkit", run_name="__main__", alter_sys=True)
"""


@posix
@pytest.mark.parametrize("spoilt", ["", "spoilt"])
@pytest.mark.parametrize("module", ["sheetkit.command_line", "numpy", "shapely", "pydantic"])
def test_the_keyboard_stops_the_start(path, module, spoilt):
    pressed = [sys.executable, "-c", PRESSED, module, spoilt, "check", str(path)]
    done = subprocess.run(pressed, capture_output=True, text=True)
    assert (done.returncode, done.stdout, done.stderr) == (130, "", "stopped by the keyboard\n")


@posix
@pytest.mark.parametrize("spoilt", ["", "spoilt"])
def test_the_keyboard_stops_what_is_loaded_later(path, spoilt):
    """What loads half can say something else than that the keyboard was pressed."""
    pressed = [sys.executable, "-c", PRESSED, "numba", spoilt, "sequence", str(path)]
    done = subprocess.run(pressed, capture_output=True, text=True)
    assert (done.returncode, done.stdout, done.stderr) == (130, "", "stopped by the keyboard\n")


@posix
def test_a_keyboard_that_is_ignored_stays_so(path):
    ignored = "import signal; signal.signal(signal.SIGINT, signal.SIG_IGN)\n" + PRESSED
    pressed = [sys.executable, "-c", ignored, "numpy", "", "check", str(path)]
    done = subprocess.run(pressed, capture_output=True, text=True)
    assert (done.returncode, done.stderr) == (0, "")


def test_the_keyboard_stops_the_work_in_one_line(path, capfd, monkeypatch):
    def stopped(*_, **__):
        raise KeyboardInterrupt

    monkeypatch.setattr(command, "plan", stopped)
    before = signal.getsignal(signal.SIGINT)
    assert program.main(["sequence", str(path)]) == 130
    assert signal.getsignal(signal.SIGINT) is before
    told = capfd.readouterr()
    assert (told.out, told.err) == ("", "stopped by the keyboard\n")


def on_a_terminal(*arguments, interrupt: bool = False) -> tuple[int, str, str]:
    """Run the program with the error stream on a terminal; return code, output, error stream.

    With `interrupt` the keyboard stops it once it says how far it is.
    """
    import pty

    here, there = pty.openpty()
    run = subprocess.Popen(
        [sys.executable, "-m", "sheetkit", *map(str, arguments)],
        stdout=subprocess.PIPE,
        stderr=there,
        text=True,
    )
    os.close(there)
    told = b""
    while True:
        try:
            read = os.read(here, 4096)
        except OSError:  # the other end is closed
            break
        if not read:
            break
        told += read
        if interrupt and b" of " in told:
            interrupt = False
            run.send_signal(signal.SIGINT)
    os.close(here)
    return run.wait(), run.communicate()[0], told.decode()


@posix
def test_a_terminal_is_told_how_far_it_is(demo, tmp_path):
    path = tmp_path / "job.json"
    path.write_text(json.dumps(demo("footwell")), encoding="utf-8")
    code, out, told = on_a_terminal("sequence", path)
    assert code == 0 and "\r" not in out
    shown = [line.rstrip() for line in re.split(r"[\r\n]+", told)]
    assert sum(bool(re.fullmatch(r"\[#*\.*\] [a-z ()]+: \d+ of \d+", line)) for line in shown) >= 2
    assert "of" not in shown[-1] and told.endswith("\r"), "the line is taken away again"


@posix
def test_the_keyboard_stops_a_plan_being_made(demo, tmp_path):
    path = tmp_path / "job.json"
    path.write_text(json.dumps(demo("trunk_floor")), encoding="utf-8")
    code, out, told = on_a_terminal("sequence", path, interrupt=True)
    assert (code, out) == (130, "")
    assert told.rstrip().endswith("stopped by the keyboard") and "Traceback" not in told


def test_progress_is_silent_where_nobody_looks(capfd, small_estimate):
    progress = terminal.Progress()
    progress("work", 0, 2)
    progress.clear()
    assert capfd.readouterr() == ("", "")


def test_what_progress_leaves_stands_above_it(capfd):
    progress = terminal.Progress()
    progress.shown = True
    progress("work", 5, 4)
    progress.say("half a\x1b loaf")
    progress("more", 0, 0)
    left, below = capfd.readouterr().err.split("\n")
    assert left.split("\r")[1] == "[############] work: 5 of 4"
    assert left.split("\r")[2].rstrip() == r"half a\x1b loaf"
    assert below == "\r[............] more: 0 of 0"
    progress.shown = False
    progress.say("nobody looks")
    assert capfd.readouterr().err == ""


def test_progress_tells_each_new_work_and_no_flood(capfd, monkeypatch):
    monkeypatch.setattr(terminal, "TELL_EVERY_S", 1e9)
    progress = terminal.Progress()
    progress.shown = True
    for done in range(1000):
        progress("long\x1b work", done, 1000)
    progress("more", 3, 4)
    progress.clear()
    shown = capfd.readouterr().err.split("\r")
    assert [line.strip() for line in shown] == [
        "", r"[............] long\x1b work: 0 of 1000", "[#########...] more: 3 of 4", "", "",
    ]  # fmt: skip
    assert len(shown[2]) == len(shown[1]), "the longer line is covered"
