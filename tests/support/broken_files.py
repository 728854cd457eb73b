"""What scripts/check-broken-files cannot say in shell: making broken files, running a command under watch, comparing folders.

  broken_files.py make-broken GOOD FOLDER       broken pictures, most of them from one good one
  broken_files.py make-names GOOD FOLDER        good pictures under names that are hard, and things that are no files
  broken_files.py make-many GOODS FOLDER N      N tiny files that are no pictures among a few that are
  broken_files.py unpack ARCHIVE FOLDER         the pictures of a source package
  broken_files.py ask LABEL EXITS COMMAND...    runs it; prints what is wrong with the way it ended
  broken_files.py each LABEL EXITS FOLDER COMMAND...   the same for every file of a folder, alone
  broken_files.py squeeze LABEL EXITS FOLDER COMMAND...  and fills the file system once FOLDER holds a few files
  broken_files.py home CARD TARGET              every file of the card is in the target, whole
  broken_files.py torn CARD TARGET              every file of the target that has a final name is whole

ROOM names a folder to work in, with the program in it as `owllight`; failures are also added to ROOM/failures."""
import hashlib
import os
import random
import re
import signal
import socket
import stat
import struct
import subprocess
import sys
import tarfile
import time

SECONDS, MEMORY_MB = 120, 400
PICTURES = re.compile(r"\.(jpe?g|cr2|cr3|crw|nef|arw|raf|rw2|orf|dng|pef|srw|mrw|tiff?|exv|heic)$", re.I)
ODD = re.compile(r"poc|fuzz|crash|corrupt", re.I)
NO_PICTURES = re.compile(r"\.(py|txt|out|sh|md|c|cc|cpp|h|pl|pm|go|java|metadata|xml|html|conf)$", re.I)
OWN_FILES = {b"MANIFEST.xxh128", b"OTHER-NAMES.tsv"}


def write(folder, name, data):
    with open(os.path.join(os.fsencode(folder), os.fsencode(name)), "wb") as file:
        file.write(data)


# ---- broken pictures ----

def frame_header(jpeg):
    """Where the height stands in the frame header."""
    at = 2
    while jpeg[at + 1] not in (0xC0, 0xC1, 0xC2):
        at += 2 + struct.unpack(">H", jpeg[at + 2:at + 4])[0]
    return at + 5


