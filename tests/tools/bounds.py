#!/usr/bin/env python3
"""Processor time and memory of every command on charts of any size, as a table.

    python3 tests/tools/bounds.py PROGRAM [--sizes 200,400,600,1000] [--kinds noise,knots,blobs] [--samples] [--photographs] [-o TABLE.md]

Charts are made from a fixed seed: noise (six yarns at random), knots (single knots on one ground) and blobs (round patches).
Ends with 1 where a command takes over 1 GB, reading back takes over three times the processor time of composing, a file is
not what the project says, or something is refused without naming an edition that serves. Needs Linux: what a program took is
asked of the system when it ends. Photographs need Pillow, which draws them: 64 million pixels, the most that is read.
"""
import argparse, os, pathlib, random, re, subprocess, sys, tempfile

EDITIONS = ["booklet", "chart", "large-print", "materials"]
YARNS = [("N", "navy", "#1f3354"), ("C", "cream", "#efe6d2"), ("R", "rust", "#a8482a"), ("M", "moss", "#6d7a3a"),
         ("S", "sky", "#9cc3d8"), ("P", "plum", "#5e2f4f")]
MAX_MB = 1000
MAX_MB_OF_PHOTOGRAPHS = 700
MAX_RATIO = 3.0


def noise(size, rng):
    keys = [key for key, _, _ in YARNS]
    return ["".join(rng.choices(keys, k=size)) for _ in range(size)]


def knots(size, rng):
    others = [key for key, _, _ in YARNS[1:]]
    rows = []
    for row in range(size):
        # No two of them touch.
        cells = [rng.choice(others) if row % 2 == 0 and column % 2 == 0 and rng.random() < 0.4 else "N"
                 for column in range(size)]
        rows.append("".join(cells))
    return rows


