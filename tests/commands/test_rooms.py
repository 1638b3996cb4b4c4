"""Which room may import from which: the way from a scenario to an answer goes one way and has no circle."""

from __future__ import annotations

import ast
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest
import rockshy.analysis
import rockshy.scenarios
import rockshy.sim

FACES = ("commands", "film", "page", "pictures", "report", "talk")
OPENS_THE_PAGE = "rockshy.analysis.commands.page"  # the command of that name starts the server


def modules() -> dict[str, Path]:
    """Every module of the package by its full name."""
    found = {}
    for package in (rockshy.analysis, rockshy.scenarios, rockshy.sim):
        (root,) = package.__path__
        for path in Path(root).rglob("*.py"):
            parts = path.relative_to(root).with_suffix("").parts
            parts = parts[:-1] if parts[-1] == "__init__" else parts
            found[".".join((package.__name__, *parts))] = path
    return found


def statements(node: ast.AST, *, at_once: bool) -> Iterator[ast.Import | ast.ImportFrom]:
    """Every import; with ``at_once`` only those carried out as soon as the module itself is imported."""
    for part in ast.iter_child_nodes(node):
        late = isinstance(part, ast.FunctionDef | ast.AsyncFunctionDef)
        late |= isinstance(part, ast.If) and ast.unparse(part.test) == "TYPE_CHECKING"
        if isinstance(part, ast.Import | ast.ImportFrom):
            yield part
        elif not (late and at_once):
            yield from statements(part, at_once=at_once)


def imports(name: str, path: Path, *, known: Mapping[str, Path], at_once: bool) -> set[str]:
    """Names of the modules that a module imports."""
    package = name.split(".") if path.name == "__init__.py" else name.split(".")[:-1]
    found = set()
    for node in statements(ast.parse(path.read_text(encoding="utf-8")), at_once=at_once):
        if isinstance(node, ast.Import):
            found |= {one.name for one in node.names}
            continue
        above = package[: len(package) + 1 - node.level] if node.level else []
        base = ".".join([*above, *([node.module] if node.module else [])])
        whole = {f"{base}.{one.name}" for one in node.names}
        found |= {one if one in known else base for one in whole}
    return found - {name}


@pytest.fixture(scope="module")
def graph() -> dict[str, set[str]]:
    """What each module imports, anywhere in it."""
    known = modules()
    return {name: imports(name, path, known=known, at_once=False) for name, path in known.items()}


def within(name: str, *rooms: str) -> bool:
    return any(f"{name}.".startswith(f"rockshy.{room}.") for room in rooms)


def ways(graph: Mapping[str, set[str]], rooms: tuple[str, ...], into: tuple[str, ...]) -> list[str]:
    """Imports that lead from some rooms into others."""
    return sorted(
        f"{name} imports {other}"
        for name, others in graph.items()
        for other in others
        if within(name, *rooms) and within(other, *into)
    )


def test_the_simulator_knows_nothing_of_the_analysis(graph: dict[str, set[str]]) -> None:
    assert ways(graph, ("analysis",), ("sim",))  # the walk does see what is there
    assert ways(graph, ("sim",), ("analysis", "scenarios")) == []


def test_commands_and_page_are_views_that_need_nothing_of_each_other(graph: dict[str, set[str]]) -> None:
    faces = tuple(
        f"analysis.{room}" for room in (*FACES, "asking", "document", "evidence") if room != "commands"
    )
    assert ways(graph, faces, ("analysis.commands",)) == []
    found = ways(graph, ("analysis.commands",), ("analysis.page",))
    assert found and all(one.startswith(f"{OPENS_THE_PAGE} ") for one in found)


@pytest.mark.parametrize("room", ["asking", "measures", "questions", "statistics", "study"])
def test_what_finds_answers_knows_nothing_of_how_they_are_shown(
    room: str, graph: dict[str, set[str]]
) -> None:
    assert ways(graph, (f"analysis.{room}",), tuple(f"analysis.{face}" for face in FACES)) == []


def circle(graph: Mapping[str, set[str]]) -> list[str]:
    """The modules of one circle of imports, the first of them again at the end; none when there is none."""
    done: set[str] = set()

    def search(name: str, above: list[str]) -> list[str]:
        if name in above:
            return [*above[above.index(name) :], name]
        if name in done:
            return []
        for other in sorted(graph.get(name, ())):
            if found := search(other, [*above, name]):
                return found
        done.add(name)
        return []

    return next((found for name in sorted(graph) if (found := search(name, []))), [])


def test_a_circle_is_found() -> None:
    assert circle({"a": {"b"}, "b": {"c", "d"}, "c": set(), "d": {"b"}}) == ["b", "d", "b"]
    assert circle({"a": {"b", "c"}, "b": {"c"}, "c": set()}) == []


def test_no_module_imports_itself_by_way_of_others() -> None:
    known = modules()
    found = {name: imports(name, path, known=known, at_once=True) for name, path in known.items()}
    assert sum(map(len, found.values())) > len(found)
    assert circle(found) == []


def test_every_room_is_in_the_package() -> None:
    """An editable install finds a folder that the wheel would leave out."""
    top = Path(__file__).resolve().parents[2]
    told = tomllib.loads((top / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["setuptools"]
    folders = {
        ".".join(("rockshy", *file.parent.relative_to(top).parts))
        for room in ("analysis", "scenarios", "sim")
        for file in (top / room).rglob("__init__.py")
        if file.parent.name != "public"
    }
    assert {*told["packages"]} == {"rockshy", *folders}
