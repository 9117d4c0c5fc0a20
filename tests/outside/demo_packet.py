"""The demo's packet seen by outside readers: ezdxf reads every DXF and finds the blank's area,
pdftotext finds every part on its sheets, zbar reads the code on every page, poppler renders it and nothing runs off a page."""
import glob, json, math, os, re, subprocess, sys, tempfile

import ezdxf

folder = sys.argv[1]
run = json.load(open(folder + "/run.json"))
faults = []


def bulge_area(points):
    """Area of a closed path of (x, y, bulge): shoelace plus circular segments."""
    area = 0.0
    for (x0, y0, b), (x1, y1, _) in zip(points, points[1:] + points[:1]):
        area += (x0 * y1 - x1 * y0) / 2
        if b:
            chord = math.hypot(x1 - x0, y1 - y0)
            sweep = 4 * math.atan(b)
            r = chord / (2 * math.sin(sweep / 2))
            area += r * r * (sweep - math.sin(sweep)) / 2
    return area


def dxf_areas(doc):
    scale = {1: 25.4, 4: 1.0}[doc.header["$INSUNITS"]]
    areas = []
    for e in doc.modelspace():
        if e.dxf.layer != "CUT":
            continue
        if e.dxftype() == "CIRCLE":
            areas.append(math.pi * e.dxf.radius ** 2)
        elif e.dxftype() == "POLYLINE":
            areas.append(abs(bulge_area([(v.dxf.location.x, v.dxf.location.y, v.dxf.bulge) for v in e.vertices])))
        else:
            faults.append(f"unexpected {e.dxftype()} on CUT")
    return [a * scale * scale for a in areas]


for blank in run["blanks"]:
    name = blank["part"].replace("/", "-").replace(" ", "-")
    doc = ezdxf.readfile(f"{folder}/blanks/{name}.dxf")
    if doc.audit().errors:
        faults.append(f"{name}.dxf: {doc.audit().errors[0].message}")
    areas = sorted(dxf_areas(doc), reverse=True)
    net = areas[0] - sum(areas[1:])
    mine = bulge_area(blank["outer"]) + sum(bulge_area(h) for h in blank["holes"])
    for got, what in ((net, "DXF"), (mine, "run.json outline")):
        if abs(got - blank["area"]) > 1e-4 * blank["area"]:
            faults.append(f"{name}: {what} area {got:.3f}, run.json says {blank['area']:.3f}")
    bends = [e for e in doc.modelspace() if e.dxf.layer in ("BEND_UP", "BEND_DOWN")]
    if len(bends) != len(blank["bends"]):
        faults.append(f"{name}: {len(bends)} bend lines in the DXF, {len(blank['bends'])} in run.json")

pdf = folder + "/packet.pdf"
pages = subprocess.run(["pdftotext", "-layout", pdf, "-"], capture_output=True, text=True, check=True).stdout.split("\f")[:-1]
for n, page in enumerate(pages):
    if f"page {n + 1} of {len(pages)}" not in page:
        faults.append(f"page {n + 1}: no 'page {n + 1} of {len(pages)}'")


def on_page(kind, *words):
    flat = [" ".join(p.split()) for p in pages if kind in p]
    return any(all(w in p for w in words) for p in flat)


for s in run["sheets"]:
    if not on_page("Sheet map", s["id"], s["material"], s["program"].split("/")[-1]):
        faults.append(f"sheet {s['id']} has no map page")
    for part in {p["part"] for p in s["placements"]}:
        if not on_page("Sheet map, list", s["id"], part):
            faults.append(f"{part} is not on the list of sheet {s['id']}")
for b in run["brake"]:
    if not on_page("Bend sheet", b["part"]):
        faults.append(f"{b['part']} has no bend sheet")
for t in run["tubes"]:
    if t["bends"] and not on_page("Tube sheet", t["part"]):
        faults.append(f"{t['part']} has no tube sheet")
    if not on_page("Saw list", t["part"]):
        faults.append(f"{t['part']} is on no saw list")
for kit in run["kits"]:
    if kit["boxed"] and not on_page("Pick and pack list", kit["title"]):
        faults.append(f"{kit['kit']} has no pack list")

with tempfile.TemporaryDirectory() as d:
    subprocess.run(["pdftoppm", "-r", "200", "-gray", "-png", pdf, d + "/p"], check=True)
    codes = 0
    for n, png in enumerate(sorted(glob.glob(d + "/p*.png"))):
        got = subprocess.run(["zbarimg", "-q", "--raw", png], capture_output=True, text=True).stdout
        if not got.startswith("KW;" + run["run"] + ";"):
            faults.append(f"page {n + 1}: code reads {got!r}")
        codes += 1

def keys_of(value):
    if isinstance(value, list):
        return set().union(*map(keys_of, value))
    return set(value).union(*map(keys_of, value.values())) if isinstance(value, dict) else set()


with open(os.path.join(os.path.dirname(__file__), "../../docs/formats/run.md")) as f:
    told = set(re.findall(r"`([a-z_]+(?:\[\]\.[a-z_]+)?)`", f.read()))
told |= {word.split(".")[-1] for word in told}
for key in sorted(keys_of(run) - told - {"line", "column", "file", "frame"}):  # findings' places
    faults.append(f"docs/formats/run.md does not tell of the key {key}")


jobs = {job["part"]: job["steps"] for job in run["brake"]}
for part, steps in jobs.items():  # the other hand is bent as the mirror image
    other = jobs.get(part[:-5] + " right") if part.endswith(" left") else None
    for step, twin in zip(steps, other or []):
        if step["fingers"] != [-v for v in reversed(twin["fingers"])]:
            faults.append(f"{part}: fingers {step['fingers']}, the right hand's {twin['fingers']}")
        for tool in ("punch", "die"):
            at, long = step[tool + "_at"], step[tool + "_length"]
            if long > 0 and abs(at + long + twin[tool + "_at"]) > 0.002:
                faults.append(f"{part}: {tool} from {at}, the right hand's from {twin[tool + '_at']}")

BORDER = 2.5 / 25.4  # inches of paper that stay white: what is drawn there runs off the page


def gray(path):
    """A binary PGM as rows of bytes."""
    with open(path, "rb") as f:
        assert f.readline().strip() == b"P5"
        w, h = (int(v) for v in f.readline().split())
        f.readline()
        pixels = f.read()
    return [pixels[i * w:(i + 1) * w] for i in range(h)]


with tempfile.TemporaryDirectory() as d:
    dots = 40
    subprocess.run(["pdftoppm", "-r", str(dots), "-gray", pdf, d + "/p"], check=True)
    for n, pgm in enumerate(sorted(glob.glob(d + "/p*.pgm"))):
        rows, edge = gray(pgm), int(BORDER * dots)
        rim = b"".join(rows[:edge] + rows[-edge:] + [r[:edge] + r[-edge:] for r in rows])
        if min(rim) < 160:
            faults.append(f"page {n + 1}: something is drawn up to the edge of the paper")

for f in faults[:40]:
    print(f)
print(f"{len(run['blanks'])} DXF read, {len(pages)} pages searched, {codes} codes scanned, {len(faults)} faults")
sys.exit(bool(faults))
