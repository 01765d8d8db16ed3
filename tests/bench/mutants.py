"""Random faults put into laws, timing and solver, or into what judges, one at a time: do their tests notice?

    python tests/bench/mutants.py [--of laws|judging] [--count 300] [--seed 1] [--results FILE] [--minutes 0]

Each fault is one changed operator, comparison, number, sign or function; in what judges also a turned-round condition
or a statement or an answer left out; the tests of its module run against a copy
of the checkout, never the checkout itself. Results are kept line by line: begun again, the run goes on where it
stopped, and does anew only modules that have changed since. Prints the score and every fault nobody noticed, but for
those that change nothing anybody could notice: `mutants_explained.json` says of each why.
"""

import argparse
import ast
import hashlib
import json
import os
import random
import shutil
import signal
import sys
import tempfile
import time
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import NoReturn

import hypothesis  # noqa: F401 - here and below: once for all, not once a fault
import networkx  # noqa: F401
import pytest
import scipy.optimize  # noqa: F401
from msgspec import Struct

TOP = Path(__file__).parent.parent.parent
PACKAGE = Path("service/upfeed")
EXPLAINED = Path(__file__).with_name("mutants_explained.json")
COPIED = ("service", "tests", "shared", "kb", "rules", "pyproject.toml")

_LAWS = ("physics/test_law_examples.py", "physics/test_laws.py")
_LIFTER = ("physics/test_lifter_geometry.py", "reference/test_reference_lands.py")
_SOLVER = ("flow/test_solve.py", "flow/test_random_circuits.py::test_random_circuits_balance[0]")
TESTS = {
    "physics/resistance.py": ("physics/test_resistance.py", *_LAWS),
    "physics/branch.py": ("physics/test_branch.py",),
    "physics/holes.py": (*_LAWS, "reference/test_reference_holes.py"),
    "physics/films.py": (*_LAWS, "reference/test_reference_fits.py"),
    "physics/fits.py": (*_LAWS, "reference/test_reference_fits.py"),
    "physics/lands.py": (*_LAWS, *_LIFTER),
    "physics/galleries.py": (*_LAWS, "reference/test_reference_galleries.py"),
    "physics/metering.py": (*_LAWS, *_LIFTER),
    "physics/geometry.py": ("physics/test_geometry.py", "reference/test_reference_geometry.py"),
    "physics/timing.py": ("physics/test_timing.py", "physics/test_law_examples.py", *_LIFTER),
    "physics/lifttable.py": ("physics/test_lifttable.py", "reference/test_reference_lifttable.py"),
    "physics/sideflow.py": ("physics/test_sideflow.py", "reference/test_reference_supply.py"),
    "physics/supply.py": ("physics/test_supply.py", "reference/test_reference_supply.py"),
    "physics/benchflow.py": ("physics/test_benchflow.py",),
    "physics/oil.py": ("physics/test_oil.py", "reference/test_reference_oil.py"),
    "physics/stack.py": ("physics/test_stack.py",),
    "flow/squeeze.py": ("flow/test_squeeze.py",),
    "flow/turns.py": ("flow/test_turns.py",),
    "flow/network.py": _SOLVER,
    "flow/balance.py": _SOLVER,
    "flow/elimination.py": ("flow/test_elimination.py", *_SOLVER),
    "flow/throughput.py": _SOLVER,
    "flow/solve.py": (*_SOLVER, "reference/test_reference_network.py"),
}
"""The tests that speak for a module, the slow ones last: most faults never get to them."""