def blobs(size, rng):
    cells = [bytearray(b"N" * size) for _ in range(size)]
    for _ in range(120):
        across = max(3, size // rng.randint(8, 30))
        x, y, key = rng.randrange(size), rng.randrange(size), ord(rng.choice(YARNS)[0])
        for row in range(max(0, y - across), min(size, y + across)):
            half = int((across * across - (row - y) ** 2) ** 0.5)
            left, right = max(0, x - half), min(size, x + half)
            cells[row][left:right] = bytes([key]) * (right - left)
    return [row.decode() for row in cells]


KINDS = {"noise": noise, "knots": knots, "blobs": blobs}


def write(folder, rows):
    used = set("".join(rows))
    folder.mkdir(parents=True)
    (folder / "chart.txt").write_text("\n".join(rows) + "\n")
    yarns = "".join(f'[[yarn]]\nkey = "{k}"\nname = "{n}"\ncolour = "{c}"\nwraps-per-inch = 10\n'
                    for k, n, c in YARNS if k in used)
    (folder / "project.toml").write_text(
        'format = 1\ntitle = "Large"\nmaker = "Ada Example"\ndate = 2026-03-01\nchart = "chart.txt"\n'
        'cord = { diameter = "3 mm" }\nlicence = { sell-panels = "yes" }\n' + yarns)


def took(program, *typed):
    """Exit code, seconds of all processors, MB at the most, and what was said."""
    said = tempfile.TemporaryFile()
    run = subprocess.Popen([program, *map(str, typed)], stdout=subprocess.DEVNULL, stderr=said,
                           env={**os.environ, "NO_COLOR": "1"})
    _, status, usage = os.wait4(run.pid, 0)
    run.returncode = os.waitstatus_to_exitcode(status)
    said.seek(0)
    return run.returncode, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024, said.read().decode()


def measure(program, name, project, room, lines, wrong):
    def line(what, edition, code, seconds, mb, note=""):
        lines.append(f"| {name} | {what} | {edition} | {seconds:.1f} | {mb:.0f} | {note} |")
        print(lines[-1], flush=True)
        if mb > MAX_MB:
            wrong.append(f"{name}: {what} {edition} takes {mb:.0f} MB")
        if code not in (0, 1):
            wrong.append(f"{name}: {what} {edition} ends with {code}")

    def refusal(what, edition, said):
        serves = re.search(r"--edition (\w[\w-]*)", said)
        if serves is None or "too-much-to-read" not in said:
            wrong.append(f"{name}: {what} {edition} is refused without an edition that serves: {said[:300]}")
        return f"refused, serves: {serves[1] if serves else '?'}"

    for what, typed in [("check", ["check", project]), ("amounts", ["amounts", project])]:
        code, seconds, mb, said = took(program, *typed)
        line(what, "", code, seconds, mb, "" if code == 0 else refusal(what, "", said))
    for edition in EDITIONS:
        file = room / f"{edition}.pdf"
        code, composed, mb, said = took(program, "compose", project, "--edition", edition, "-o", file)
        if code:
            line("compose", edition, code, composed, mb, refusal("compose", edition, said))
            continue
        size = file.stat().st_size
        line("compose", edition, code, composed, mb, f"{size / 1e6:.1f} MB of file")
        code, read, mb, said = took(program, "proof", project, file)
        line("proof", edition, code, read, mb, f"{read / composed:.2f} of composing")
        if code:
            wrong.append(f"{name}: proof of {edition} ends with {code}: {said[:300]}")
        if read > MAX_RATIO * composed:
            wrong.append(f"{name}: proof of {edition} takes {read / composed:.2f} times composing")
        file.unlink()


def draw_photographs(room):
    """Files of 64 million pixels as cameras write them: noise over a gradient."""
    from PIL import Image
    side = 8000
    noise = Image.effect_noise((side // 4, side // 4), 60).resize((side, side))
    shade = Image.linear_gradient("L").resize((side, side))
    picture = Image.merge("RGB", (Image.blend(noise, shade, 0.5), shade, noise))
    turned = Image.Exif()
    turned[0x0112] = 6  # Orientation: its right side is up (Exif 2.32, 4.6.4 A).
    for name, options in [("baseline.jpg", {}), ("progressive.jpg", {"progressive": True}), ("turned.jpg", {"exif": turned}),
                          ("turned-progressive.jpg", {"exif": turned, "progressive": True}), ("plain.png", {})]:
        picture.save(room / name, **({"quality": 90} | options if name.endswith("jpg") else {"compress_level": 1}))
        yield name


def measure_photographs(program, room, lines, wrong):
    for name in draw_photographs(room):
        project = room / f"with-{name}"
        write(project, blobs(40, random.Random(1)))
        with open(project / "project.toml", "r+") as file:
            text = file.read()
            file.seek(0)
            file.write(text.replace("chart = ", f'photograph = "{name}"\nchart = ', 1))
        os.link(room / name, project / name)
        for what, typed in [("chart-from", ["chart-from", room / name, "--columns", "60", "-o", room / f"from-{name}"]),
                            ("check", ["check", project]), ("compose", ["compose", project, "-o", room / "out.pdf"]),
                            ("pictures", ["pictures", project, "-o", room / f"pictures-{name}"])]:
            code, seconds, mb, said = took(program, *typed)
            lines.append(f"| 64 megapixels, {name} | {what} | | {seconds:.1f} | {mb:.0f} | |")
            print(lines[-1], flush=True)
            if code or mb > MAX_MB_OF_PHOTOGRAPHS:
                wrong.append(f"{name}: {what} ends with {code} and takes {mb:.0f} MB: {said[:300]}")


def main():
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("program")
    asked.add_argument("--sizes", default="200,400,600,1000", help="squares, or WIDExHIGH")
    asked.add_argument("--kinds", default=",".join(KINDS))
    asked.add_argument("--samples", action="store_true", help="the samples of the repository, too")
    asked.add_argument("--photographs", action="store_true", help="photographs of the most pixels that are read")
    asked.add_argument("-o", "--output")
    asked = asked.parse_args()
    lines = ["| chart | command | edition | s | MB | |", "| --- | --- | --- | ---: | ---: | --- |"]
    wrong = []
    with tempfile.TemporaryDirectory() as room:
        room = pathlib.Path(room)
        if asked.samples:
            for project in sorted((pathlib.Path(__file__).parents[2] / "samples").iterdir()):
                if (project / "project.toml").is_file():
                    measure(asked.program, project.name, project, room, lines, wrong)
        for size in filter(None, asked.sizes.split(",")):
            wide, high = (int(n) for n in (size.split("x") * 2)[:2])
            for kind in filter(None, asked.kinds.split(",")):
                rows = KINDS[kind](max(wide, high), random.Random(20261128))
                project = room / f"{kind}-{size}"
                write(project, [row[:wide] for row in rows[:high]])
                measure(asked.program, f"{kind} {wide} x {high}", project, room, lines, wrong)
        if asked.photographs:
            measure_photographs(asked.program, room, lines, wrong)
    if asked.output:
        pathlib.Path(asked.output).write_text("\n".join(lines) + "\n")
    for what in wrong:
        print(what, file=sys.stderr)
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
