"""The shape of the code: engines stand alone, apps build on each other in one order, files stay short."""

import ast
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
APPS = ("herbs", "lessons", "quizzes")  # each may use those before it
LIBRARIES = {"numpy", "scipy", "fsrs"}
LONGEST = 400
OURS = {".py", ".html", ".css", ".js"}
NOT_OURS = {".venv", "vendor", "migrations", "staticfiles", "node_modules", "__pycache__"}


def imports(source: str, module: str) -> set[str]:
    """Full names of everything a module imports, at the top or inside a function; `module` resolves relative ones."""
    package = module.split(".")[:-1]
    names: set[str] = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            names.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = package[: len(package) - node.level + 1] if node.level else []
            path = ".".join([*base, *filter(None, [node.module])])
            names.update([path] if path else [])
            names.update(f"{path}.{alias.name}" for alias in node.names if path in {*APPS, ""})
        elif isinstance(node, ast.Call):
            called = getattr(node.func, "id", getattr(node.func, "attr", ""))
            names.update({"an import by name"} if called in ("__import__", "import_module") else ())
    return names


def modules(folder: Path):
    """(path, dotted module name) of every Python file below a folder; a package counts as its __init__."""
    for path in sorted(folder.rglob("*.py")):
        yield path, ".".join(path.relative_to(ROOT).with_suffix("").parts)


def engine_may_import(app: str, name: str) -> bool:
    """Whether an app's engine may import a module: standard library, the number libraries, engines of its own app or below."""
    top = name.split(".")[0]
    if top in APPS:
        below = APPS[: APPS.index(app) + 1]
        return any(name == f"{other}.engine" or name.startswith(f"{other}.engine.") for other in below)
    return top in sys.stdlib_module_names or top in LIBRARIES


@pytest.mark.parametrize("app", APPS)
def test_engines_know_only_the_standard_library_numbers_and_engines_below(app):
    folder = ROOT / app / "engine"
    found = list(modules(folder))
    assert found
    for path, module in found:
        names = imports(path.read_text(encoding="utf-8"), module)
        assert not [name for name in names if not engine_may_import(app, name)], path


@pytest.mark.parametrize(("app", "above"), [("herbs", {"lessons", "quizzes"}), ("lessons", {"quizzes"})])
def test_no_app_imports_one_above_it(app, above):
    for path, module in modules(ROOT / app):
        names = imports(path.read_text(encoding="utf-8"), module)
        assert not [name for name in names if name.split(".")[0] in above], path


def test_no_app_imports_the_tests():
    for app in (*APPS, "config"):
        for path, module in modules(ROOT / app):
            assert not [n for n in imports(path.read_text(encoding="utf-8"), module) if n.split(".")[0] == "tests"], (
                path
            )


def our_files():
    for path in sorted(ROOT.rglob("*")):
        parts = path.relative_to(ROOT).parts
        if path.suffix in OURS and not NOT_OURS & set(parts) and not any(part.startswith(".") for part in parts):
            yield path


def test_every_file_of_ours_stays_under_400_lines():
    lengths = {str(path.relative_to(ROOT)): len(path.read_text(encoding="utf-8").splitlines()) for path in our_files()}
    assert {suffix for suffix in OURS if any(name.endswith(suffix) for name in lengths)} == OURS
    assert not {name: length for name, length in lengths.items() if length >= LONGEST}


def test_every_engine_names_what_may_be_imported():
    for app in APPS:
        tree = ast.parse((ROOT / app / "engine" / "__init__.py").read_text(encoding="utf-8"))
        public = [
            node
            for node in tree.body
            if isinstance(node, ast.Assign) and getattr(node.targets[0], "id", "") == "__all__"
        ]
        assert public, app


# The checks themselves: each must be able to fail.


@pytest.mark.parametrize(
    ("app", "source", "allowed"),
    [
        ("herbs", "import numpy as np\nfrom math import log2\nfrom .axes import AXES", True),
        ("herbs", "from django.db import models", False),
        ("herbs", "def late():\n    import django", False),
        ("herbs", "from herbs.models import Part", False),
        ("herbs", "from herbs import models", False),
        ("herbs", "from ..models import Part", False),
        ("herbs", "from .. import models", False),
        ("herbs", "from lessons.engine import audit", False),
        ("herbs", "__import__('django')", False),
        ("lessons", "from herbs.engine import AXES", True),
        ("lessons", "from herbs.catalogue import materia_medica", False),
        ("lessons", "from quizzes.engine import grading", False),
        ("quizzes", "import scipy.optimize\nimport fsrs\nfrom lessons.engine import audit", True),
        ("quizzes", "import pandas", False),
    ],
)
def test_the_import_check_sees_what_it_should(app, source, allowed):
    names = imports(source, f"{app}.engine.sample")
    assert names and all(engine_may_import(app, name) for name in names) == allowed