_CASES = "judging/test_rule_cases.py"
_LANGUAGE = ("judging/test_language.py", _CASES, "judging/test_rules.py")
_JUDGE = tuple(
    f"judging/test_judge.py::test_{name}"
    for name in (
        "a_rule_fires_or_stays_quiet_where_all_is_known",
        "a_rule_reads_exactly_the_names_it_lists",
        "an_outcome_stands_only_where_all_corner_cases_agree",
        "a_comparison_is_decided_before_it_decides_anything_else",
        "values_and_calculations_are_kept_and_told",
        "a_finding_explains_itself_line_by_line",
        "only_what_could_still_decide_blocks",
        "what_is_not_defined_is_blocked_by_all_it_reads",
        "places_give_as_many_values_for_every_name",
        "undecided_lines_of_a_decided_condition_are_none",
        "where_all_is_known_three_values_say_what_two_say",
        "taking_a_measurement_away_changes_an_outcome_only_to_unknown",
        "an_unknown_outcome_always_says_what_it_waits_for",
    )
)
_QUICK = "judging/test_judge.py::test_the_quick_test_gives_the_truth_that_weighing_gives"
JUDGING = {
    "judging/truth.py": ("judging/test_truth.py", *_LANGUAGE),
    "judging/syntax.py": _LANGUAGE,
    "judging/dimension.py": _LANGUAGE,
    "judging/terms.py": (*_LANGUAGE, *_JUDGE),
    "judging/calculation.py": _LANGUAGE,
    "judging/language.py": (*_LANGUAGE, "judging/test_often.py"),
    "judging/condition.py": (*_JUDGE, _CASES),
    "judging/judge.py": (*_JUDGE, _CASES),
    "judging/quick.py": (_QUICK,),
    "judging/often.py": ("judging/test_often.py", "answering/test_afterdraws.py"),
    "judging/verdict.py": ("judging/test_verdict.py",),
    "judging/walks.py": ("judging/test_walks.py",),
    "judging/message.py": ("judging/test_message.py", _CASES),
    "judging/lexicon.py": ("judging/test_lexicon.py", _CASES),
    "judging/ruleterms.py": (_CASES, "judging/test_rules.py"),
    "judging/rulelines.py": (_CASES, "judging/test_rules.py"),
    "judging/rulefile.py": (_CASES, "judging/test_rules.py"),
    "judging/casefile.py": (_CASES, "judging/test_rules.py"),
    "judging/limitfile.py": (_CASES, "judging/test_rules.py"),
    "judging/rulefolder.py": (_CASES, "judging/test_rules.py"),
}
"""The same for the rule language and its evaluator."""

AREAS = {"laws": TESTS, "judging": JUDGING}

DIRECTIONS = {
    "physics/resistance.py": "[hole or [fit",
    "physics/holes.py": "[hole or [bore or [opening",
    "physics/films.py": "[fit or [groove",
    "physics/fits.py": "[fit or [groove",
    "physics/lands.py": "[land or [band or [window",
    "physics/galleries.py": "[run or [past",
    "physics/metering.py": "[notched or [rocker or [timed",
}
"""Laws of a module whose directions are tried when all else has passed: the slowest tests there are."""

OPERATORS: dict[type[ast.AST], type[ast.AST]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.Pow: ast.Mult,
    ast.BitAnd: ast.BitOr, ast.BitOr: ast.BitAnd, ast.And: ast.Or, ast.Or: ast.And,
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot, ast.IsNot: ast.Is,
}  # fmt: skip
REVERSED: dict[type[ast.AST], type[ast.AST]] = {
    ast.Lt: ast.Gt, ast.Gt: ast.Lt, ast.LtE: ast.GtE, ast.GtE: ast.LtE,
}  # fmt: skip
MEMBERSHIP: dict[type[ast.AST], type[ast.AST]] = {ast.In: ast.NotIn, ast.NotIn: ast.In}
FUNCTIONS = {
    "minimum": "maximum", "maximum": "minimum", "min": "max", "max": "min", "any": "all", "all": "any",
    "zeros_like": "ones_like", "ones_like": "zeros_like", "zeros": "ones", "ones": "zeros",
    "sin": "cos", "cos": "sin", "arcsin": "arccos", "arccos": "arcsin", "sum": "mean", "mean": "sum",
    "add": "subtract", "subtract": "add", "multiply": "divide", "divide": "multiply", "isfinite": "isinf",
}  # fmt: skip
LEFT_OUT = ("abs", "sqrt", "square", "cbrt")
"""Functions of one argument that may as well be left out."""


