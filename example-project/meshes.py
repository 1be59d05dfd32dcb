#!/usr/bin/env python3
"""Makes every mesh from the drawing beside it: film-gate.scad becomes film-gate.stl.

    python3 meshes.py                          remakes all meshes that are there
    python3 meshes.py parts/gate/new-part.scad makes one more

Nothing but Python is needed. The drawings are OpenSCAD text and open there too; this script
understands the part of it that they use: numbers with names, cube, translate, union, difference.
The same drawing always gives the same mesh, byte for byte.
"""

import itertools
import math
import pathlib
import re
import sys

TOKEN = re.compile(r"union\(\)|difference\(\)|translate\(\[[^\]]*\]\)|cube\(\[[^\]]*\]\);|[{}]")


def read_drawing(text):
    """The body in a drawing, as a test for points, and the planes where its surface may lie."""
    text = re.sub(r"//.*", "", text)
    names = {}
    for name, value in re.findall(r"^(\w+)\s*=\s*([^;]+);", text, re.MULTILINE):
        names[name] = worth(value, names)
    planes = (set(), set(), set())
    return read_body(iter(TOKEN.findall(text)), names, (0, 0, 0), planes), planes


def read_body(tokens, names, at, planes):
    """The next body among the tokens; None at a closing brace or the end."""
    token = next(tokens, "}")
    if token == "}":
        return None
    if token.startswith("translate"):
        shift = numbers(token, names)
        return read_body(tokens, names, tuple(map(sum, zip(at, shift))), planes)
    if token.startswith("cube"):
        corner = tuple(map(sum, zip(at, numbers(token, names))))
        for axis in range(3):
            planes[axis].update((round(at[axis], 6), round(corner[axis], 6)))
        return lambda point: all(a < p < b for a, p, b in zip(at, point, corner))
    next(tokens)  # the opening brace
    bodies = list(iter(lambda: read_body(tokens, names, at, planes), None))
    if token == "union()":
        return lambda point: any(body(point) for body in bodies)
    return lambda point: bodies[0](point) and not any(body(point) for body in bodies[1:])


def numbers(token, names):
    """The three numbers between the brackets of a token."""
    inside = token[token.index("[") + 1 : token.index("]")]
    return tuple(worth(part, names) for part in inside.split(","))


def worth(expression, names):
    """What a sum of products such as `width - 2 * wall` comes to."""
    total = 0.0
    for sign, product in re.findall(r"([+-]?)\s*([\w.]+(?:\s*\*\s*[\w.]+)*)", expression):
        factors = re.split(r"\s*\*\s*", product)
        term = math.prod(float(names.get(factor, factor)) for factor in factors)
        total += -term if sign == "-" else term
    return total


def facets(body, planes):
    """The surface between cells that are full and cells that are empty, two triangles a face."""
    grid = [sorted(axis) for axis in planes]

    def full(cell):
        if not all(0 <= i < len(axis) - 1 for i, axis in zip(cell, grid)):
            return False
        return body([(axis[i] + axis[i + 1]) / 2 for i, axis in zip(cell, grid)])

    for cell in itertools.product(*(range(len(axis) - 1) for axis in grid)):
        if not full(cell):
            continue
        for axis, side in itertools.product(range(3), (0, 1)):
            beyond = list(cell)
            beyond[axis] += 2 * side - 1
            if full(beyond):
                continue
            u, v = (axis + 1) % 3, (axis + 2) % 3
            corners = []
            for du, dv in ((0, 0), (1, 0), (1, 1), (0, 1)):
                index = list(cell)
                index[axis] += side
                index[u] += du
                index[v] += dv
                corners.append(tuple(line[i] for i, line in zip(index, grid)))
            if side == 0:
                corners.reverse()
            normal = [0, 0, 0]
            normal[axis] = 2 * side - 1
            yield normal, (corners[0], corners[1], corners[2])
            yield normal, (corners[0], corners[2], corners[3])


def write_mesh(drawing):
    """Writes the mesh beside the drawing."""
    body, planes = read_drawing(drawing.read_text(encoding="utf-8"))
    lines = ["solid " + drawing.stem]
    for normal, triangle in facets(body, planes):
        lines.append("facet normal " + " ".join(f"{n:g}" for n in normal))
        lines.append("outer loop")
        lines += ["vertex " + " ".join(f"{n:g}" for n in corner) for corner in triangle]
        lines += ["endloop", "endfacet"]
    lines.append("endsolid " + drawing.stem)
    mesh = drawing.with_suffix(".stl")
    mesh.write_text("\n".join(lines) + "\n", encoding="ascii", newline="\n")


if __name__ == "__main__":
    here = pathlib.Path(__file__).parent
    meshes = sorted(here.glob("parts/**/*.stl"))
    for drawing in map(pathlib.Path, sys.argv[1:] or [mesh.with_suffix(".scad") for mesh in meshes]):
        write_mesh(drawing)
