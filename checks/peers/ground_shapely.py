"""Polygons by shapely: the judge of areas, clips, points inside and simplicity.

Reads from standard input a JSON list of {polygon, window, points} (lists of [x, y]; the window convex). Prints a JSON list of
{area, clipped, inside, simple} in the same order: area of the polygon, area of its part within the window, for each point
whether it is inside, and whether the ring crosses itself nowhere.
Calls: Polygon(p).area, Polygon(p).intersection(Polygon(w)).area, Polygon(p).contains(Point(x, y)), Polygon(p).is_valid.
"""
import json
import sys

from shapely.geometry import Point, Polygon


def judged(case):
    polygon, window = Polygon(case["polygon"]), Polygon(case["window"])
    simple = bool(polygon.is_valid)
    return {
        "area": polygon.area,
        "clipped": polygon.intersection(window).area if simple else None,
        "inside": [bool(polygon.contains(Point(x, y))) for x, y in case["points"]] if simple else [],
        "simple": simple,
    }


print(json.dumps([judged(case) for case in json.load(sys.stdin)]))
