"""Modules joined into one text: each once, no name twice, nothing left out in silence."""

from __future__ import annotations

import pytest

from sheetkit.sketch.visitors import MOST_LETTERS
from sheetkit.widgets import Lesson, Pad, Player, bundle, files, strip
from sheetkit.widgets.form.form import Form
from sheetkit.widgets.jobs.shelf import Shelf
from sheetkit.widgets.jobs.thumbnail import HEIGHT, WIDTH
from sheetkit.widgets.pad import messages
from sheetkit.widgets.visit.name_box import NameBox

ENTRIES = ("pad/pad.js", "player/player.js", "player/lesson.js", "form/form.js", "jobs/shelf.js", "strip.js",
           "files.js", "visit/visit.js")  # fmt: skip
WIDGETS = (Pad, Player, Lesson, Form, Shelf, strip.Strip, files.FileLinks, NameBox)


@pytest.fixture
def joined(tmp_path, monkeypatch):
    """Return a function: the bundle of modules given as texts, by way of `entry.js`."""
    monkeypatch.setattr(bundle, "FOLDER", tmp_path)

    def join(*, told=None, **texts: str) -> str:
        for name, text in texts.items():
            (tmp_path / f"{name}.js").write_text(text)
        return bundle.bundle("entry.js", told)

    return join


def test_a_module_used_twice_stands_once_and_before_its_users(joined):
    text = joined(
        base="export const one = 1;\n",
        side='import { one } from "./base.js";\nexport function two() { return one + one; }\n',
        entry='import {\n  one,\n} from "./base.js";\nimport { two } from "./side.js";\n'
        "export default { render: () => one + two() };\n",
    )
    assert "import" not in text
    assert text.count("export") == 1
    assert text.index("const one") < text.index("function two") < text.index("export default")
    assert text.count("const one") == 1


@pytest.mark.parametrize(
    ("texts", "words"),
    [
        (
            {
                "base": "export const one = 1;\n",
                "entry": 'import { one } from "./base.js";\nasync function one() {}\n',
            },
            "entry.js: 'one' stands in base.js too; rename one",
        ),
        (
            {
                "base": "function hidden() {}\n",
                "entry": 'import { hidden } from "./base.js";\n',
            },
            "entry.js: base.js exports no 'hidden'",
        ),
        (
            {
                "base": "export const one = 1;\n",
                "entry": 'import { one as two } from "./base.js";\n',
            },
            "exports no 'one as two'",
        ),
        (
            {
                "base": 'import { two } from "./entry.js";\nexport const one = 1;\n',
                "entry": 'import { one } from "./base.js";\nexport const two = 1;\n',
            },
            "entry.js: imports itself by way of base.js",
        ),
        ({"entry": 'import all from "./base.js";\n'}, "can't be joined"),
        ({"entry": "const { a, b } = { a: 1, b: 2 };\n"}, "can't be joined"),
        (
            {
                "base": "export const one = 1;\nexport default one;\n",
                "entry": 'import { one } from "./base.js";\n',
            },
            "base.js: 'export default' can't be joined",
        ),
    ],
)
def test_what_would_go_wrong_in_the_page_is_refused_here(joined, texts, words):
    with pytest.raises(bundle.NotBundled) as refused:
        joined(**texts)
    assert words in str(refused.value)


@pytest.mark.parametrize("entry", ENTRIES)
def test_each_widget_loads_one_module_without_imports(entry):
    text = bundle.bundle(entry)
    assert not [line for line in text.splitlines() if line.startswith("import")]
    assert text.count("export default") == 1


def test_what_python_tells_stands_first_and_its_name_is_taken(joined):
    assert joined(entry="export default TOLD.least;\n", told={"least": 3}).startswith(
        'const TOLD = {"least": 3};'
    )
    with pytest.raises(bundle.NotBundled, match="'TOLD' stands in"):
        joined(entry="const TOLD = 1;\n", told={"least": 3})


@pytest.mark.parametrize(("widget", "entry"), list(zip(WIDGETS, ENTRIES, strict=True)))
def test_every_widget_takes_its_code_from_the_bundler(widget, entry):
    told = {
        Pad: messages.TOLD,
        Shelf: {"width": WIDTH, "height": HEIGHT},
        NameBox: {"most_letters": MOST_LETTERS},
    }.get(widget)
    assert str(widget._esm) == bundle.bundle(entry, told)


def test_what_to_do_when_nothing_answers_fits_the_page(joined, monkeypatch):
    assert 'const AGAIN = "run the cell again";' in joined(entry="export default AGAIN;\n")
    monkeypatch.setenv("SERVER_SOFTWARE", "voila/0.5")
    assert 'const AGAIN = "reload the page";' in joined(entry="export default AGAIN;\n")
