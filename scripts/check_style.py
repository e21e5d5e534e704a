"""Checks the house rules that ruff and import-linter cannot see.

    python scripts/check_style.py

Prints `file:line: what is wrong and how to mend it`, one line a place; exit status 1 if any.
The rules are described in DEVELOPERS.md under "Style".
"""

import ast
import re
import sys
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parents[1]

LONGEST_FILE = 400
LONGEST_FUNCTION = 60
MOST_ARGUMENTS = 8
HOME_OF_NUMBA = "rollsim/kernels/jit.py"
SLOW_PACKAGES = ("matplotlib", "h5py", "scipy.signal", "pandas")
QUICK_FILES = re.compile(r"rollsim/(__init__|__main__|cli|cli/.*)\.py")
FUNCTIONS = (ast.FunctionDef, ast.AsyncFunctionDef)


class Finding(NamedTuple):
    """A place that breaks a rule: file, line number and what to do."""

    file: str
    line: int
    text: str

    def __str__(self):
        """Return the place in the form that editors can jump to."""
        return f"{self.file}:{self.line}: {self.text}"


def check_source(source, file):
    """Return the findings in one Python source text.

    `file` is the path from the repository root with forward slashes; it decides which rules hold.
    """
    tree = ast.parse(source, filename=file)
    found = [*_file_length(source, file), *_function_sizes(tree, file)]
    if file.startswith("rollsim/"):
        found += _docstrings(tree, file)
        found += _numba(tree, file)
        found += _slow_imports(tree, file)
    return sorted(found, key=lambda finding: finding.line)


def check_tree(root):
    """Return the findings in all sources of rollsim/ and scripts/ and the number of files read."""
    files = sorted(path for part in ("rollsim", "scripts") for path in (root / part).rglob("*.py"))
    found = []
    for path in files:
        found += check_source(path.read_text(encoding="utf-8"), path.relative_to(root).as_posix())
    return found, len(files)


def _file_length(source, file):
    """Find a file that is too long."""
    lines = len(source.splitlines())
    if lines > LONGEST_FILE:
        text = f"{lines} lines, at most {LONGEST_FILE}: move one concern into a file of its own"
        yield Finding(file, LONGEST_FILE + 1, text)


def _function_sizes(tree, file):
    """Find functions that are too long or take too many arguments."""
    for node in ast.walk(tree):
        if not isinstance(node, FUNCTIONS):
            continue
        lines = _lines_without_docstring(node)
        if lines > LONGEST_FUNCTION:
            text = f"{node.name} has {lines} lines without its docstring, at most "
            text += f"{LONGEST_FUNCTION}: split it into named steps"
            yield Finding(file, node.lineno, text)
        number = len(argument_names(node))
        if number > MOST_ARGUMENTS:
            text = f"{node.name} takes {number} arguments, at most {MOST_ARGUMENTS}: group what "
            text += "belongs together in a NamedTuple or dataclass"
            yield Finding(file, node.lineno, text)


def _lines_without_docstring(node):
    """Count the lines of a function from `def` to its end, docstring left out."""
    lines = node.end_lineno - node.lineno + 1
    if ast.get_docstring(node, clean=False) is not None:
        lines -= node.body[0].end_lineno - node.body[0].lineno + 1
    return lines


def argument_names(node):
    """Return the argument names of a function, in order; self, cls, *args and **kwargs left out."""
    arguments = node.args
    names = [item.arg for item in (*arguments.posonlyargs, *arguments.args)]
    if names and names[0] in ("self", "cls"):
        names = names[1:]
    return names + [item.arg for item in arguments.kwonlyargs]


def documented_names(docstring):
    """Return the names in the NumPy-style Parameters section; None when there is no section."""
    lines = docstring.splitlines()
    start = _section_start(lines, "Parameters")
    if start is None:
        return None
    names = []
    for number in range(start, len(lines)):
        if _is_underlined(lines, number):
            break
        line = lines[number]
        if line.strip() and not line[0].isspace():
            head = line.split(" :")[0].split(":")[0]
            names += [name.strip() for name in head.split(",")]
    return [name for name in names if not name.startswith("*")]


def _section_start(lines, title):
    """Return the number of the first line below a section's underline, or None."""
    for number, line in enumerate(lines):
        if line.strip() == title and _is_underlined(lines, number):
            return number + 2
    return None


def _is_underlined(lines, number):
    """True when the next line consists of dashes: this line is a section title."""
    if number + 1 >= len(lines) or not lines[number].strip():
        return False
    return re.fullmatch(r"\s*-{3,}\s*", lines[number + 1]) is not None


