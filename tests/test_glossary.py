"""The glossary can't rot: its words are in use, and the job's trade fields are in it."""

import ast
import json
import re

import pytest

from sheetkit.job import model

PAGE = "method_and_validity.ipynb"
PLAIN = {"shape", "corner_radius", "joint", "wire", "gas", "current", "voltage", "spacing"}
"""Fields of a patch, weld or cylinder that need no glossary, or whose words stand in it otherwise."""


def cells(path, kind=None):
    notebook = json.loads(path.read_text(encoding="utf-8"))
    return ["".join(c["source"]) for c in notebook["cells"] if kind in (None, c["cell_type"])]


def texts_of(path):
    """Return a module's texts, without docstrings and comments."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    docs = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    return " ".join(
        node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docs
    )


@pytest.fixture(scope="module")
def shown(root):
    """Return all a user can read but the glossary's own page: lower case, one space between words."""
    found = [(root / "README.md").read_text(encoding="utf-8")]
    for path in sorted((root / "sheetkit").rglob("*")):
        if path.suffix == ".py":
            found.append(texts_of(path))
        elif path.suffix in (".csv", ".js"):
            found.append(path.read_text(encoding="utf-8"))
    for path in sorted((root / "notebooks").glob("*.ipynb")):
        if path.name != PAGE:
            found += cells(path)
    return re.sub(r"[\s_]+", " ", " ".join(found)).lower()


@pytest.fixture(scope="module")
def glossary(root):
    """Return {word: its sentence}."""
    (text,) = (c for c in cells(root / "notebooks" / PAGE, "markdown") if "## Glossary" in c)
    return dict(re.findall(r"^- \*\*(.+?)\*\*: (.+)$", text, re.MULTILINE))


def test_the_sentences_are_short(glossary):
    assert 30 <= len(glossary) <= 60
    for word, sentence in glossary.items():
        assert sentence.endswith("."), word
        assert len(sentence) < 240, word


def test_every_word_is_used(glossary, shown):
    unused = [word for word in glossary if not re.search(rf"\b{re.escape(word.lower())}", shown)]
    assert not unused


@pytest.mark.parametrize("part", [model.PatchChoice, model.WeldChoice, model.Cylinder])
def test_trade_fields_are_explained(glossary, part):
    told = " ".join(f"{word} {sentence}" for word, sentence in glossary.items())
    for field in part.model_fields:
        if field not in PLAIN | {"pressure"}:
            assert re.search(rf"\b{field.replace('_', '[_ -]')}", told), field
