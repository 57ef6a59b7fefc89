"""Random fisheye cameras projected by OpenCV, for checks/tests/it/lens_laws.rs.

Usage: lens_opencv.py CAMERAS POINTS SEED. Prints one JSON object: version and cameras, each with focal, centre, k,
rvec, tvec (the point in the camera frame is R(rvec) point + tvec), points [[x, y, z]] before the camera, pixels of
`cv2.fisheye.projectPoints`, and normalised [[x/z, y/z]] of `cv2.fisheye.undistortPoints` from those pixels.

Coefficients are drawn small enough that the polynomial grows up to 80 degrees, and points stay within that angle.
"""

import json
import sys

import cv2
import numpy as np

WIDEST_RAD = np.radians(80.0)


def grows(k):
    """Whether the polynomial grows all the way to somewhat beyond the widest angle used."""
    t = np.linspace(0.0, np.radians(85.0), 500) ** 2
    return np.all(1 + 3 * k[0] * t + 5 * k[1] * t**2 + 7 * k[2] * t**3 + 9 * k[3] * t**4 > 0.05)


def camera(rng, count):
    while True:
        k = rng.uniform(-1.0, 1.0, 4) * [0.1, 0.05, 0.02, 0.005]
        if grows(k):
            break
    focal, centre = rng.uniform(150.0, 900.0, 2), rng.uniform(200.0, 900.0, 2)
    rvec, tvec = rng.uniform(-0.5, 0.5, 3), rng.uniform(-0.3, 0.3, 3)
    rotation, _ = cv2.Rodrigues(rvec)
    theta, around = rng.uniform(0.01, WIDEST_RAD, count), rng.uniform(0.0, 2 * np.pi, count)
    away = rng.uniform(0.3, 5.0, count)
    seen = np.stack([np.sin(theta) * np.cos(around), np.sin(theta) * np.sin(around), np.cos(theta)], 1) * away[:, None]
    points = (seen - tvec) @ rotation
    matrix = np.array([[focal[0], 0, centre[0]], [0, focal[1], centre[1]], [0, 0, 1]])
    pixels, _ = cv2.fisheye.projectPoints(points[:, None, :], rvec, tvec, matrix, k)
    # The default of 10 steps ends at 1e-8 rad; more steps, so that the comparison is not with its own rest.
    stop = (cv2.TERM_CRITERIA_COUNT + cv2.TERM_CRITERIA_EPS, 200, 1e-14)
    normalised = cv2.fisheye.undistortPoints(pixels, matrix, k, criteria=stop)
    return {
        "focal": focal.tolist(), "centre": centre.tolist(), "k": k.tolist(),
        "rvec": rvec.tolist(), "tvec": tvec.tolist(), "points": points.tolist(),
        "pixels": pixels[:, 0, :].tolist(), "normalised": normalised[:, 0, :].tolist(),
    }


def main():
    cameras, points, seed = (int(word) for word in sys.argv[1:4])
    rng = np.random.default_rng(seed)
    print(json.dumps({"version": cv2.__version__, "cameras": [camera(rng, points) for _ in range(cameras)]}))


if __name__ == "__main__":
    main()
