"""The forms a page is saved in, and what scanners and exports do to a picture without anybody drawing."""

from __future__ import annotations

import io
import random

import numpy as np
from PIL import Image, ImageDraw, ImageFilter

#: Forms that keep every line; "1-bit" only where there are no tones.
FORMS = ("png", "png rgb", "tiff lzw", "palette", "16-bit", "cmyk")
BILEVEL = ("tiff g4", "png 1-bit")
DISTURBANCES = ("saved again", "other mode", "shifted", "rescaled", "jpeg", "scanned", "all together")


def saved(page: Image.Image, form: str) -> bytes:
    """The page as a file of a form."""
    out = io.BytesIO()
    if form in BILEVEL:
        bilevel = page.convert("L").point(lambda tone: 255 if tone > 127 else 0).convert("1")
        bilevel.save(out, "TIFF", compression="group4") if form == "tiff g4" else bilevel.save(out, "PNG")
    elif form == "palette":
        page.convert("RGB").quantize(256, dither=Image.Dither.NONE).save(out, "PNG")
    elif form == "16-bit" and page.mode == "L":
        Image.fromarray(np.asarray(page).astype(np.uint16) * 257).save(out, "PNG")
    elif form == "cmyk":
        page.convert("CMYK").save(out, "TIFF", compression="tiff_lzw")
    elif form.startswith("jpeg"):
        page.save(out, "JPEG", quality=int(form[4:]))
    elif form == "tiff lzw":
        page.save(out, "TIFF", compression="tiff_lzw")
    else:
        (page.convert("RGB") if form == "png rgb" else page).save(out, "PNG")
    return out.getvalue()


def first_form(style: str, dice: random.Random) -> str:
    """The form the older file has."""
    return (
        dice.choice(["png", "tiff g4", "tiff lzw"]) if style == "lines" else dice.choice(["png", "tiff lzw", "jpeg92"])
    )


def disturbed(page: Image.Image, how: str, style: str, dice: random.Random) -> bytes:
    """The page as a file after a disturbance; nothing in it is drawn otherwise."""
    every = how == "all together"
    if every or how == "rescaled":
        page = _rescaled(page, dice)
    if every or how == "shifted":
        page = _shifted(page, dice)
    if every or how == "scanned":
        page = _scanned(page, dice)
    if how == "jpeg" or (every and dice.random() < 0.5):
        return saved(page, f"jpeg{dice.randrange(72, 93)}")
    modes = [*FORMS, *(BILEVEL if style == "lines" and not every else ())]
    return saved(page, dice.choice(modes) if how in ("other mode", "all together") else dice.choice(FORMS[:3]))


def _shifted(page: Image.Image, dice: random.Random) -> Image.Image:
    across, down = dice.choice([(2, 0), (-2, 1), (0, 2), (1, 1), (-1, -2), (2, -2), (1, 0)])
    return page.transform(page.size, Image.Transform.AFFINE, (1, 0, -across, 0, 1, -down), fillcolor=_corner(page))


def _rescaled(page: Image.Image, dice: random.Random) -> Image.Image:
    """By up to 5 %: mostly the whole picture, at times what is drawn on a sheet that keeps its size."""
    scale = 1 + dice.choice([-1, 1]) * dice.uniform(0.004, 0.05)
    if dice.random() < 0.7:
        return page.resize((round(page.width * scale), round(page.height * scale)), Image.Resampling.BICUBIC)
    middle = (page.width / 2, page.height / 2)
    there = (1 / scale, 0, middle[0] * (1 - 1 / scale), 0, 1 / scale, middle[1] * (1 - 1 / scale))
    return page.transform(page.size, Image.Transform.AFFINE, there, Image.Resampling.BICUBIC, fillcolor=_corner(page))


def _corner(page: Image.Image) -> int | tuple[int, ...]:
    return page.getpixel((1, 1))  # type: ignore[return-value]


def _scanned(page: Image.Image, dice: random.Random) -> Image.Image:
    """Softer, another tone curve, grain, dust."""
    soft = page.filter(ImageFilter.GaussianBlur(dice.uniform(0.2, 0.6)))
    black, white, bend = dice.uniform(0, 25), dice.uniform(238, 255), dice.uniform(0.8, 1.25)
    tones = black + (white - black) * (np.asarray(soft, dtype=np.float32) / 255) ** bend
    grain = np.random.default_rng(dice.getrandbits(32)).normal(0, dice.uniform(2, 7), tones.shape[:2])
    tones += grain[..., None] if tones.ndim == 3 else grain
    result = Image.fromarray(np.clip(tones, 0, 255).astype(np.uint8))
    pen = ImageDraw.Draw(result)
    for _ in range(dice.randrange(20, 90)):
        x, y, reach = dice.uniform(0, page.width), dice.uniform(0, page.height), dice.uniform(0.5, 1.5)
        tone = dice.choice([30, 90, 230])
        pen.ellipse((x - reach, y - reach, x + reach, y + reach), fill=tone if page.mode == "L" else (tone,) * 3)
    return result
