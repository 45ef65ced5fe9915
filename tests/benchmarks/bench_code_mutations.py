"""How many faults put into the code of a package its own tests notice. Run as a plain script.

A fault is one comparison, sum, constant, condition, return or call changed, one at a time; the module with the
fault stands in for the real one in a process of its own, nothing on disk is touched. Left alone are
annotations, decorators, docstrings, texts, and zip's `strict`, which asserts and does nothing else.

python tests/benchmarks/bench_code_mutations.py units [--sample 150] [--seed 1] [--log FILE] [--again FILE]
"""

from __future__ import annotations

import argparse
import ast
import importlib
import json
import math
import os
import random
import resource
import signal
import sys
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from importlib.machinery import ModuleSpec, SourceFileLoader
from importlib.util import spec_from_loader
from pathlib import Path
from types import CodeType
from typing import Any

ROOT = Path(__file__).parents[2]
PACKAGES = {
    package: sorted(
        path.stem for path in (ROOT / "pocketref" / package).glob("*.py") if path.stem != "__init__"
    )
    for package in ("units", "field", "tape", "rulings", "plays")
}
"""All modules of each, so that none is forgotten."""
REFERENCES = {
    "units": ("units",),
    "field": ("field", "feet", "levels"),
    "tape": ("tape", "sheets"),
    "rulings": (
        *(f"rulings_{topic}" for topic in ("contact", "leaving", "second_touch", "stance", "thrown_bat")),
        "tables",
    ),
    "plays": ("plays",),
}
"""Checks against sources outside the project that belong to a package, as tests/reference names them."""
HEAVY = (
    "pytest",
    "hypothesis.extra.numpy",
    "scipy.optimize",
    "scipy.stats",
    "shapely.affinity",
    "pydantic",
    "reportlab.pdfgen.canvas",
    "fontTools.ttLib",
    "pypdfium2",
)
"""Loaded once, before the processes part."""
OPTIONS = ("-x", "-q", "-p", "no:cacheprovider", "--tb=no", "--noconftest", "--assert=plain")
MOST_BYTES = 6 << 30

COMPARISONS: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.LtE, ast.GtE),
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.LtE),
    ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
}
SUMS: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.FloorDiv,
    ast.Pow: ast.Mult,
    ast.BitOr: ast.BitAnd,
    ast.BitAnd: ast.BitOr,
    ast.LShift: ast.RShift,
}
CALLS = {"min": "max", "max": "min", "any": "all", "all": "any", "floor": "ceil", "ceil": "floor"}


@dataclass(frozen=True, slots=True)
class Fault:
    """One change: which of its module's, where, from what to what."""

    module: str
    number: int
    line: int
    before: str
    after: str


def change_comparison(node: ast.Compare) -> Iterator[ast.AST]:
    """Each operator moved by a hair, and turned round."""
    for place, operator in enumerate(node.ops):
        for other in COMPARISONS[type(operator)]:
            ops = [*node.ops[:place], other(), *node.ops[place + 1 :]]
            yield ast.Compare(node.left, ops, node.comparators)


def change_sum(node: ast.BinOp | ast.AugAssign) -> Iterator[ast.AST]:
    """The opposite operation."""
    if (other := SUMS.get(type(node.op))) is None:
        return
    if isinstance(node, ast.BinOp):
        yield ast.BinOp(node.left, other(), node.right)
    else:
        yield ast.AugAssign(node.target, other(), node.value)


def change_constant(node: ast.Constant) -> Iterator[ast.AST]:
    """Truth turned round, numbers one up and one down; texts are left alone."""
    match node.value:
        case bool(truth):
            yield ast.Constant(not truth)
        case int(number):
            yield ast.Constant(number + 1)
            yield ast.Constant(number - 1)
        case float(number):
            yield ast.Constant(number + 1)


def change_statement(node: ast.stmt) -> Iterator[ast.AST]:
    """Nothing returned, raised or called; a loop gone on with or left."""
    match node:
        case ast.Return(value=ast.expr() as value) if not means_none(value):
            yield ast.Return(ast.Constant(None))
        case ast.Raise() | ast.Expr(value=ast.Call()):
            yield ast.Pass()
        case ast.Continue():
            yield ast.Break()
        case ast.Break():
            yield ast.Continue()


def changes_of(node: ast.AST) -> Iterator[ast.AST]:
    """What may stand in the node's place."""
    match node:
        case ast.Compare():
            yield from change_comparison(node)
        case ast.BinOp() | ast.AugAssign():
            yield from change_sum(node)
        case ast.BoolOp():
            yield ast.BoolOp(ast.Or() if isinstance(node.op, ast.And) else ast.And(), node.values)
        case ast.UnaryOp(op=ast.Not() | ast.USub()):
            yield node.operand
        case ast.Constant():
            yield from change_constant(node)
        case ast.Name(id=name, ctx=ast.Load()) if name in CALLS:
            yield ast.Name(CALLS[name], ast.Load())
        case ast.stmt():
            yield from change_statement(node)


