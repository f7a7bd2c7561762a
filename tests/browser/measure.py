"""Measures rendered pages with Debian's chromium: python3's standard library only.

For every page in the folder given: at 1280 px and 390 px, light and dark, no text of a chart overlaps another
or leaves its picture, nothing runs out of the column sideways, every text has a contrast of 4.5:1, nothing is
fetched. Printed on A4 and Letter, no chart is cut by a page break and the paper stays white.
"""

import html
import json
import pathlib
import re
import subprocess
import sys
import tempfile

WIDTHS = (1280, 390)
PAPERS = ("A4", "letter")
BROWSER = (
    "chromium --headless --no-sandbox --disable-gpu --no-first-run --disable-background-networking "
    "--disable-component-update --disable-sync --hide-scrollbars --allow-file-access-from-files"
).split()
POLICY = re.compile(r'<meta http-equiv="Content-Security-Policy"[^>]*/>')
MEASURE = (pathlib.Path(__file__).parent / "measure.js").read_text()


def chromium(*arguments):
    """Runs the browser with a profile of its own and gives what it printed."""
    with tempfile.TemporaryDirectory() as profile:
        command = [*BROWSER, f"--user-data-dir={profile}", *arguments]
        done = subprocess.run(command, capture_output=True, text=True, timeout=180, check=False)
    if done.returncode != 0:
        sys.exit(f"chromium failed: {done.stderr[-2000:]}")
    return done.stdout


def theme(dark):
    return ["--blink-settings=preferredColorScheme=0"] if dark else ["--blink-settings=preferredColorScheme=1"]


def harness(page):
    """A page that holds the page under test in frames of the widths asked for and measures each."""
    inner = html.escape(POLICY.sub("", page), quote=True)
    frames = "".join(f'<iframe width="{w}" height="9000" style="border:0" srcdoc="{inner}"></iframe>' for w in WIDTHS)
    return f"<!DOCTYPE html><meta charset=utf-8><body>{frames}<pre id=found></pre><script>{MEASURE}</script></body>"


def measured(path, dark, work):
    """What the browser's own measurements find wrong."""
    copy = work / "harness.html"
    copy.write_text(harness(path.read_text()))
    dom = chromium(*theme(dark), "--window-size=1700,2000", "--virtual-time-budget=15000", "--dump-dom", f"file://{copy}")
    found = re.search(r'<pre id="found">(.*?)</pre>', dom, re.S)
    if not found or not found.group(1):
        return ["the measuring script did not run"]
    result = json.loads(html.unescape(found.group(1)))
    if [frame["width"] for frame in result] != list(WIDTHS):
        return [f"frames measured: {[frame['width'] for frame in result]}"]
    # A small page has few texts; those of charts stand in it twice, for both widths.
    least = min(50, len(re.findall(r"<(?:p|h1|h2|td|text)\b", path.read_text())) // 2)
    for frame in result:
        if frame["texts"] < least:
            return [f"only {frame['texts']} texts were measured at {frame['width']} px"]
        expected = "dark" if dark else "light"
        if frame["theme"] != expected:
            return [f"asked for {expected}, the page is {frame['theme']}"]
    return [f"{frame['width']} px: {fault}" for frame in result for fault in frame["faults"]]


def words(text):
    return re.sub(r"\s+", "", text)


def charts(page):
    """First and last line of every chart that print shows."""
    for svg in re.findall(r'<svg [^>]*class="chart wide".*?</svg>', page, re.S):
        lines = [html.unescape(t) for t in re.findall(r"<text[^>]*>(.*?)</text>", svg, re.S)]
        if len(lines) > 6:
            yield lines[0], lines[-1]


def printed(path, paper, work, keep):
    """What is wrong with the page on paper, also when the reader's screen is dark."""
    page = path.read_text()
    copy = work / "print.html"
    copy.write_text(page.replace("</style>", f"@page{{size:{paper}}}</style>", 1))
    pdf = keep / f"{path.stem}-{paper}.pdf"
    chromium(*theme(True), "--no-pdf-header-footer", f"--print-to-pdf={pdf}", f"file://{copy}")
    text = subprocess.run(["pdftotext", "-raw", str(pdf), "-"], capture_output=True, text=True, check=True).stdout
    sheets = [words(sheet) for sheet in text.split("\f") if sheet.strip()]
    faults = []
    for first, last in charts(page):
        plain = (words(first), words(last))
        if not any(all(part in sheet for part in plain) for sheet in sheets):
            faults.append(f"{paper}: chart cut or lost: {first!r}")
    corner = subprocess.run(["pdftoppm", "-r", "8", "-f", "1", "-l", "1", str(pdf)], capture_output=True, check=True).stdout
    if corner[-3:] != b"\xff\xff\xff":
        faults.append(f"{paper}: the paper is not white")
    return faults


def main():
    folder = pathlib.Path(sys.argv[1]).resolve()
    pages = sorted(p for p in folder.glob("*.html"))
    if not pages:
        sys.exit(f"no page in {folder}")
    faults = []
    with tempfile.TemporaryDirectory() as temporary:
        work = pathlib.Path(temporary)
        for path in pages:
            before = len(faults)
            for dark in (False, True):
                name = "dark" if dark else "light"
                faults += [f"{path.name}, {name}, {fault}" for fault in measured(path, dark, work)]
                shot = folder / f"{path.stem}-{name}.png"
                chromium(*theme(dark), "--window-size=1280,6000", f"--screenshot={shot}", f"file://{path}")
            # Names in scripts that no font here can draw do not come back from a PDF as they went in.
            if path.stem != "hostile":
                for paper in PAPERS:
                    faults += [f"{path.name}, {fault}" for fault in printed(path, paper, work, folder)]
            print(f"{path.name}: {'ok' if len(faults) == before else 'FAULTS'}", flush=True)
    for fault in faults:
        print(fault)
    sys.exit(1 if faults else 0)


main()
