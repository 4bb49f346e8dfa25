"""Whether a program's manual has all that the program itself tells of: asks for the help of every command, as a person would,
and looks for each command and option in the pages.

    manual_check.py PROGRAM DIRECTORY_OF_PAGES
"""
import os
import re
import subprocess
import sys

program, directory = sys.argv[1:]
name = os.path.basename(program)
# Bold and italic, and what roff has for characters of its own.
ROFF = [(r"\\f[BIR]", ""), (r"\\-", "-"), (r"\\\(dq", '"'), (r"\\\(aq", "'"), (r"\\\(ga", "`")]
problems = []
counts = {"commands": 0, "options": 0, "arguments": 0}


def plain(text):
    for pattern, instead in ROFF:
        text = re.sub(pattern, instead, text)
    return text


def page_of(path):
    file = os.path.join(directory, "-".join(path[:2]) + ".1")
    if not os.path.exists(file):
        problems.append(f"there is no page {file}")
        return ""
    return open(file, encoding="ascii").read()


def part_of(path):
    """What the page says of this very command: lines of entries."""
    page = page_of(path)
    start = ".SH OPTIONS\n" if len(path) <= 2 else plain(".SS " + " ".join(path)) + "\n"
    parts = plain(page).split(start)
    if len(parts) != 2:
        problems.append(f"the page of {' '.join(path)} does not tell of it")
        return []
    part = re.split(r"^\.S[HS]", parts[1], flags=re.M)[0]
    return re.findall(r"^\.TP\n(.*)$", part, flags=re.M)


def walk(path):
    counts["commands"] += 1
    text = subprocess.run([program, *path[1:], "--help"], capture_output=True, text=True, check=True).stdout
    entries = part_of(path)
    group = None
    for line in text.splitlines():
        heading = re.fullmatch(r"(\S.*):", line)
        if heading:
            group = heading[1]
            continue
        if not line.startswith("  ") or line.startswith("   "):
            continue
        word = line.split()[0]
        if group == "Positionals":
            counts["arguments"] += 1
            if not any(entry.strip("[]").startswith(word) for entry in entries):
                problems.append(f"{' '.join(path)}: no argument {word} in the manual")
        elif word.startswith("-"):
            counts["options"] += 1
            for spelling in word.split(","):
                if not any(spelling in re.split(r"[ ,]+", entry) for entry in entries):
                    problems.append(f"{' '.join(path)}: no {spelling} in the manual")
        elif group:
            if len(path) == 1 and not re.search(rf"^{re.escape(name)}-{re.escape(word)}\(1\)$", plain(page_of(path)), flags=re.M):
                problems.append(f"the page of {name} does not list {word}")
            walk([*path, word])
            if len(path) == 1:
                pages.add(f"{name}-{word}.1")


pages = {f"{name}.1"}
walk([name])
mine = {page for page in os.listdir(directory) if re.fullmatch(re.escape(name) + r"(-.*)?\.1", page)}
for page in sorted(mine - pages):
    problems.append(f"{page} is of no command")
for problem in problems:
    print(problem)
print("  " + name + ": " + ", ".join(f"{count} {what}" for what, count in counts.items()))
sys.exit(1 if problems or counts["options"] < 2 else 0)