def means_none(value: ast.expr) -> bool:
    """Whether None in its place would mean the same."""
    return ast.unparse(value) in ("None", "False", "NotImplemented")


class Changer(ast.NodeTransformer):
    """Visits what may be changed, lists it, and makes the change whose number is given."""

    def __init__(self, module: str, wanted: int = -1) -> None:
        self.module, self.wanted = module, wanted
        self.faults: list[Fault] = []

    def visit(self, node: ast.AST) -> Any:
        """Nodes from the outermost in."""
        if isinstance(node, ast.keyword) and node.arg == "strict":
            return node
        chosen = [after for after in changes_of(node) if self._is_wanted(node, after)]
        self._visit_inside(node)
        return ast.copy_location(chosen[0], node) if chosen else node

    def visit_test(self, test: ast.expr) -> ast.expr:
        """A condition may be turned round as a whole, where no operator in it can be."""
        turned = ast.UnaryOp(ast.Not(), test)
        is_plain = not isinstance(test, ast.Compare | ast.UnaryOp)
        chosen = is_plain and self._is_wanted(test, turned)
        seen: ast.expr = self.visit(test)
        return ast.copy_location(turned, test) if chosen else seen

    def _is_wanted(self, before: ast.AST, after: ast.AST) -> bool:
        number = len(self.faults)
        line = getattr(before, "lineno", 0)
        self.faults.append(Fault(self.module, number, line, shorten(before), shorten(after)))
        return number == self.wanted

    def _visit_inside(self, node: ast.AST) -> None:
        for name, value in ast.iter_fields(node):
            if name in ("annotation", "returns", "decorator_list", "bases", "type_params"):
                continue
            if name == "test" or (name == "ifs" and value):
                seen = [self.visit_test(v) for v in value] if name == "ifs" else self.visit_test(value)
                setattr(node, name, seen)
            elif isinstance(value, ast.AST):
                setattr(node, name, self.visit(value))
            elif isinstance(value, list):
                value[:] = [self.visit(v) if isinstance(v, ast.AST) else v for v in value]


def shorten(node: ast.AST) -> str:
    """The node as source, on one line."""
    text = " ".join(ast.unparse(ast.fix_missing_locations(node)).split())
    return text if len(text) < 90 else text[:86] + " ..."


def source_path(module: str) -> Path:
    """Where a module of the project lies."""
    return ROOT / (module.replace(".", "/") + ".py")


def list_faults(module: str) -> list[Fault]:
    """Every change to a module."""
    changer = Changer(module)
    changer.visit(ast.parse(source_path(module).read_text(encoding="utf-8")))
    return changer.faults


class FaultyLoader(SourceFileLoader):
    """Loads a module with one fault."""

    def __init__(self, fault: Fault) -> None:
        super().__init__(fault.module, str(source_path(fault.module)))
        self.fault = fault

    def get_code(self, fullname: str) -> CodeType:
        """The code of the changed tree."""
        tree = ast.parse(Path(self.path).read_text(encoding="utf-8"))
        changed = Changer(fullname, self.fault.number).visit(tree)
        code: CodeType = compile(ast.fix_missing_locations(changed), self.path, "exec")
        return code


class FaultyFinder:
    """Puts the module with the fault in place of the real one."""

    def __init__(self, fault: Fault) -> None:
        self.fault = fault

    def find_spec(self, name: str, path: Any = None, target: Any = None) -> ModuleSpec | None:
        """The faulty module's, and no other's."""
        return spec_from_loader(name, FaultyLoader(self.fault)) if name == self.fault.module else None


def tests_of(package: str, module: str) -> tuple[list[str], list[str]]:
    """The package's test files: those that bear or import the module's name, and all others.

    Checks against sources outside the project come last.
    """
    stem = module.rpartition(".")[2]
    references = [ROOT / f"tests/reference/test_{topic}_reference.py" for topic in REFERENCES[package]]
    files = [*sorted((ROOT / "tests" / package).glob("test_*.py")), *references]
    files.sort(key=lambda path: stem not in path.stem)
    near = [path for path in files if stem in path.stem or module in path.read_text(encoding="utf-8")]
    return [str(path) for path in near], [str(path) for path in files if path not in near]


def run_tests(tests: Sequence[Sequence[str]], fault: Fault | None, seconds: float) -> str:
    """ "survived", "killed" or "timed out"; the tests run in a process of their own."""
    child = os.fork()
    if child == 0:
        os._exit(run_in_child(tests, fault))
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        done, status = os.waitpid(child, os.WNOHANG)
        if done:
            return "survived" if status == 0 else "killed"
        time.sleep(0.02)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return "timed out"


