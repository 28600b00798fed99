"""The house: rooms of a size to survey, one name for one thing, one place for each kind of work."""

import ast
import re
from collections import Counter, defaultdict
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
TOPS = ("desk", "solver", "exports")
CODE = sorted(path for top in TOPS for path in (ROOT / top).rglob("*.py") if "migrations" not in path.parts)
TESTS = sorted((ROOT / "tests").rglob("*.py"))
LONGEST_FILE, LONGEST_FUNCTION, MOST_MODULES = 250, 50, 15

LONGER_YET: dict[str, int] = {}
FULLER_YET: dict[str, int] = {}
"""What is still to be parted, with the size that it must not pass; whoever parts it takes its entry out."""

SAME_SUBJECT = {
    "account accounts people": "those who sign in",
    "bench_times calibration charges events invoices jobs machines matches money names needed_by play players team": "",
    "contacts": "those who stand for players",
    "checks comparison report stock summary throughput units": "the usage sheet, read and written",
    "demo planning template": "a command and what it calls",
    "errors": "each layer's own",
    "hours": "hours of work",
    "kernel": "a compiled entry",
    "mishaps stranded": "what went wrong with a racquet, and one whose hands or machine fail",
    "match_sheet own_bench": "a sheet of matches, and a player's own bench",
    "plan": "the plan",
    "reading workbook": "files read and written",
    "storing": "an event stored",
    "teams": "teams of stringers",
}
"""Names that stand in several rooms for one subject."""

CALLED_BY_OTHERS = {
    "list_commands get_command": "click",
    "process_bind_param process_result_value": "SQLAlchemy",
    "generic_resolve": "numba",
    "open_session": "Flask",
    "on_solution_callback": "OR-Tools",
    "json_schema": "whoever reads the JSON",
    "mean_band": "a rehearsal's means",
    "from_dict": "whoever reads a plan file",
    "tables_markdown": "whoever writes the page of event files",
    "_courts _service_hours _machine_checks _shifts _house_times _dropoffs _calibrations": "by the name of its table",
}
DECORATORS = re.compile(
    r"blueprint|command|group|errorhandler|listens_for|compiled|njit|inplace|register_|lower_|overload|infer_|intrinsic|callable"
)


@cache
def tree_of(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def short(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def test_no_file_is_long() -> None:
    lengths = {short(path): len(path.read_text(encoding="utf-8").splitlines()) for path in (*CODE, *TESTS)}
    assert {path: lines for path, lines in lengths.items() if lines > LONGER_YET.get(path, LONGEST_FILE)} == {}


def functions() -> Iterator[tuple[str, int]]:
    """Every function of code and tests with its lines, the docstring among them."""
    for path in (*CODE, *TESTS):
        for node in statements(tree_of(path)):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                yield f"{short(path)} {node.name}", (node.end_lineno or 0) - node.lineno + 1


def statements(node: ast.AST) -> Iterator[ast.AST]:
    """A node and the statements in it; what a statement consists of holds no function with a name."""
    yield node
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.stmt | ast.excepthandler | ast.match_case):
            yield from statements(child)


def test_no_function_is_long() -> None:
    assert {name: lines for name, lines in functions() if lines > LONGEST_FUNCTION} == {}


def test_no_folder_is_crowded() -> None:
    modules = (path for path in (*CODE, *TESTS) if path.stem not in ("__init__", "__main__", "conftest"))
    rooms = Counter(short(path.parent) for path in modules)
    assert {room: count for room, count in rooms.items() if count > FULLER_YET.get(room, MOST_MODULES)} == {}


def test_no_test_module_is_asked_by_another() -> None:
    asks = re.compile(r"^ *(?:from|import) .*\btest_.*$", re.MULTILINE)
    assert {short(path): found for path in TESTS if (found := asks.findall(path.read_text(encoding="utf-8")))} == {}


def test_a_name_stands_for_one_thing() -> None:
    rooms = defaultdict(set)
    for path in CODE:
        if not path.stem.startswith("__"):
            rooms[path.stem].add(path.parent.name)
    known = {name for names in SAME_SUBJECT for name in names.split()}
    assert {name: sorted(where) for name, where in rooms.items() if len(where) > 1 and name not in known} == {}


def classes_of(floor: str) -> set[str]:
    trees = (tree_of(path) for path in CODE if short(path).startswith(floor))
    return {node.name for tree in trees for node in tree.body if isinstance(node, ast.ClassDef)}


def test_a_form_of_the_web_is_not_called_as_what_a_service_takes() -> None:
    assert classes_of("desk/web/") & classes_of("desk/services/") == set()


def test_web_modules_ask_by_queries() -> None:
    writes_sql = re.compile(r"^from sqlalchemy(?!\.orm import Session$|\.exc import ).*$", re.MULTILINE)
    web = [path for path in CODE if short(path).startswith("desk/web/")]
    assert {short(path): found for path in web if (found := writes_sql.findall(path.read_text(encoding="utf-8")))} == {}


def test_zones_are_converted_in_one_module() -> None:
    converts = re.compile(r"ZoneInfo|zoneinfo|\.astimezone\(")
    found = {short(path) for path in CODE if converts.search(path.read_text(encoding="utf-8"))}
    assert found == {"desk/trade/event/event_time.py"}


@cache
def used_names() -> Counter[str]:
    """How often a name is read in the code or stands in a template."""
    used: Counter[str] = Counter()
    for path in CODE:
        for node in ast.walk(tree_of(path)):
            if isinstance(node, ast.Name):
                used[node.id] += 1
            elif isinstance(node, ast.Attribute):
                used[node.attr] += 1
            elif isinstance(node, ast.Constant) and isinstance(node.value, str) and path.name != "__init__.py":
                used[node.value] += 1
    for template in (ROOT / "desk/web/templates").rglob("*.html"):
        used.update(re.findall(r"\w+", template.read_text(encoding="utf-8")))
    return used


def named(body: list[ast.stmt]) -> Iterator[ast.FunctionDef | ast.ClassDef]:
    for node in body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            yield node
        if isinstance(node, ast.ClassDef):
            yield from named(node.body)


@pytest.mark.parametrize("top", TOPS)
def test_nothing_is_there_for_tests_alone(top: str) -> None:
    known = {name for names in CALLED_BY_OTHERS for name in names.split()}
    unused = [
        f"{short(path)} {node.name}"
        for path in CODE
        if short(path).startswith(f"{top}/")
        for node in named(tree_of(path).body)
        if not used_names()[node.name] and not node.name.startswith("__") and node.name not in known
        if not any(DECORATORS.search(ast.unparse(one)) for one in node.decorator_list)
    ]
    assert unused == []
