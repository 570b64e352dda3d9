"""Counts how long sentences are in README, guides, project READMEs and XML docs, and checks the limits.

Usage: python3 tests/papers/sentences.py                    prints a table
       python3 tests/papers/sentences.py --check            also fails when a limit is passed
       python3 tests/papers/sentences.py --check --papers   looks at Markdown only, not at XML docs and comments
Tables, code and headings do not count. A list item is a paragraph of its own.
"""

import re
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]

# Words: median and 90th percentile that a group may have at most.
LIMITS = {"README.md": (15, 28), "DEVELOPERS.md": (15, 28), "guides": (15, 28), "project READMEs": (15, 28), "XML docs": (12, 25)}

# Lines: how many a document may have, and how long its longest may be.
PAPERS = {"README.md": (120, 160), "DEVELOPERS.md": (150, None)}

COMMENT_LENGTH_MAX = 120


def paragraphs(markdown):
    """The running text of a Markdown document: paragraphs and list items, without tables, code and headings."""
    text = re.sub(r"```.*?```", "\n\n", markdown, flags=re.S)
    text = re.sub(r"<!--.*?-->", "", text, flags=re.S)
    text = re.sub(r"^ {4}\S.*$|^\|.*$|^#.*$|^\s*[-=|:]+\s*$|^!\[.*$", "", text, flags=re.M)
    text = re.sub(r"^\s*([-*]|\d+[.)])\s+", "\n\n", text, flags=re.M)
    text = re.sub(r"!?\[([^\]]*)\]\([^)]*\)", r"\1", text)
    text = re.sub(r"<(https?:[^>]*)>", r"\1", text)
    text = re.sub(r"`[^`]*`", "code", text)
    return [" ".join(part.split()) for part in re.split(r"\n\s*\n", text) if part.strip()]


def docs(source):
    """The text of the XML docs of a C# file, one paragraph for each element."""
    found = []
    for block in re.findall(r"(?:^[ \t]*///.*\n)+", source, flags=re.M):
        text = "\n".join(line.strip()[3:] for line in block.splitlines())
        text = re.sub(r"<code>.*?</code>", "", text, flags=re.S)
        text = re.sub(r"<(see|paramref|typeparamref|inheritdoc)[^>]*/>", "code", text)
        text = re.sub(r"<c>.*?</c>", "code", text, flags=re.S)
        text = re.sub(r"<[^>]+>", "\n\n", text)
        found += [" ".join(part.split()) for part in re.split(r"\n\s*\n", text) if part.strip()]
    return found


def sentences(paragraph):
    """The lengths in words of a paragraph's sentences."""
    parts = re.split(r"(?<=[.!?])[)\"”]?\s+(?=[A-Z0-9\"“(*])", paragraph)
    lengths = [len(re.findall(r"[\w'’%°²³µ.,/×+-]*\w[\w'’%°²³µ.,/×+-]*", part)) for part in parts]
    return [length for length in lengths if length > 0]


def files(pattern, root="."):
    skip = {"bin", "obj", ".git", "node_modules", "TestResults"}
    return sorted(p for p in (ROOT / root).rglob(pattern) if not skip & set(p.relative_to(ROOT).parts))


def groups(papers_only):
    """Group name to the paragraphs in it."""
    read = lambda paths, split: [part for path in paths for part in split(path.read_text(encoding="utf-8"))]
    guides = files("*.md", "src/NutrientLedger.Web/Guide") if (ROOT / "src/NutrientLedger.Web/Guide").exists() else []
    readmes = [path for path in files("README.md", "src") if path not in guides]
    found = {
        "README.md": read([ROOT / "README.md"], paragraphs),
        "DEVELOPERS.md": read([ROOT / "DEVELOPERS.md"], paragraphs),
        "guides": read(guides, paragraphs),
        "project READMEs": read(readmes, paragraphs),
    }
    return found if papers_only else found | {"XML docs": read(files("*.cs", "src"), docs)}


def percentile(numbers, share):
    ordered = sorted(numbers)
    return ordered[min(len(ordered) - 1, int(share * len(ordered)))]


def check_papers():
    for name, (lines_max, length_max) in PAPERS.items():
        lines = (ROOT / name).read_text(encoding="utf-8").splitlines()
        if len(lines) > lines_max:
            yield f"{name} has {len(lines)} lines, {lines_max} at most: move a part to a guide or a project's README."
        for number, line in enumerate(lines, 1):
            if length_max and len(line) > length_max:
                yield f"{name}:{number} has {len(line)} characters, {length_max} at most: break the line."


def check_comments():
    for pattern in ("*.cs", "*.js", "*.css"):
        for path in files(pattern):
            for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
                if re.match(r"\s*(//|/?\*)", line) and len(line) > COMMENT_LENGTH_MAX:
                    yield f"{path.relative_to(ROOT)}:{number} is a comment of {len(line)} characters, {COMMENT_LENGTH_MAX} at most."


def main(arguments):
    faults = []
    papers_only = "--papers" in arguments
    print(f"{'text':<14} {'sentences':>9} {'median':>7} {'90th':>5} {'longest':>8}")
    for name, texts in groups(papers_only).items():
        lengths = [length for text in texts for length in sentences(text)]
        if not lengths:
            faults.append(f"{name}: no sentence found; the script looks in the wrong place.")
            continue
        median, ninetieth = percentile(lengths, 0.5), percentile(lengths, 0.9)
        print(f"{name:<14} {len(lengths):>9} {median:>7} {ninetieth:>5} {max(lengths):>8}")
        if median > LIMITS[name][0] or ninetieth > LIMITS[name][1]:
            faults.append(
                f"{name}: sentences of {median} words (median) and {ninetieth} (90th percentile), "
                f"{LIMITS[name][0]} and {LIMITS[name][1]} at most: one thought a sentence."
            )
    faults += [*check_papers(), *([] if papers_only else check_comments())]
    for fault in faults if "--check" in arguments else []:
        print(fault)
    return 1 if faults and "--check" in arguments else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
