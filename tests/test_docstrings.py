"""Every public name says what it is, and names only parameters and errors that exist."""

import builtins
import dataclasses
import importlib
import inspect
import pkgutil
import re
from functools import cached_property

import pytest

import sheetkit

HEADINGS = {"Parameters", "Returns", "Raises", "Source", "Notes", "Yields", "Traits"}


def modules():
    """Yield every module of sheetkit and its widgets."""
    for found in pkgutil.walk_packages(sheetkit.__path__, "sheetkit."):
        if not found.name.endswith("__main__"):
            yield importlib.import_module(found.name)


def members(cls, path):
    """Yield (path, thing) of the public methods and properties a class defines itself."""
    for name, thing in vars(cls).items():
        if name.startswith("_"):
            continue
        if isinstance(thing, staticmethod | classmethod):
            yield f"{path}.{name}", thing.__func__
        elif isinstance(thing, property):
            yield f"{path}.{name}", thing.fget
        elif isinstance(thing, cached_property):
            yield f"{path}.{name}", thing.func
        elif inspect.isfunction(thing) and thing.__module__ == cls.__module__:
            yield f"{path}.{name}", thing


def written_doc(thing):
    """Return the docstring as written in the source, not the one a dataclass makes up."""
    doc = inspect.cleandoc(getattr(thing, "py_func", thing).__doc__ or "")
    made_up = dataclasses.is_dataclass(thing) and doc.startswith(f"{thing.__name__}(")
    return "" if made_up else doc


def public():
    """Return {path: function, class or method} of everything public."""
    found = {}
    for module in modules():
        for name, thing in vars(module).items():
            if name.startswith("_") or getattr(thing, "__module__", "") != module.__name__:
                continue
            inner = inspect.unwrap(thing) if callable(thing) else thing
            if inspect.isclass(thing):
                found[f"{module.__name__}.{name}"] = thing
                found |= dict(members(thing, f"{module.__name__}.{name}"))
            elif inspect.isfunction(inner) or hasattr(thing, "py_func"):
                found[f"{module.__name__}.{name}"] = inner
    return found


PUBLIC = public()


def sections(doc):
    """Return {heading: its lines up to a blank one}; a heading is a known word, underlined."""
    lines, found, now = doc.splitlines(), {}, None
    for line, under in zip(lines, [*lines, ""][1:], strict=True):
        if line in HEADINGS and re.fullmatch("-{3,}", under):
            now = found.setdefault(line, [])
        elif not line.strip():
            now = None
        elif now is not None and not re.fullmatch("-{3,}", line):
            now.append(line)
    return found


def listed(lines):
    """Return the names before each " : ", or alone on a line, in the lines that are not indented."""
    names = []
    for line in lines:
        if not line.strip() or line[0].isspace():
            continue
        entries = re.findall(r"(?:^|; )([\w*, ]+?) : ", line) or [line.split(":")[0]]
        names += [name.strip(" *") for entry in entries for name in entry.split(",")]
    return names


def takes(thing):
    """Return the names a function's call or a class's construction takes."""
    if inspect.isclass(thing):
        if dataclasses.is_dataclass(thing):
            return {field.name for field in dataclasses.fields(thing)}
        traits = thing.class_trait_names() if hasattr(thing, "class_trait_names") else ()
        return {*inspect.signature(thing.__init__).parameters, *traits}
    plain = getattr(thing, "py_func", thing)
    parameters = inspect.signature(plain).parameters
    # options that travel together as one typed mapping
    unpacked = [re.fullmatch(r"Unpack\[(\w+)\]", str(p.annotation)) for p in parameters.values()]
    mappings = [plain.__globals__[found[1]] for found in unpacked if found]
    return set(parameters).union(*(mapping.__annotations__ for mapping in mappings))


@pytest.mark.parametrize("path", PUBLIC)
def test_says_what_it_is(path):
    assert written_doc(PUBLIC[path]), f"{path} has no docstring"


WITH_PARAMETERS = [p for p, thing in PUBLIC.items() if "Parameters" in sections(written_doc(thing))]
ERRORS = {thing.__name__: thing for thing in PUBLIC.values() if inspect.isclass(thing)}
WITH_RAISES = [p for p, thing in PUBLIC.items() if "Raises" in sections(written_doc(thing))]


@pytest.mark.parametrize("path", WITH_PARAMETERS)
def test_names_real_parameters(path):
    thing = PUBLIC[path]
    names = listed(sections(written_doc(thing))["Parameters"])
    assert names and set(names) <= takes(thing), f"{path}: {set(names) - takes(thing)}"


@pytest.mark.parametrize("path", WITH_RAISES)
def test_names_real_errors(path):
    for name in listed(sections(written_doc(PUBLIC[path]))["Raises"]):
        thing = ERRORS.get(name, getattr(builtins, name, None))
        assert inspect.isclass(thing) and issubclass(thing, BaseException), f"{path}: {name}"
