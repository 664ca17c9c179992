"""A plate as a PNG file."""

from __future__ import annotations

from collections.abc import Iterable
from io import BytesIO

import numpy as np

from trainer.bench.colours import mixed
from trainer.bench.made import PlateRaster
from trainer.bench.raster import MM_PER_INCH, Grid


def written(plates: Iterable[PlateRaster], grid: Grid) -> bytes:
    """The bands of a plate (or all of it, as one) as the bytes of a PNG file, its resolution in it."""
    from PIL import Image  # 40 ms, and only where a picture is saved

    picture = Image.new("RGB", (grid.cols, grid.rows))
    for plate in plates:
        colours = mixed((plate.struck, plate.kept, plate.oxidised, plate.blind), plate.stage)
        part = Image.fromarray(np.rint(np.clip(colours, 0.0, 255.0)).astype(np.uint8), "RGB")
        picture.paste(part, (0, plate.grid.first - grid.first))
    file = BytesIO()
    dpi = MM_PER_INCH / grid.pixel
    picture.save(file, "PNG", dpi=(dpi, dpi))
    return file.getvalue()
