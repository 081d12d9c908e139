"""The guided path beside a general image library, in one run.

usage: PYTHON benches/peers/path.py [BINARY]

PYTHON needs numpy, scipy, pillow, tifffile, imagecodecs and scikit-image. BINARY is the built example
`path_bench`; without it, `cargo run --release -p photo --example path_bench` is used. The photograph comes from
SEAMPROOF_DATA, else from ../shared/data beside the workspace; where neither is there, the script says so and stops.

(a) as a user would call it: cost = 1 / (small + size of the smoothed gradient) on the whole picture,
    `skimage.graph.route_through_array` from each set point to the next.
(b) the same window and the same cost array as ours: `skimage.graph.MCP_Geometric(...).find_costs([seed])` for a
    map, and `route_through_array` for a path.

Ours: medians of nine runs, by the example itself. Peer: medians of three. Distances are means over the line's
points to the nearest point of the hand mask's border (0.5 level), and back, in per cent of the zone's width (290 px).

The mask goes round two dark grains outside the fusion line, at about (685, 430) and (945, 480). Any path along the
darkest border goes round them too, so the distances are also printed without these two places. And a hand is never
exact: 20 draws of the set points, each 5 px off (standard deviation), are traced by both.
"""

import os
import pathlib
import statistics
import subprocess
import sys
import tempfile
import time

import numpy as np
import skimage
from PIL import Image
from scipy.spatial import cKDTree
from skimage import filters, graph, measure

ROOT = pathlib.Path(__file__).resolve().parents[2]
WIDTH = 290.0
# A border on the half-pixel grid stands for any line within half a pixel of it: a quarter pixel off in the mean.
MASK_GRAIN = 100 * 0.25 / WIDTH
POINTS = [(661, 273), (798, 189), (935, 271), (948, 478), (921, 543), (825, 629), (738, 560), (678, 428)]


def median_s(work, runs=3):
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        out = work()
        times.append(time.perf_counter() - start)
    return out, statistics.median(times)


def ours(binary, picture, points, folder):
    command = binary + [str(picture), str(folder)] + [f"{x},{y}" for x, y in points]
    done = subprocess.run(command, cwd=ROOT, check=True, capture_output=True, text=True)
    figures = {k: float(v) for k, v in (line.split() for line in done.stdout.splitlines())}
    w, h = int(figures["window_w"]), int(figures["window_h"])
    cost = np.fromfile(folder / "cost.u8", dtype=np.uint8).reshape(h, w)
    segments = np.loadtxt(folder / "segments.txt", dtype=int)
    return figures, cost, segments


def dense(line):
    """Points at most a quarter pixel apart along a closed line."""
    out = []
    for a, b in zip(line, np.roll(line, -1, axis=0)):
        parts = max(1, int(np.ceil(np.hypot(*(b - a)) * 4)))
        out.append(a + (b - a) * np.arange(parts)[:, None] / parts)
    return np.concatenate(out)


def plain(points):
    """Which points do not lie at one of the mask's two grains."""
    return (np.hypot(*(points - (685, 430)).T) > 45) & (np.hypot(*(points - (945, 480)).T) > 30)


def distances(line, border, everywhere=True):
    """Mean distance there, and back, in per cent of the width; area difference in per cent."""
    line, border = np.asarray(line, float), np.asarray(border, float)
    a, b = dense(line), dense(border)
    there = cKDTree(b).query(a)[0][everywhere | plain(a)].mean()
    back = cKDTree(a).query(b)[0][everywhere | plain(b)].mean()

    def area(p):
        q = np.roll(p, -1, axis=0)
        return abs((p[:, 0] * q[:, 1] - q[:, 0] * p[:, 1]).sum()) / 2

    return 100 * there / WIDTH, 100 * back / WIDTH, 100 * (area(line) / area(border) - 1)


def user_cost(grey):
    return 1.0 / (0.01 + filters.sobel(filters.gaussian(grey, 1.5)))


