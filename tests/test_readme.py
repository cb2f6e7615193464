"""The README's snippets run as they stand, and what they give shows itself."""

import ast
import re

import pytest


@pytest.fixture(scope="module")
def snippets(root):
    return re.findall(r"```python\n(.*?)```", (root / "README.md").read_text("utf-8"), re.DOTALL)


def test_every_line_of_the_snippets_gives_what_shows_itself(snippets, root, tmp_path, monkeypatch):
    (tmp_path / "data").symlink_to(root / "data")
    monkeypatch.chdir(tmp_path)
    shown = 0
    for snippet in snippets:
        names: dict = {}
        for line in ast.parse(snippet).body:
            if isinstance(line, ast.Expr):
                given = eval(compile(ast.Expression(line.value), "README.md", "eval"), names)
                assert hasattr(given, "_repr_html_") or hasattr(given, "_repr_mimebundle_"), (
                    ast.unparse(line)
                )
                assert len(repr(given)) < 4000, ast.unparse(line)
                shown += 1
            else:
                exec(compile(ast.Module([line], []), "README.md", "exec"), names)
    assert shown >= 8
