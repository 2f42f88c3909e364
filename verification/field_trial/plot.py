"""The reliability plot: chance given against the share infected, on logarithmic scales."""

from __future__ import annotations

from verification.field_trial.reliability import Band

from ashcomb.drawings.axes import Scale
from ashcomb.drawings.svg import DASHED, DOTTED, EDGE, SMALL, Drawing

LEFT, TOP, SIDE = 84.0, 96.0, 400.0
LOW = 0.0005


def draw_reliability(bands: list[Band], outbreaks: int) -> str:
    """The plot as SVG: one dot a band with its 95 % interval; on the dashed line the engine would be exactly right."""
    words = f"Hives of {outbreaks} outbreaks that the engine's laws did not make, in bands of the chance given."
    drawing = Drawing("calibration", "Are the chances true?", words)
    drawing.heading("Are the chances true?", words)
    across, up = Scale(LOW, 1.0, LEFT, LEFT + SIDE, log=True), Scale(LOW, 1.0, TOP + SIDE, TOP, log=True)
    for tick in (0.001, 0.01, 0.1, 1.0):
        drawing.path([(LEFT, up(tick)), (LEFT + SIDE, up(tick))], weight=0.5, dash=DOTTED)
        drawing.path([(across(tick), TOP), (across(tick), TOP + SIDE)], weight=0.5, dash=DOTTED)
        drawing.text((LEFT - 8, up(tick) + 4), f"{tick:.1%}", size=SMALL, anchor="end", halo=False)
        drawing.text((across(tick), TOP + SIDE + 18), f"{tick:.1%}", size=SMALL, anchor="middle", halo=False)
    drawing.path([(LEFT, TOP), (LEFT, TOP + SIDE), (LEFT + SIDE, TOP + SIDE)])
    drawing.line((across(LOW), up(LOW)), (across(1.0), up(1.0)), dash=DASHED)
    for band in bands:
        x = across(band.mean)
        drawing.line((x, up(band.between[0])), (x, up(band.between[1])), weight=1.4)
        drawing.circle((x, up(band.share)), 4.5, fill="#000")
    drawing.text((LEFT + SIDE, TOP + SIDE + 38), "chance of infection given", size=SMALL, anchor="end", halo=False)
    drawing.text((LEFT - 60, TOP - 14), "share infected in truth", size=SMALL, halo=False)
    y = drawing.swatch((EDGE, TOP + SIDE + 66), "exactly right", dash=DASHED)
    y = drawing.swatch((EDGE, y), "95 % interval, whole outbreaks drawn anew; the dot is the share found", weight=1.4)
    cautions = (
        "A low chance clears no hive. The numbers say where to look first; they shorten nothing that law asks.",
    )
    return drawing.render(drawing.caution(y + 6, cautions) + 4)