class Mutant(Struct, frozen=True):
    """One fault: its module, where it stands, what became what, what its line and its module then say."""

    module: str
    line: int
    change: str
    becomes: str
    text: str

    @property
    def name(self) -> str:
        """The same for the same fault in the same text."""
        return (
            f"{self.module}:{self.line}: {self.change} [{hashlib.sha256(self.text.encode()).hexdigest()[:8]}]"
        )


def mutants_of(module: str, source: str) -> Iterator[Mutant]:
    """Every fault of a module that one change of its syntax makes."""
    tree = ast.parse(source)
    places = [place for body in _bodies(tree) for place in _within(body, body)]
    for place, statement in places:
        more = _turned(place) if module in JUDGING else ()
        for change, field, value in (*_changes(place), *more):
            sound = getattr(place, field)
            setattr(place, field, value)
            becomes, text = ast.unparse(statement).partition("\n")[0], ast.unparse(tree)
            setattr(place, field, sound)
            yield Mutant(module, getattr(place, "lineno", 0), change, becomes, text)


def _turned(node: ast.AST) -> Iterator[tuple[str, str, object]]:
    """Faults of what decides instead of computing: conditions turned round, statements and answers left out."""
    if isinstance(node, ast.If | ast.While | ast.IfExp):
        yield "if -> unless", "test", ast.UnaryOp(ast.Not(), node.test)
    if isinstance(node, ast.Compare) and len(node.ops) == 1 and type(node.ops[0]) in MEMBERSHIP:
        yield _named(node.ops[0], MEMBERSHIP), "ops", [MEMBERSHIP[type(node.ops[0])]()]
    if isinstance(node, ast.comprehension) and node.ifs:
        yield "only those -> all", "ifs", []
    if isinstance(node, ast.Return) and node.value is not None and not _is_none(node.value):
        yield "answer -> none", "value", ast.Constant(None)
    if isinstance(node, ast.Expr) and isinstance(node.value, ast.Call):
        yield "statement -> nothing", "value", ast.Constant(None)


def _is_none(node: ast.AST) -> bool:
    return isinstance(node, ast.Constant) and node.value is None


def _within(node: ast.AST, statement: ast.AST) -> Iterator[tuple[ast.AST, ast.AST]]:
    """Every node below one, each with the statement it is part of."""
    statement = node if isinstance(node, ast.stmt) else statement
    yield node, statement
    for child in ast.iter_child_nodes(node):
        yield from _within(child, statement)


def _bodies(tree: ast.Module) -> Iterator[ast.AST]:
    """Statements that compute: of functions, and constants; no docstrings, no annotations, no type aliases."""
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef):
            yield from (s.value if isinstance(s, ast.AnnAssign) and s.value else s for s in _own(node))
    for node in tree.body:
        value = getattr(node, "value", None)
        if (
            isinstance(node, ast.Assign | ast.AnnAssign)
            and value
            and not isinstance(value, ast.BinOp | ast.Subscript)
        ):
            yield value


def _own(function: ast.FunctionDef) -> Iterator[ast.stmt]:
    """A function's statements without its docstring and without functions inside it, which come by themselves."""
    for statement in function.body:
        is_text = isinstance(statement, ast.Expr) and isinstance(statement.value, ast.Constant)
        if not is_text and not isinstance(statement, ast.FunctionDef):
            yield statement


def _changes(node: ast.AST) -> Iterator[tuple[str, str, object]]:
    """Every fault one node can have: what it says, and which field of the node becomes what."""
    yield from _operators(node)
    yield from _numbers(node)
    yield from _calls(node)
    if isinstance(node, ast.IfExp):
        yield "if -> always", "test", ast.Constant(True)
        yield "if -> never", "test", ast.Constant(False)


