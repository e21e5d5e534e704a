"""Shows the main job on an example case: a screen's bearing with a riveted cage, run short.

    python scripts/demo.py             prints the results and opens the figures
    python scripts/demo.py --no-open   prints the results only

Everything is written to the folder demo_results/.
"""

import argparse
import html
import os
import shutil
import subprocess
import sys
import webbrowser
from pathlib import Path

import _setup

CASE = _setup.ROOT / "cases" / "dewatering_screen_riveted.toml"
RESULTS = _setup.ROOT / "demo_results"
FIGURE_ENDINGS = (".png", ".svg")


def steps(case, results):
    """Return the titles and `rollsim` arguments of the demonstration, in order."""
    history = str(results / "history.h5")
    folder = str(results)
    return [
        ("The input, checked", ["check", str(case)]),
        ("A short run", ["run", str(case), "-o", history, "--preview"]),
        ("Peak pocket forces", ["peaks", history, "-o", folder]),
        ("Whirl of the cage", ["whirl", history, "-o", folder]),
        ("Verdict: fatigue and the other mechanisms", ["fatigue", history, "-o", folder]),
    ]


def clear(results):
    """Remove the results of an earlier demonstration."""
    shutil.rmtree(results, ignore_errors=True)
    results.mkdir(parents=True, exist_ok=True)


def run_step(title, arguments):
    """Run one rollsim command; pass on and return what it printed."""
    print(f"\n=== {title}\n$ rollsim {' '.join(arguments)}\n", flush=True)
    command = [sys.executable, "-m", "rollsim", *arguments]
    lines = []
    with subprocess.Popen(
        command,
        cwd=_setup.ROOT,
        stdout=subprocess.PIPE,
        text=True,
        encoding="utf-8",
        errors="replace",
    ) as process:
        for line in process.stdout:
            sys.stdout.write(line)
            sys.stdout.flush()
            lines.append(line)
    if process.returncode != 0:
        sys.exit(f"The step '{title}' failed with exit status {process.returncode}.")
    return "".join(lines)


def write_page(results, printed):
    """Write one page that holds the printed results and all figures; return its path."""
    parts = [
        f"<h2>{html.escape(title)}</h2><pre>{html.escape(text)}</pre>" for title, text in printed
    ]
    figures = sorted(path for path in results.rglob("*") if path.suffix in FIGURE_ENDINGS)
    for figure in figures:
        name = html.escape(figure.relative_to(results).as_posix())
        parts.append(f'<h2>{name}</h2><img src="{name}" alt="{name}" style="max-width:100%">')
    head = '<!doctype html><meta charset="utf-8"><title>rollsim demonstration</title>'
    page = results / "demo.html"
    page.write_text(head + "\n".join(parts) + "\n", encoding="utf-8")
    return page


def has_screen(platform=sys.platform, environment=os.environ):
    """True when a desktop is there to open a page on."""
    if platform in ("win32", "darwin"):
        return "SSH_CONNECTION" not in environment
    return bool(environment.get("DISPLAY") or environment.get("WAYLAND_DISPLAY"))


def open_page(page):
    """Open the page if a desktop is there; never fail without one."""
    if not has_screen():
        return
    try:
        webbrowser.open(page.as_uri())
    except (webbrowser.Error, OSError) as problem:
        print(f"(no browser could be opened: {problem})")


def main():
    """Run the demonstration."""
    parser = argparse.ArgumentParser(description="Shows the main job on an example case.")
    parser.add_argument("--no-open", action="store_true", help="do not open the figures")
    arguments = parser.parse_args()
    _setup.enter_environment(__file__)
    os.environ["PYTHONIOENCODING"] = "utf-8"
    if hasattr(sys.stdout, "reconfigure"):
        sys.stdout.reconfigure(errors="replace")
    clear(RESULTS)
    printed = [(title, run_step(title, command)) for title, command in steps(CASE, RESULTS)]
    page = write_page(RESULTS, printed)
    print(f"\nResults, history and figures are in {RESULTS}\nAll on one page: {page}")
    if not arguments.no_open:
        open_page(Path(page))


if __name__ == "__main__":
    main()
