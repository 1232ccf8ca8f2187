"""Searches for the colours of curves in src/theme.rs; prints them with the least distance between any two, for each eye.

    pip install numpy==2.4.6
    python scripts/curves.py

Beside the ink and the accent, six colours that stand off their grounds (WCAG 2.2, 4.5 to 1) and, to eyes with and without all cones, off each other
(Machado, Oliveira and Fernandes 2009; CIE 1976 L*a*b*). Distances to usual eyes count for less than half, so that hues differ and not lightness alone;
chroma is bounded, so that no line shouts. Which of the found colours goes with which between light and dark was chosen by hand.
"""

import numpy as np

FREE = 6
CONTRAST = 4.5
CHROMA = (14, 60)
USUAL = 0.42
TRIALS = 6
ROUNDS = 60
# Anchors, grounds, span of lightness.
THEMES = {
    "light": (["#1d1b18", "#0b5d57"], ["#f4f2ee", "#ffffff", "#ece8e0"], (24, 56)),
    "dark": (["#f1eee8", "#5cc4b8"], ["#161513", "#1f1d1b", "#34312d"], (50, 88)),
}
EYES = np.array(
    [
        np.eye(3),
        [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]],
        [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]],
        [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]],
    ]
)
TO_XYZ = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])


def read(texts):
    return np.array([[int(text[at : at + 2], 16) for at in (1, 3, 5)] for text in texts], float)


def linear(colours):
    value = colours / 255
    return np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)


def contrast(one, other):
    one, other = (linear(colours) @ [0.2126, 0.7152, 0.0722] for colours in (one, other))
    return (np.maximum(one, other) + 0.05) / (np.minimum(one, other) + 0.05)


def lab(light):
    part = (np.clip(light, 0, 1) @ TO_XYZ.T) / TO_XYZ.sum(1)
    root = np.where(part > 216 / 24389, np.cbrt(part), (24389 / 27 * part + 16) / 116)
    x, y, z = np.moveaxis(root, -1, 0)
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], -1)


def seen(colours):
    """By each eye: colours, eyes, L*a*b*."""
    return np.stack([lab(linear(colours) @ eye.T) for eye in EYES], -2)


def least(points, weight):
    """The least distance of any two, to each eye."""
    apart = np.linalg.norm(points[:, None] - points[None], axis=-1) * weight
    return apart[np.triu_indices(len(points), 1)].min(0)


def search(anchors, grounds, lightness, seed):
    chance = np.random.default_rng(seed)
    pool = chance.integers(0, 256, (40_000, 3)).astype(float)
    usual = lab(linear(pool))
    chroma = np.hypot(usual[:, 1], usual[:, 2])
    fits = np.all([contrast(pool, ground) >= CONTRAST for ground in read(grounds)], 0)
    fits &= (chroma >= CHROMA[0]) & (chroma <= CHROMA[1]) & (usual[:, 0] >= lightness[0]) & (usual[:, 0] <= lightness[1])
    pool = pool[fits]
    points, fixed = seen(pool), seen(read(anchors))
    weight = np.array([USUAL, 1, 1, 1])
    chosen = list(chance.choice(len(pool), FREE, replace=False))
    best = (0.0, chosen)
    for turn in range(ROUNDS):
        for place in range(FREE):
            others = np.concatenate([fixed, points[[index for at, index in enumerate(chosen) if at != place]]])
            room = np.min([(np.linalg.norm(points - other, axis=-1) * weight).min(1) for other in others], 0)
            # At first any of the best, later the best.
            chosen[place] = int(np.argsort(-room)[chance.integers(0, 8 if turn < ROUNDS * 2 // 3 else 1)])
        found = least(np.concatenate([fixed, points[chosen]]), weight).min()
        best = max(best, (found, list(chosen)))
    return best[0], pool[best[1]]


def main():
    for name, (anchors, grounds, lightness) in THEMES.items():
        _, colours = max((search(anchors, grounds, lightness, seed) for seed in range(TRIALS)), key=lambda found: found[0])
        texts = ["#{:02x}{:02x}{:02x}".format(*colour.astype(int)) for colour in colours]
        print(name, *texts, np.round(least(seen(read(anchors + texts)), 1), 1))


main()