def flat_progressive(width, height, scans):
    """A grey picture of any size in few bytes: each scan is a run of ends of blocks."""
    def table(kind, symbol):
        return b"\xff\xc4" + struct.pack(">HB", 20, kind) + bytes([1] + [0] * 15 + [symbol])

    def scan(first, last, bits):
        bits += "1" * (-len(bits) % 8)
        data = int(bits, 2).to_bytes(len(bits) // 8, "big").replace(b"\xff", b"\xff\0")
        return b"\xff\xda" + struct.pack(">HBBB", 8, 1, 1, 0) + bytes([first, last, 0]) + data
    blocks = ((width + 7) // 8) * ((height + 7) // 8)
    runs = ("0" + "1" * 14) * (blocks // 32767 + 1)
    out = b"\xff\xd8\xff\xdb" + struct.pack(">HB", 67, 0) + bytes([1] * 64)
    out += b"\xff\xc2" + struct.pack(">HBHHB", 11, 8, height, width, 1) + bytes([1, 0x11, 0])
    out += table(0, 0) + table(0x10, 0xE0) + scan(0, 0, "0" * blocks)
    if scans:
        out += b"".join(scan(k, k, runs) for k in range(1, 64)) * (scans // 63 + 1)
    return out + b"\xff\xd9"


def directory(entries, following):
    packed = b"".join(struct.pack("<HHII", *entry) for entry in entries)
    return struct.pack("<H", len(entries)) + packed + struct.pack("<I", following)


def looped_tiffs():
    """Directories that lead to themselves, to each other, behind the end, and that claim more than there is."""
    head, size = b"II*\0\x08\0\0\0", [(0x100, 4, 1, 60000), (0x101, 4, 1, 40000)]
    below = [(0x14A, 4, 1, 8), (0x8769, 4, 1, 8), (0x201, 4, 1, 8), (0x202, 4, 1, 0xFFFFFFFF)]
    yield "self", head + directory(size + below, 8)
    yield "pair", head + directory(size, 38) + directory(size + below, 8)
    yield "behind", head + directory(size, 0xFFFFFFF0)
    yield "many", head + struct.pack("<H", 65535) + struct.pack("<HHII", 0x14A, 4, 0xFFFFFFFF, 8) * 5000
    huge = [(tag, kind, 0xFFFFFFFF, 0x7FFFFFFF) for tag in (0x111, 0x117, 0x14A, 0x8769, 0x10F) for kind in (1, 4, 5, 12)]
    yield "counts", head + directory(huge, 8)
    chain = b"".join(directory([(0x100, 4, 1, 9)], 8 + 18 * (i + 1)) for i in range(20000))
    yield "chain", head + chain
    wide = [(0x14A, 4, 400, 8 + 2 + 12 + 4)]
    yield "wide", head + directory(wide, 0) + struct.pack("<400I", *[8 + 26 + 1600 + 4 * i for i in range(400)]) + b"\1\0" * 9000


def notes(tiff):
    body = b"Exif\0\0" + tiff
    return b"\xff\xe1" + struct.pack(">H", 2 + len(body)) + body


def make_broken(good_name, folder):
    good = open(good_name, "rb").read()
    dice = random.Random(1)
    os.makedirs(folder)
    for name, data in {"empty": b"", "one-byte": b"\xff", "begun": b"\xff\xd8", "ended": b"\xff\xd8\xff\xd9",
                       "zeros": bytes(9999), "ones": b"\xff" * 99999, "words": b"no picture\n" * 99,
                       "twice": good + good, "tail": good + b"x" * 99999,
                       "segment-0": b"\xff\xd8\xff\xe1\0\0" + good[2:], "segment-1": b"\xff\xd8\xff\xe1\0\1" + good[2:],
                       "segments": b"\xff\xd8" + b"\xff\xe1\0\2" * 200000 + good[2:],
                       "notes-65533": b"\xff\xd8\xff\xe1\xff\xff" + good[2:]}.items():
        write(folder, "odd-%s.jpg" % name, data)
    for i in range(50):
        write(folder, "cut-%02d.jpg" % i, good[:len(good) * i // 50 if i % 2 else 4096 * i // 50])
    for i in range(100):
        data, at = bytearray(good), dice.randrange(3000 if i % 2 else len(good))
        data[at] ^= 1 << dice.randrange(8)
        write(folder, "flip-%02d.jpg" % i, data)
    at = frame_header(good)
    for height, width in ((65500, 65500), (65535, 65535), (0, 600), (400, 0), (1, 65500), (65500, 1), (14000, 14000)):
        write(folder, "claims-%dx%d.jpg" % (width, height), good[:at] + struct.pack(">HH", height, width) + good[at + 4:])
    for width, height, scans in ((65500, 65500, 0), (65500, 3000, 0), (14000, 14000, 0), (9000, 6000, 0), (8000, 6000, 58),
                                 (2000, 1500, 20000)):
        write(folder, "scans-%dx%d-%d.jpg" % (width, height, scans), flat_progressive(width, height, scans)[:40 << 20])
    for name, tiff in looped_tiffs():
        write(folder, "loop-%s.dng" % name, tiff)
        write(folder, "loop-%s.jpg" % name, b"\xff\xd8" + notes(tiff[:65000]) + good[2:])
    for ending in ("raf", "cr3", "nef", "dng", "jpg"):
        write(folder, "random.%s" % ending, dice.randbytes(50000))
        write(folder, "good-inside.%s" % ending, dice.randbytes(3000) + good)


# ---- hard names ----

def make_names(good_name, folder):
    good = open(good_name, "rb").read()
    os.makedirs(folder)
    top = os.fsencode(folder)
    names = [b"line\nend.jpg", b"return\rhere.jpg", b"tab\there.jpg", b"quote'\"`.jpg", b"back\\slash.jpg", b"back\\nslash.jpg",
             b"\xff\xfe\x80.jpg", b"bell\a\x1b[31mred.jpg", b"\xe2\x80\xaeturned.jpg", b"-rf.jpg", b"--to", b" blank .jpg",
             b"*.jpg", b"$(id).jpg", b"%s%n.jpg", b"~.jpg", b".hidden.jpg",
             b"a" * 251 + b".jpg", b"\xc3\xa9" * 125 + b".jpg", b"same.JPG",
             b"same.jpg", b"Same.jpg", b"x.jpg.part", b"REWRITING.part", b"MANIFEST.xxh128", b"OTHER-NAMES.tsv", b"no-ending",
             b".jpg", b"ends-with-dot.", b"CON", b"\\x0a.jpg", b"  MANIFEST.xxh128"]
    for i, name in enumerate(names):
        write(folder, name, good + b"%d" % i)
    write(folder, b"copy of line\nend.jpg", good + b"0")
    deep = os.path.join(top, *[b"folder.jpg"] * 20)
    os.makedirs(deep)
    write(deep, b"deep.jpg", good + b"deep")
    for name, to in ((b"link-out.jpg", b"/etc/passwd"), (b"link-none.jpg", b"nowhere"), (b"link-self.jpg", b"link-self.jpg"),
                     (b"link-up", b".."), (b"link-root", b"/"), (b"link-good.jpg", b"same.jpg")):
        os.symlink(to, os.path.join(top, name))
    os.mkfifo(os.path.join(top, b"pipe.jpg"))
    here = os.getcwd()
    os.chdir(folder) # the path of a socket must be short
    socket.socket(socket.AF_UNIX).bind("socket.jpg")
    os.chdir(here)


def make_many(goods, folder, count):
    os.makedirs(folder)
    for i in range(int(count)):
        write(folder, "tiny-%05d.jpg" % i, b"\xff\xd8%14d" % i)
    for name in os.listdir(goods):
        write(folder, name, open(os.path.join(goods, name), "rb").read())


def unpack(archive_name, folder):
    os.makedirs(folder)
    with tarfile.open(archive_name) as archive:
        for member in archive:
            name = "_".join(member.name.split("/")[1:])[-200:]
            wanted = PICTURES.search(name) or ODD.search(name) and not NO_PICTURES.search(name)
            if not wanted or not member.isreg() or member.size > 64 << 20:
                continue
            data = archive.extractfile(member).read()
            # What is no picture by its name gets one, so that it is looked into.
            known = re.search(r"\.(jpe?g|cr2|cr3|crw|nef|arw|raf|rw2|orf|dng|pef|srw)$", name, re.I)
            write(folder, name if known else name + (".jpg" if data[:2] == b"\xff\xd8" else ".dng"), data)


# ---- asking ----

def complaints(how, took, memory_mb, exits, out, err):
    if os.WIFSIGNALED(how):
        late = "after %d s " % SECONDS if took > SECONDS - 1 else ""
        yield "%sended by signal %d" % (late, os.WTERMSIG(how))
    elif os.WEXITSTATUS(how) not in exits:
        yield "exit status %d, not %s" % (os.WEXITSTATUS(how), " or ".join(map(str, exits)))
    sanitized = b"__asan_init" in open(os.environ["ROOM"] + "/owllight", "rb").read() # reserves memory of its own
    if memory_mb > MEMORY_MB and not sanitized:
        yield "%d MB of memory" % memory_mb
    if re.search(rb"Sanitizer|runtime error:|[Aa]ssertion", err):
        yield "its own checks complain"
    if re.search(rb"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]", out + err):
        yield "control bytes of a name in its output"
    try:
        (out + err).decode()
    except UnicodeDecodeError:
        yield "its output is no UTF-8"
    if how != 0 and not err.strip() and b"FAILED" not in out:
        yield "no word about why"


def squeeze_when(folder, child):
    """Holds the child once the folder has files in it, and takes all room that is left beside that folder."""
    ended = os.WEXITED | os.WNOHANG | os.WNOWAIT
    while os.waitid(os.P_PID, child.pid, ended) is None and (not os.path.isdir(folder) or len(os.listdir(folder)) < 6):
        time.sleep(0.0005)
    os.kill(child.pid, signal.SIGSTOP)
    with open(os.path.join(os.path.dirname(folder), "filler"), "wb", buffering=0) as filler:
        try:
            while True:
                filler.write(bytes(65536))
        except OSError:
            pass
    os.kill(child.pid, signal.SIGCONT)


def numbers(words):
    return [int(word) for word in words.split(",")]


def run(label, exits, command, squeezed=None):
    room = os.environ["ROOM"]
    with open(room + "/out", "wb") as out, open(room + "/err", "wb") as err:
        start = time.monotonic()
        child = subprocess.Popen(command, stdin=subprocess.DEVNULL, stdout=out, stderr=err)
        signal.signal(signal.SIGALRM, lambda *_: os.kill(child.pid, signal.SIGKILL))
        signal.alarm(SECONDS)
        if squeezed:
            squeeze_when(squeezed, child)
        _, how, used = os.wait4(child.pid, 0)
        signal.alarm(0)
        took = time.monotonic() - start
    child.returncode = how # it is reaped
    out, err = open(room + "/out", "rb").read(), open(room + "/err", "rb").read()
    last = ascii((err.decode(errors="replace").strip().splitlines() or [""])[-1][:200])
    with open(room + "/failures", "a") as failures, open(room + "/asked", "a") as asked:
        asked.write(".")
        for line in complaints(how, took, used.ru_maxrss // 1024, exits, out, err):
            line = "FAILED %s: %s; it said %s" % (label, line, last)
            print(line, flush=True)
            failures.write(line + "\n")
    return took, used.ru_maxrss // 1024, os.waitstatus_to_exitcode(how)


def ask(label, exits, *command, squeezed=None):
    print("  %-46s %6.1f s %4d MB  exit %d" % (label, *run(label, numbers(exits), command, squeezed)), flush=True)


def squeeze(label, exits, folder, *command):
    ask(label, exits, *command, squeezed=folder)


def each(label, exits, folder, *command):
    alone, seen = os.environ["ROOM"] + "/alone", []
    os.makedirs(alone, exist_ok=True)
    for name in sorted(os.listdir(folder)):
        os.link(os.path.join(folder, name), os.path.join(alone, name))
        took, memory_mb, _ = run(label + " " + ascii(name), numbers(exits), [*command, alone])
        os.unlink(os.path.join(alone, name))
        seen.append((took, memory_mb, name))
    took, _, name = max(seen)
    most_mb = max(memory_mb for _, memory_mb, _ in seen)
    print("  %-46s %6.1f s %4d MB  at most, over %d files; slowest %s" % (label, took, most_mb, len(seen), name), flush=True)


# ---- comparing ----

def sums(top):
    found = {}
    for folder, _, names in os.walk(os.fsencode(top)):
        for path in (os.path.join(folder, name) for name in names):
            if stat.S_ISREG(os.lstat(path).st_mode) and os.access(path, os.R_OK):
                with open(path, "rb") as file:
                    found[path] = hashlib.sha256(file.read()).digest()
    return found


def tell(paths):
    for path in paths[:5]:
        print("  " + ascii(os.fsdecode(path)))
    return 1 if paths else 0


def home(card, target):
    at_home = set(sums(target).values())
    return tell([path for path, digest in sums(card).items() if digest not in at_home])


def torn(card, target):
    on_card, own = set(sums(card).values()), {os.path.join(os.fsencode(target), name) for name in OWN_FILES}
    return tell([path for path, digest in sums(target).items()
                 if digest not in on_card and path not in own and not path.endswith(b".part")])


if __name__ == "__main__":
    actions = {"make-broken": make_broken, "make-names": make_names, "make-many": make_many, "unpack": unpack, "ask": ask,
               "squeeze": squeeze,
               "each": each, "home": home, "torn": torn}
    sys.exit(actions[sys.argv[1]](*sys.argv[2:]))