def user_routes(cost, points):
    line, longest = [], 0.0
    for (x, y), (u, v) in zip(points, points[1:] + points[:1]):
        start = time.perf_counter()
        route, _ = graph.route_through_array(
            cost, (round(y), round(x)), (round(v), round(u)), fully_connected=True, geometric=True
        )
        longest = max(longest, time.perf_counter() - start)
        line += [(c, r) for r, c in route]
    return line, longest


def compare(name, binary, picture, grey, points, folder, border=None):
    figures, cost, segments = ours(binary, picture, points, folder)
    print(f"\n== {name}: {int(figures['width'])} x {int(figures['height'])}, level {int(figures['level'])}, "
          f"window {int(figures['window_w'])} x {int(figures['window_h'])}")
    for key in ("decode_ms", "pyramid_ms", "features_ms", "cost_ms", "segment_map_worst_ms", "largest_map_worst_ms",
                "segment_path_worst_ms", "segment_path_total_ms", "path_on_ms", "trace_ms"):
        print(f"   ours {key:24} {figures[key]:9.2f}")
    n = len(points)
    everything = figures["pyramid_ms"] + figures["features_ms"] + figures["cost_ms"] + figures["segment_map_total_ms"]

    made, cost_s = median_s(lambda: user_cost(grey))
    (line, longest), route_s = median_s(lambda: user_routes(made, points), runs=3)
    print(f"(a) peer, whole picture: cost {1e3 * cost_s:.0f} ms, {n} routes {1e3 * route_s:.0f} ms, longest {1e3 * longest:.0f} ms")
    ratio_all = 1e3 * (cost_s + route_s) / everything
    ratio_one = 1e3 * route_s / n / (figures["segment_map_total_ms"] / n)
    print(f"    {ratio_all:.0f} times ours with everything (pyramid, features, cost, a map for each segment: {everything:.1f} ms)")
    print(f"    {ratio_one:.0f} times ours for routes alone (a map for each segment)")

    as_float = cost.astype(float)
    maps, ways = [], []
    for sx, sy, gx, gy, x0, y0, w, h in segments:
        part = as_float[y0:y0 + h, x0:x0 + w]
        _, s = median_s(lambda: graph.MCP_Geometric(part).find_costs([(sy - y0, sx - x0)]))
        maps.append(s)
        _, s = median_s(lambda: graph.route_through_array(
            part, (sy - y0, sx - x0), (gy - y0, gx - x0), fully_connected=True, geometric=True))
        ways.append(s)
    ratio_map = 1e3 * sum(maps) / figures["segment_map_total_ms"]
    ratio_way = 1e3 * sum(ways) / figures["segment_path_total_ms"]
    print(f"(b) peer, same windows, same cost: {n} maps {1e3 * sum(maps):.0f} ms, ours {figures['segment_map_total_ms']:.1f}: {ratio_map:.1f} times")
    print(f"    {n} paths {1e3 * sum(ways):.0f} ms, ours {figures['segment_path_total_ms']:.1f}: {ratio_way:.1f} times")

    checks = [
        ("whole picture, everything, at least 50 times", ratio_all >= 50),
        ("whole picture, routes alone, at least 50 times", ratio_one >= 50),
        ("same window and cost, maps, at least 5 times", ratio_map >= 5),
        ("same window and cost, paths, at least 5 times", ratio_way >= 5),
        ("features of the level within 100 ms", figures["features_ms"] <= 100),
        ("map of a segment within 30 ms", figures["segment_map_worst_ms"] <= 30),
        ("largest map (at most 768 x 768, cut to the window) within 30 ms", figures["largest_map_worst_ms"] <= 30),
    ]
    if border is not None:
        peer = distances(line, border)
        path = distances(np.loadtxt(folder / "path.txt"), border)
        outline = distances(np.loadtxt(folder / "outline.txt"), border)
        for who, (there, back, area) in (("peer (a)", peer), ("our path", path), ("our outline", outline)):
            print(f"    {who:12} to mask {there:.2f} %, from mask {back:.2f} %, area {area:+.2f} %")
        plain_peer = distances(line, border, False)
        plain_ours = distances(np.loadtxt(folder / "outline.txt"), border, False)
        print(f"    without the two grains: peer {plain_peer[0]:.2f} / {plain_peer[1]:.2f} %, ours {plain_ours[0]:.2f} / {plain_ours[1]:.2f} %")
        random = np.random.default_rng(1)
        shaken = {True: ([], []), False: ([], [])}
        for _ in range(20):
            moved = [tuple(p) for p in np.asarray(points, float) + random.normal(0, 5, (n, 2))]
            subprocess.run(binary + [str(picture), str(folder), "--trace"] + [f"{x},{y}" for x, y in moved], cwd=ROOT, check=True)
            theirs, _ = user_routes(made, moved)
            own = np.loadtxt(folder / "outline.txt")
            for everywhere, (a, b) in shaken.items():
                a.append(max(distances(theirs, border, everywhere)[:2]))
                b.append(max(distances(own, border, everywhere)[:2]))
        for everywhere, (a, b) in shaken.items():
            print(f"    20 draws, 5 px off{'' if everywhere else ', without the two grains'}: peer median {np.median(a):.2f} worst {max(a):.2f} %, "
                  f"ours median {np.median(b):.2f} worst {max(b):.2f} % (the greater of both directions)")
        nearer = max(outline[:2]) <= max(peer[:2])
        print(f"    exact points, strictly: {'ours is nearer' if nearer else 'the peer is nearer'}; the mask's border runs along "
              f"pixel sides, so it tells distances apart by {MASK_GRAIN:.2f} % and no better")
        checks.append(("exact points: as near to the mask as the peer, as far as the mask can tell", max(outline[:2]) <= max(peer[:2]) + MASK_GRAIN))
        checks.append(("the same without the two grains", max(plain_ours[:2]) <= max(plain_peer[:2]) + MASK_GRAIN))
        checks.append(("20 draws: median and worst at least as near", np.median(shaken[True][1]) <= np.median(shaken[True][0]) and max(shaken[True][1]) <= max(shaken[True][0])))
        checks.append(("the same without the two grains", np.median(shaken[False][1]) <= np.median(shaken[False][0]) and max(shaken[False][1]) <= max(shaken[False][0])))
    for what, held in checks:
        print(f"    {'holds ' if held else 'BROKEN'} {what}")
    return all(held for _, held in checks)