def _operators(node: ast.AST) -> Iterator[tuple[str, str, object]]:
    if isinstance(node, ast.BinOp | ast.BoolOp | ast.AugAssign) and type(node.op) in OPERATORS:
        yield _named(node.op, OPERATORS), "op", OPERATORS[type(node.op)]()
    if isinstance(node, ast.Compare) and len(node.ops) == 1:
        for table in (OPERATORS, REVERSED):
            if type(node.ops[0]) in table:
                yield _named(node.ops[0], table), "ops", [table[type(node.ops[0])]()]
    if isinstance(node, ast.UnaryOp):
        # Twice is not at all.
        yield f"{type(node.op).__name__} -> nothing", "operand", ast.UnaryOp(node.op, node.operand)


def _numbers(node: ast.AST) -> Iterator[tuple[str, str, object]]:
    if not isinstance(node, ast.Constant) or not isinstance(node.value, bool | int | float):
        return
    given = node.value
    if isinstance(given, bool):
        other: float = not given
    else:
        other = given + 1 if isinstance(given, int) else given * 1.25 or 1.0
    yield f"{given} -> {other}", "value", other


def _calls(node: ast.AST) -> Iterator[tuple[str, str, object]]:
    if isinstance(node, ast.Attribute) and node.attr in FUNCTIONS:
        yield f"{node.attr} -> {FUNCTIONS[node.attr]}", "attr", FUNCTIONS[node.attr]
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in LEFT_OUT:
        yield f"{node.func.attr} -> nothing", "func", ast.parse("np.asarray", mode="eval").body


def _named(operator: ast.AST, table: dict[type[ast.AST], type[ast.AST]]) -> str:
    return f"{type(operator).__name__} -> {table[type(operator)].__name__}"


def drawn(modules: Iterable[str], count: int, seed: int) -> list[Mutant]:
    """So many of all faults of all modules, the same for the same seed and text."""
    known = [m for module in modules for m in mutants_of(module, (TOP / PACKAGE / module).read_text("utf-8"))]
    print(f"{len(known)} faults in {len({mutant.module for mutant in known})} modules")
    return random.Random(seed).sample(known, min(count, len(known)))


def copied(into: Path) -> Path:
    """The checkout's own text, for faults to be put into."""
    for name in COPIED:
        source, target = TOP / name, into / name
        if source.is_dir():
            shutil.copytree(source, target, ignore=shutil.ignore_patterns("__pycache__", ".hypothesis"))
        else:
            shutil.copy(source, target)
    return into