def run_in_child(tests: Sequence[Sequence[str]], fault: Fault | None) -> int:
    """Pytest's exit code. Hypothesis stops at the first example that fails and remembers none."""
    import pytest
    from hypothesis import Phase, settings

    quiet = os.open(os.devnull, os.O_WRONLY)
    os.dup2(quiet, 1)
    os.dup2(quiet, 2)
    resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES, MOST_BYTES))
    phases = (Phase.explicit, Phase.generate)
    settings.register_profile("quick", phases=phases, database=None, derandomize=True)
    settings.load_profile("quick")
    if fault is not None:
        sys.meta_path.insert(0, FaultyFinder(fault))  # type: ignore[arg-type]  # a finder needs no base class
    try:
        codes = (int(pytest.main([*OPTIONS, *files])) for files in tests if files)
        return next((code for code in codes if code), 0)
    except BaseException:
        return 9


def prepare(packages: Sequence[str]) -> None:
    """Load what every process needs and no fault touches."""
    sys.path[:0] = [str(ROOT), str(ROOT / "tests"), str(ROOT / "tests/reference")]
    sys.dont_write_bytecode = True
    os.chdir(ROOT)
    for name in HEAVY:
        importlib.import_module(name)
    if "units" not in packages:
        importlib.import_module("pocketref.units.notation")
        importlib.import_module("pocketref.source.library")


def read_log(path: Path | None) -> dict[Fault, str]:
    """The verdicts that an earlier run wrote down; none if there is no such file."""
    if path is None or not path.exists():
        return {}
    lines = [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]
    return {
        Fault(**{name: line[name] for name in line if name != "verdict"}): line["verdict"] for line in lines
    }


def choose_faults(arguments: argparse.Namespace, package: str) -> list[Fault]:
    """Those that an earlier log says survived, found again whatever lines have moved; or a sample of all."""
    names = arguments.modules.split() if arguments.modules else PACKAGES[package]
    modules = [f"pocketref.{package}.{name}" for name in names]
    faults = [fault for module in modules for fault in list_faults(module)]
    if arguments.again:
        left = {f for f, verdict in read_log(arguments.again).items() if verdict == "survived"}
        moved = {(f.module, f.before, f.after) for f in left.difference(faults)}
        return [f for f in faults if f in left or (f.module, f.before, f.after) in moved]
    chosen = random.Random(arguments.seed).sample(faults, min(arguments.sample, len(faults)))
    return sorted(chosen, key=lambda fault: (fault.module, fault.number))


def judge_package(arguments: argparse.Namespace, package: str) -> None:
    """Try a package's faults one by one; print each that survives, then the share that was noticed."""
    faults = choose_faults(arguments, package)
    known = read_log(arguments.log)
    seconds: dict[str, float] = {}
    verdicts: Counter[str] = Counter()
    by_module: dict[str, Counter[str]] = {}
    for fault in faults:
        tests = tests_of(package, fault.module)
        if package not in seconds:
            start = time.monotonic()
            if run_tests(tests, None, math.inf) != "survived":
                raise SystemExit(f"{package}: its tests fail without any fault")
            seconds[package] = max(30.0, 4 * (time.monotonic() - start))
        verdict = known.get(fault) or run_tests(tests, fault, seconds[package])
        verdicts[verdict] += 1
        by_module.setdefault(fault.module, Counter())[verdict] += 1
        if arguments.log and fault not in known:
            with arguments.log.open("a", encoding="utf-8") as log:
                log.write(json.dumps({**asdict(fault), "verdict": verdict}) + "\n")
        if verdict == "survived":
            path = source_path(fault.module).relative_to(ROOT)
            say(f"survived: {path}:{fault.line}: {fault.before}  ->  {fault.after}")
    for module, counts in by_module.items():
        say(f"{module:32} {describe(counts)}")
    say(f"{package:32} {describe(verdicts)}")


def describe(counts: Counter[str]) -> str:
    """How many were noticed, a time-out included."""
    total = counts.total()
    return (
        f"{total:4} faults, {1 - counts['survived'] / total:6.1%} noticed ({counts['timed out']} timed out)"
    )


def say(line: str) -> None:
    """A line of the report."""
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


def main() -> None:
    """Judge the packages named."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("packages", nargs="*", choices=[*PACKAGES, []], default=[])
    parser.add_argument("--modules", help="only these, in quotes")
    parser.add_argument("--sample", type=int, default=150, help="faults a package")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--log", type=Path, help="keep verdicts in this file, and go on from it")
    parser.add_argument("--again", type=Path, help="try again what survived in this log")
    arguments = parser.parse_args()
    packages = arguments.packages or list(PACKAGES)
    prepare(packages)
    for package in packages:
        judge_package(arguments, package)


if __name__ == "__main__":
    main()
