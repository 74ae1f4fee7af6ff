#!/usr/bin/env python3
"""Writes hydraulics_vectors.json: networks solved by another method in another language.

Plain Python, nothing shared with the engine. Each node's pressure in turn is moved, by bisection,
to where its own flows balance (nonlinear Gauss-Seidel), until all nodes balance at once. Passages:
  orifice  dp = mu Rt/(2 Cd^2 Dh) (Q/A) + rho/(2 Cd^2) (Q/A)|Q/A|, Dh that of a round hole
  line     dp = 128 mu L Q phi/(pi d^4) + K rho/2 v|v|, phi = f Re/64: 1 to Re 2000, Blasius from
           4000, a cubic blend of f Re between; solved for Q by bisection
  pump     V n - leak p less what a relief valve passes above its cracking pressure
Run: python3 hydraulics_vectors.py > hydraulics_vectors.json (about four minutes).
"""
import json
import math
import random


def orifice_flow(o, mu, rho, dp):
    if o["area"] == 0.0 or dp == 0.0:
        return 0.0
    dh = math.sqrt(4.0 * o["area"] / math.pi)
    a = mu * 9.3 / (2.0 * o["cd"] ** 2 * dh)
    b = rho / (2.0 * o["cd"] ** 2)
    v = (-a + math.sqrt(a * a + 4.0 * b * abs(dp))) / (2.0 * b)
    if a * a > 1e8 * b * abs(dp):  # the difference above would cancel
        v = abs(dp) / a
    return math.copysign(v * o["area"], dp)


def line_drop(l, mu, rho, q):
    re = 4.0 * q * rho / (math.pi * l["bore"] * mu)
    blasius = 0.3164 / 64.0 * re**0.75 if re > 0.0 else 0.0
    if re <= 2000.0:
        phi = 1.0
    elif re >= 4000.0:
        phi = blasius
    else:
        s = (re - 2000.0) / 2000.0
        w = s * s * (3.0 - 2.0 * s)
        phi = (1.0 - w) + w * blasius
    area = math.pi / 4.0 * l["bore"] ** 2
    return (128.0 * mu * l["length"] * q * phi / (math.pi * l["bore"] ** 4)
            + l["bends"] * rho / 2.0 * (q / area) ** 2)


def bisect(f, low, high):
    """Root of a rising function."""
    for _ in range(200):
        mid = 0.5 * (low + high)
        if mid == low or mid == high:
            break
        if f(mid) < 0.0:
            low = mid
        else:
            high = mid
    return 0.5 * (low + high)


def line_flow(l, mu, rho, dp):
    if dp == 0.0:
        return 0.0
    return math.copysign(bisect(lambda q: line_drop(l, mu, rho, q) - abs(dp), 0.0, 1.0), dp)


def pump_flow(p, pressure):
    return p["ideal"] - p["leak"] * pressure - relief_flow(p, pressure)


def relief_flow(p, pressure):
    """Shut to cracking; rounded over a fifth of the way to full flow; straight from there on."""
    width = 0.2 * (p["full"] - p["cracking"])
    slope = p["full_flow"] / (p["full"] - p["cracking"] - 0.5 * width)
    over = pressure - p["cracking"]
    if over <= 0.0:
        return 0.0
    if over < width:
        return slope * over * over / (2.0 * width)
    return slope * (over - 0.5 * width)


def surplus(net, pressure, node):
    p = lambda n: 0.0 if n < 0 else pressure[n]
    total = -net["injected"][node]
    for o in net["orifices"]:
        if node in (o["from"], o["to"]):
            q = orifice_flow(o, net["mu"], net["rho"], p(o["from"]) - p(o["to"]))
            total += q if node == o["from"] else -q
    for l in net["lines"]:
        if node in (l["from"], l["to"]):
            q = line_flow(l, net["mu"], net["rho"], p(l["from"]) - p(l["to"]))
            total += q if node == l["from"] else -q
    if node == 0:
        total -= pump_flow(net["pump"], p(0))
    return total


def solve(net):
    n = len(net["injected"])
    pressure = [1e5] * n
    while True:
        before = list(pressure)
        for node in range(n):
            def balance(x, node=node):
                pressure[node] = x
                return surplus(net, pressure, node)
            pressure[node] = bisect(balance, -1e8, 1e8)
        if max(abs(a - b) for a, b in zip(before, pressure)) < 1e-4:
            return pressure


def network(rng):
    """Nodes: 0 pump outlet, 1 valve supply, 2 side A, 3 side B, 4 valve return."""
    size = lambda low, high: low * (high / low) ** rng.random()
    opening, closing = size(4e-6, 2e-5), size(4e-7, 4e-6)
    orifice = lambda a, b, area: {"from": a, "to": b, "area": area, "cd": rng.uniform(0.55, 0.75)}
    speed = rng.choice([0.0, rng.uniform(-6e-5, 6e-5)])
    rho = rng.uniform(800.0, 880.0)
    net = {
        "rho": rho, "mu": rho * size(4e-6, 1e-4),
        "injected": [0.0, 0.0, -speed, speed, 0.0],
        "pump": {"ideal": size(6e-5, 2.5e-4), "leak": size(1e-13, 3e-12), "cracking": 85e5,
                 "full": 95e5, "full_flow": 1.3e-4},
        "orifices": [orifice(1, 2, opening), orifice(1, 3, closing), orifice(2, 4, closing),
                     orifice(3, 4, opening)],
        "lines": [{"from": 0, "to": 1, "length": rng.uniform(1.0, 3.0),
                   "bore": rng.uniform(0.004, 0.006), "bends": rng.uniform(0.0, 5.0)},
                  {"from": 4, "to": -1, "length": rng.uniform(1.0, 3.0),
                   "bore": rng.uniform(0.004, 0.007), "bends": rng.uniform(0.0, 5.0)}],
    }
    if rng.random() < 0.5:
        net["orifices"].append(orifice(1, 4, size(1e-7, 2e-6)))
    if rng.random() < 0.5:
        net["orifices"].append(orifice(2, 3, size(1e-7, 2e-6)))
    net["pressure"] = solve(net)
    return net


if __name__ == "__main__":
    rng = random.Random(3)
    print(json.dumps([network(rng) for _ in range(16)], indent=1))