def passes(checkout: Path, module: str, seconds: float) -> str:
    """Run a module's tests in one process up to the first that fails: `passed`, `failed` or `timed out`."""
    child = os.fork()  # what never changes is imported already
    if not child:
        _run_tests(checkout, module)
    ends = time.monotonic() + seconds
    while time.monotonic() < ends:
        ended, status = os.waitpid(child, os.WNOHANG)
        if ended:
            return "passed" if status == 0 else "failed"
        time.sleep(0.02)
    os.killpg(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return "timed out"


def _run_tests(checkout: Path, module: str) -> NoReturn:
    """In a process of its own: the checkout's modules, its tests, no word of either."""
    code = 1
    try:
        os.setsid()
        silence = os.open(os.devnull, os.O_WRONLY)
        os.dup2(silence, 1)
        os.dup2(silence, 2)
        os.chdir(checkout)
        sys.path.insert(0, str(checkout / "service"))
        sys.pycache_prefix = str(checkout / "compiled")
        # No test here needs a plugin, and these take seconds to import.
        os.environ |= {"PYTEST_DISABLE_PLUGIN_AUTOLOAD": "1", "PYTHONPATH": str(checkout / "service")}
        options = ["-x", "-q", "-p", "no:cacheprovider", "-o", "addopts=--import-mode=importlib"]
        options += ["-o", "markers=no_cover"]  # a plugin's
        code = pytest.main([*options, *(f"tests/{test}" for test in (TESTS | JUDGING)[module])])
        if not code and module in DIRECTIONS:
            code = pytest.main([*options, "tests/physics/test_law_directions.py", "-k", DIRECTIONS[module]])
    finally:
        os._exit(int(code))


def limits(checkout: Path, modules: set[str]) -> dict[str, float]:
    """Seconds a module's tests may take: three times what they take without a fault. They must pass then."""
    allowed = {}
    for module in sorted(modules):
        began = time.monotonic()
        if passes(checkout, module, 600) != "passed":
            raise SystemExit(f"the tests of {module} fail without a fault; mend them first")
        allowed[module] = 20 + 3 * (time.monotonic() - began)
    return allowed


def survey(mutants: list[Mutant], results: Path, minutes: float) -> dict[str, str]:
    """What became of every fault; those already known are not tried again."""
    lines = results.read_text("utf-8").splitlines() if results.exists() else []
    known = {entry["fault"]: entry["result"] for entry in map(json.loads, lines)}
    # Module by module: each one's tests have to be timed without a fault first.
    left = sorted((m for m in mutants if m.name not in known), key=lambda mutant: mutant.module)
    ends = time.monotonic() + minutes * 60 if minutes else float("inf")
    with tempfile.TemporaryDirectory() as folder:
        checkout = copied(Path(folder))
        allowed: dict[str, float] = {}
        for mutant in left:
            if time.monotonic() > ends:
                break
            if mutant.module not in allowed:
                allowed |= limits(checkout, {mutant.module})
            known[mutant.name] = _tried(checkout, mutant, allowed[mutant.module])
            with results.open("a", encoding="utf-8") as file:
                entry = {"fault": mutant.name, "becomes": mutant.becomes, "result": known[mutant.name]}
                file.write(json.dumps(entry) + "\n")
    return {mutant.name: known[mutant.name] for mutant in mutants if mutant.name in known}


def _tried(checkout: Path, mutant: Mutant, seconds: float) -> str:
    file = checkout / PACKAGE / mutant.module
    sound = file.read_text("utf-8")
    _written(file, mutant.text)
    try:
        return passes(checkout, mutant.module, seconds)
    finally:
        _written(file, sound)


def _written(file: Path, text: str) -> None:
    """Write a module's text and forget what was compiled from the last, which may have its size and second."""
    file.write_text(text, "utf-8")
    for compiled in (file.parents[3] / "compiled").rglob(f"{file.stem}.*.pyc"):
        compiled.unlink()


def main() -> None:
    """Draw, try and tell."""
    said = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    said.add_argument("--of", choices=AREAS, default="laws", help="what the faults are put into")
    said.add_argument("--count", type=int, default=300)
    said.add_argument("--seed", type=int, default=1)
    said.add_argument("--results", type=Path, default=Path(tempfile.gettempdir()) / "mutants.jsonl")
    said.add_argument("--minutes", type=float, default=0.0, help="stop after so long; 0 for never")
    given = said.parse_args()
    mutants = drawn(AREAS[given.of], given.count, given.seed)
    found = survey(mutants, given.results, given.minutes)
    explained = {(e["module"], e["change"], e["becomes"]) for e in json.loads(EXPLAINED.read_text("utf-8"))}
    survivors = [mutant for mutant in mutants if found.get(mutant.name) == "passed"]
    left = [m for m in survivors if (m.module, m.change, m.becomes) not in explained]
    print(
        f"{len(found) - len(survivors)} of {len(found)} noticed, {len(survivors) - len(left)} explained,"
        f" {len(left)} not noticed, {len(mutants) - len(found)} not tried yet"
    )
    for mutant in left:
        print(f"not noticed: {mutant.name}: {mutant.becomes}")


if __name__ == "__main__":
    main()