def _docstrings(tree, file):
    """Find public classes and functions without a docstring or with a wrong Parameters section."""
    for node in _public_nodes(tree.body):
        docstring = ast.get_docstring(node)
        kind = "class" if isinstance(node, ast.ClassDef) else "function"
        if docstring is None:
            text = f"public {kind} {node.name} has no docstring: say in a line what it is or does"
            yield Finding(file, node.lineno, text)
        elif kind == "function" and not _is_command(node):
            yield from _parameters(node, docstring, file)
        elif kind == "class":
            yield from _class_parameters(node, docstring, file)


def _public_nodes(body):
    """Yield public functions, classes and the public methods of public classes."""
    for node in body:
        if isinstance(node, (ast.If, ast.Try)):
            yield from _public_nodes(node.body)
            yield from _public_nodes(node.orelse)
        elif isinstance(node, (*FUNCTIONS, ast.ClassDef)) and not node.name.startswith("_"):
            if not _is_repetition(node):
                yield node
            if isinstance(node, ast.ClassDef):
                yield from _public_nodes(node.body)


def _is_repetition(node):
    """True for property setters, deleters and typing overloads: documented at their first form."""
    names = [_dotted(decorator) for decorator in node.decorator_list]
    return any(name.split(".")[-1] in ("setter", "deleter", "overload") for name in names)


def _is_command(node):
    """True for functions that click decorates: their options carry their own help texts."""
    for decorator in node.decorator_list:
        parts = _dotted(decorator).split(".")
        if parts[0] == "click" or (len(parts) > 1 and parts[-1] in ("command", "group")):
            return True
    return False


def _dotted(node):
    """Return the dotted name of a decorator, without its call."""
    if isinstance(node, ast.Call):
        return _dotted(node.func)
    if isinstance(node, ast.Attribute):
        return f"{_dotted(node.value)}.{node.attr}"
    return node.id if isinstance(node, ast.Name) else ""


def _parameters(node, docstring, file):
    """Find a Parameters section that is absent or differs from the signature."""
    wanted, written = argument_names(node), documented_names(docstring)
    if written is None:
        if wanted:
            text = f"{node.name} has no Parameters section: list {', '.join(wanted)} with units"
            yield Finding(file, node.lineno, text)
    elif written != wanted:
        yield Finding(file, node.lineno, _difference(node.name, written, wanted))


def _class_parameters(node, docstring, file):
    """Find a Parameters section of a class that differs from the signature of its __init__."""
    written = documented_names(docstring)
    makers = [item for item in node.body if isinstance(item, FUNCTIONS) and item.name == "__init__"]
    if written is None or not makers:
        return
    wanted = argument_names(makers[0])
    if written != wanted:
        yield Finding(file, node.lineno, _difference(node.name, written, wanted))


def _difference(name, written, wanted):
    """Sentence that says how a Parameters section differs from the signature."""
    return (
        f"Parameters of {name} are documented as ({', '.join(written)}), the signature has "
        f"({', '.join(wanted)}): make names and order equal"
    )


def imported_modules(node):
    """Return the full names that an import statement may load."""
    if isinstance(node, ast.Import):
        return [item.name for item in node.names]
    if isinstance(node, ast.ImportFrom) and node.level == 0:
        return [node.module, *(f"{node.module}.{item.name}" for item in node.names)]
    return []


def _belongs_to(module, package):
    """True when `module` is `package` or lies in it."""
    return module == package or module.startswith(package + ".")


def _numba(tree, file):
    """Find imports of numba outside its one home."""
    if file == HOME_OF_NUMBA:
        return
    for node in ast.walk(tree):
        if any(_belongs_to(module, "numba") for module in imported_modules(node)):
            text = f"numba is imported here: use the decorators of {HOME_OF_NUMBA} instead"
            yield Finding(file, node.lineno, text)


def _slow_imports(tree, file):
    """Find imports that slow down `rollsim --help`."""
    if not QUICK_FILES.fullmatch(file):
        return
    for node in _run_on_import(tree.body):
        modules = imported_modules(node)
        for package in SLOW_PACKAGES:
            if any(_belongs_to(module, package) for module in modules):
                text = (
                    f"{package} is imported at the top: import it inside the function that uses it"
                )
                yield Finding(file, node.lineno, text)


def _run_on_import(body):
    """Yield the statements that run when the module is imported, TYPE_CHECKING blocks left out."""
    for node in body:
        if isinstance(node, FUNCTIONS):
            continue
        if isinstance(node, ast.If) and _dotted(node.test).split(".")[-1] == "TYPE_CHECKING":
            yield from _run_on_import(node.orelse)
            continue
        yield node
        for field in ("body", "orelse", "finalbody", "handlers"):
            yield from _run_on_import(getattr(node, field, []))


def main():
    """Check the repository and print what was found."""
    found, number = check_tree(ROOT)
    for finding in found:
        print(finding)
    print(f"{len(found)} places to mend." if found else f"Style in order in {number} files.")
    sys.exit(1 if found else 0)


if __name__ == "__main__":
    main()
