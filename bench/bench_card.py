"""What a card of 24-megapixel frames costs: judging beside what a user has otherwise, and bringing it home beside a plain
copy with sums. Ratios of CPU time, medians of interleaved runs: these machines are noisy. Nothing here is a test."""
import argparse, os, resource, shutil, statistics, subprocess, tempfile, time

SHOTS, FRAMES, MANY, ROUNDS = 25, 500, 10000, 3


def cpu_s(words, **options):
    """User and system time of a command and all it starts."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(words, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=True, **options)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime


def wall_s(words, **options):
    begin = time.perf_counter()
    subprocess.run(words, stdout=subprocess.DEVNULL, check=True, **options)
    return time.perf_counter() - begin


def peak_mb(words):
    """The most memory a command held at once."""
    child = subprocess.Popen(words, stdout=subprocess.DEVNULL)
    return os.wait4(child.pid, 0)[2].ru_maxrss / 1024


def multiply(shots, folder, frames):
    """A card of so many frames: the same few shots under many names."""
    os.makedirs(folder)
    names = sorted(os.listdir(shots))
    for i in range(frames):
        os.link(os.path.join(shots, names[i % len(names)]), os.path.join(folder, f"IMG_{i + 1:05}.JPG"))
    return folder


def there(words):
    return shutil.which(words[0]) is not None


def judge(program, folder):
    return [program, "judge", folder, "--flashes", "2", "--no-book"]


def compare_judging(program, folder, label):
    shell = "for f in *.JPG; do {} >/dev/null; done"
    rows = {
        "judge": (judge(program, folder), {}),
        "read only": (["sh", "-c", "cat *.JPG >/dev/null"], {"cwd": folder}),
        "djpeg -scale 1/8 -grayscale": (["sh", "-c", shell.format('djpeg -scale 1/8 -grayscale "$f"')], {"cwd": folder}),
        "convert with a size hint": (["sh", "-c", shell.format('convert -define jpeg:size=750x500 "$f" -resize 750x500 gray:-')],
                                     {"cwd": folder}),
        "exiftool, four tags": (["exiftool", "-fast2", "-csv", "-DateTimeOriginal", "-FNumber", "-ExposureTime", "-ISO", "."],
                                {"cwd": folder})}
    tools = {"djpeg": "djpeg -scale 1/8 -grayscale", "convert": "convert with a size hint", "exiftool": "exiftool, four tags"}
    for tool, row in tools.items():
        if not there([tool]):
            del rows[row]
    times = {row: [] for row in rows}
    for _ in range(ROUNDS):
        for row, (words, options) in rows.items():
            times[row].append(cpu_s(words, **options))
    frames = len(os.listdir(folder))
    own = statistics.median(times["judge"])
    print(f"{label}, {frames} frames; CPU of judge {own / frames * 1e3:.1f} ms a frame")
    for row in rows:
        if row != "judge":
            print(f"  {row:30} {statistics.median(times[row]) / own:6.2f} times that")


def compare_pulling(program, folder, room):
    """cp, then sums of source and copy, as a careful user does; both end on the device."""
    ratios = []
    for i in range(ROUNDS):
        plain, own = os.path.join(room, f"plain{i}"), os.path.join(room, f"home{i}")
        by_hand = wall_s(["sh", "-c", f"cp -r '{folder}' '{plain}' && xxh128sum '{folder}'/* >/dev/null && sync '{plain}'/* && "
                          f"xxh128sum '{plain}'/* >/dev/null"])
        ratios.append(wall_s([program, "pull", folder, "--to", own, "--no-book"]) / by_hand)
        shutil.rmtree(plain)
        shutil.rmtree(own)
    print(f"pull: {statistics.median(ratios):.2f} times cp, sync and two xxh128sum (wall)")


def main():
    arguments = argparse.ArgumentParser()
    arguments.add_argument("--program", required=True)
    arguments.add_argument("--make-card", required=True)
    asked = arguments.parse_args()
    program = os.path.abspath(asked.program)
    with tempfile.TemporaryDirectory() as room:
        for label, extra in (("without previews", []), ("with previews", ["--preview"])):
            shots = os.path.join(room, "shots" + "".join(extra))
            subprocess.run([asked.make_card, "examples/marten.plan", shots, "--frames", str(SHOTS), "--seed", "7", "--size",
                            "600x400", "--file-width", "6000", "--file-noise", "3", *extra, "--truth", shots + ".csv"],
                           check=True, stdout=subprocess.DEVNULL)
            size = sum(os.path.getsize(os.path.join(shots, name)) for name in os.listdir(shots)) / SHOTS
            folder = multiply(shots, os.path.join(room, "card" + "".join(extra)), FRAMES // 5)
            compare_judging(program, folder, f"{label}, {size * 1e-6:.1f} MB a file")
            if not extra:
                compare_pulling(program, shots, room)
            else:
                for frames in (FRAMES, MANY):
                    many = multiply(shots, os.path.join(room, f"many{frames}"), frames)
                    print(f"memory of judge, {frames} frames: {peak_mb(judge(program, many)):.0f} MB")


main()
