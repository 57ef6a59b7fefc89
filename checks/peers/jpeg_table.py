"""Bits per pixel of JPEG pictures by scene class and table scale: the table of `models::jpeg`, measured anew.

Pictures: those that ship inside the scikit-image package, all free to use (CC0 or public domain): astronaut, coffee,
chelsea, rocket, camera, brick, grass, gravel. Encoder: Pillow (libjpeg-turbo), baseline, fixed Huffman tables, 4:2:2,
tables K.1 and K.2 of ITU-T T.81 scaled by the usual quality rule. Prints JSON; takes no arguments.
"""
import io
import json
import math
import os

import numpy as np
import PIL
import skimage
from PIL import Image

FOLDER = os.path.join(os.path.dirname(skimage.__file__), "data")
CLASSES = {
    "calm_wall": ["brick.png", "rocket.jpg", "camera.png"],
    "porch": ["astronaut.png", "coffee.png", "chelsea.png"],
    "foliage": ["grass.png", "gravel.png"],
    "night_noise": ["astronaut.png", "coffee.png", "chelsea.png"],
}
# quality q gives scale 5000/q below 50 and 200 - 2q from 50 on, in percent of tables K.1 and K.2
QUALITIES = [95, 90, 75, 50, 30, 20, 10]
SCALES = [0.10, 0.20, 0.50, 1.00, 1.66, 2.50, 5.00]
REFERENCE_PX = 512 * 512
NIGHT_SIGMA = 10.0  # codes of 255
HEADER_B = 623  # measured: a 16x16 picture less its entropy-coded bytes


def picture(name, shrink, noisy):
    image = Image.open(os.path.join(FOLDER, name)).convert("RGB")
    width, height = image.size[0] // 16 * 16, image.size[1] // 16 * 16
    image = image.crop((0, 0, width, height))
    if shrink > 1:
        image = image.resize((width // shrink // 16 * 16, height // shrink // 16 * 16), Image.LANCZOS)
    if noisy:  # noise is added after shrinking: it belongs to the sensor's pixels, not to the scene
        noise = np.random.Generator(np.random.PCG64(12345)).normal(0.0, NIGHT_SIGMA, np.asarray(image).shape)
        image = Image.fromarray(np.clip(np.asarray(image) + noise, 0, 255).astype(np.uint8))
    return image


def bits_per_pixel(image, quality):
    out = io.BytesIO()
    image.save(out, "JPEG", quality=quality, subsampling=1, optimize=False, progressive=False)
    return (len(out.getvalue()) - HEADER_B) * 8 / (image.size[0] * image.size[1])


def row(names, noisy):
    whole = [picture(n, 1, noisy) for n in names]
    half = [picture(n, 2, noisy) for n in names]
    # How bits per pixel fall as the same scene is seen with more pixels: (pixels)^-fall, from halving the side.
    falls = [
        math.log(bits_per_pixel(h, 50) / bits_per_pixel(w, 50)) / math.log(w.size[0] * w.size[1] / (h.size[0] * h.size[1]))
        for w, h in zip(whole, half)
    ]
    fall = sum(falls) / len(falls)
    values = []
    for quality in QUALITIES:
        logs = [
            math.log(bits_per_pixel(w, quality) * (w.size[0] * w.size[1] / REFERENCE_PX) ** fall) for w in whole
        ]
        values.append(math.exp(sum(logs) / len(logs)))
    return {"bits_per_px": values, "fall": fall}


table = {name: row(names, name == "night_noise") for name, names in CLASSES.items()}
print(json.dumps({"scales": SCALES, "pillow": PIL.__version__, "scikit_image": skimage.__version__, "table": table}))