def main():
    data = os.environ.get("SEAMPROOF_DATA")
    data = pathlib.Path(data) if data else ROOT.parent / "shared" / "data"
    folder_in = data / "sections" / "nanoMFG_lpbf"
    picture, mask = folder_in / "example_image_1.tif", folder_in / "example_mask_1.png"
    if not picture.exists():
        print(f"did not run: {picture} is not there (set SEAMPROOF_DATA)")
        return 0
    binary = [sys.argv[1]] if len(sys.argv) > 1 else [
        "cargo", "run", "--release", "--quiet", "-p", "photo", "--example", "path_bench", "--"]
    print(f"scikit-image {skimage.__version__}, numpy {np.__version__}; load average {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
    good = True
    with tempfile.TemporaryDirectory() as made:
        made = pathlib.Path(made)
        rgb = Image.open(picture).convert("RGB")
        red = np.asarray(Image.open(mask).convert("RGB"))[:, :, 0] > 127
        border = max(measure.find_contours(red.astype(float), 0.5), key=len)[:-1, ::-1]
        grey = np.asarray(rgb.convert("L")) / 255.0
        good &= compare("track 1", binary, picture, grey, POINTS, made, border)
        large = rgb.resize((4000, 3000), Image.Resampling.BICUBIC)
        large.save(made / "large.png", compress_level=1)
        points = [((x + 0.5) * 2.5 - 0.5, (y + 0.5) * 2.5 - 0.5) for x, y in POINTS]
        grey = np.asarray(large.convert("L")) / 255.0
        good &= compare("track 1 enlarged to 12 megapixels", binary, made / "large.png", grey, points, made)
    return 0 if good else 1


if __name__ == "__main__":
    sys.exit(main())
